"""The worked piece as it will look: crosses of thread on woven cloth.

Every stitch is a small drawing chosen from a few variants; the whole picture is put together
by array indexing, so that the time does not depend on a loop over stitches. The same chart
gives the same bytes.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from ..compose.worked import IndexGrid, WorkedChart
from ..core.key import KeyEntry
from ..stitches.kinds import is_whole
from .behind import behind
from .openwork import open_gaps
from .overdyed import cell_steps, entry_at, entry_steps
from .overlay import Pieces, lay_pieces, overlay
from .scale import LARGEST, Lattice, lattice
from .stamping import blend, blend_at
from .strands import Bytes, rgb
from .tiles import VARIANTS, build, draw, shadows
from .weave import BAND, weave

SEED = 1871


def paint(
    worked: WorkedChart,
    *,
    pixels_per_cross: int | None = None,
    width: int | None = None,
    margin: int | None = None,
    part: tuple[float, float] | None = None,
    back: bool = False,
) -> Image.Image:
    """Return the worked piece on its cloth, in the thread colours of the key.

    pixels_per_cross: width of a cross in pixels, 1 to 64. width: of the whole picture in
    pixels, when that matters more. margin: bare cloth on each side in crosses; a little by
    default. part: a width and a height, both over the width of the whole picture, which is stated;
    only so much of it comes back, around its middle. back: the piece turned over, left to right.
    The picture never has more than some 20
    million pixels: crosses are drawn smaller.
    """
    at = lattice(worked, pixels_per_cross=pixels_per_cross, width=width, margin=margin)
    fabric = worked.design.ground.fabric
    columns, rows = worked.width + 2 * at.margin, worked.height + 2 * at.margin
    ground = rgb(worked.design.ground.colour)
    cells = weave(
        fabric, ground, columns=columns, rows=rows, across=at.across, down=at.down, seed=SEED
    )
    picture = cells.reshape(rows * at.down, columns * at.across, 3)
    open_gaps(picture, worked, at)
    if back:
        picture[:] = picture[:, ::-1].copy()
        _stitch_behind(picture, worked, at)
    else:
        below, right = at.margin + worked.height, at.margin + worked.width
        _stitch_grid(cells[at.margin : below, :, at.margin : right], worked, at)
        _stitch_pieces(picture, worked, at)
        overlay(picture, worked, at)
    image = Image.fromarray(picture)
    return image if width is None else _resized(image, width, part)


def _resized(image: Image.Image, width: int, part: tuple[float, float] | None) -> Image.Image:
    width = min(width, math.isqrt(int(LARGEST * image.width / image.height)))
    height = max(1, round(image.height * width / image.width))
    wide, high = (width, height) if part is None else (round(width * each) for each in part)
    wide, high = min(wide, width), min(high, height)
    left, top = (width - wide) // 2, (height - high) // 2
    if width == image.width:
        return image.crop((left, top, left + wide, top + high))
    across, down = image.width / width, image.height / height
    box = left * across, top * down, (left + wide) * across, (top + high) * down
    return image.resize((wide, high), Image.Resampling.LANCZOS, box)


def _stitch_grid(cells: Bytes, worked: WorkedChart, at: Lattice) -> None:
    """Put the chart's own grid on the cloth: cells (rows, down, columns, across, 3)."""
    palette = _palette(worked, worked.grid, (at.width, at.height), at.across, at.down)
    variant = _variants(worked.grid.shape, 0)
    rows_of = palette.rows(worked, worked.grid)
    for top in range(0, worked.height, BAND):
        rows = slice(top, top + BAND)
        if rows_of[rows].any():
            tiles = palette.tiles[rows_of[rows], variant[rows]]
            blend(cells[rows], tiles.transpose(0, 2, 1, 3, 4))


def _stitch_pieces(picture: Bytes, worked: WorkedChart, at: Lattice) -> None:
    """Put the pieces that lie off the grid, or over fewer threads, at their true places."""
    before = int(np.count_nonzero(worked.grid))
    for number, piece in enumerate(worked.pieces, start=1):
        x0, y0 = (round(each) for each in at.pixel(piece.x, piece.y))
        end = at.pixel(piece.x + piece.width, piece.y + piece.height)
        x1, y1 = (round(each) for each in end)
        across = max(1, math.ceil(piece.cell * at.across))
        down = max(1, math.ceil(piece.cell * at.down))
        size = (at.width * piece.cell, at.height * piece.cell)
        palette = _palette(worked, piece.grid, size, across, down, piece.strands)
        rows_of = palette.rows(worked, piece.grid, before)
        before += int(np.count_nonzero(piece.grid))
        tiles = palette.tiles[rows_of, _variants(piece.grid.shape, number)]
        rows, columns = piece.grid.shape
        layer = tiles.transpose(0, 2, 1, 3, 4).reshape(rows * down, columns * across, 4)
        layer = layer[_nearest(layer.shape[0], y1 - y0)][:, _nearest(layer.shape[1], x1 - x0)]
        blend_at(picture, layer, x0, y0)


def _stitch_behind(picture: Bytes, worked: WorkedChart, at: Lattice) -> None:
    """Lay what is seen of the thread on the back of the cloth."""
    size = np.array([at.across, at.down])
    for each in behind(worked):
        ends = each.ends.copy()
        ends[..., 0] = worked.width - ends[..., 0]
        pixels = (ends + at.margin) * size
        lay_pieces(picture, at, [(each.part, Pieces(pixels[:, 0], pixels[:, 1] - pixels[:, 0]))])


def _nearest(have: int, want: int) -> NDArray[np.intp]:
    """Return which of the pixels to take when a piece's cells are no whole number of pixels."""
    at = (np.arange(want) + 0.5) * (have / max(want, 1))
    return np.minimum(at.astype(np.intp), have - 1)


@dataclass(frozen=True, eq=False)
class _ColouredTiles:
    """Coloured tiles (rows, variants, down, across, 4): four of bare cloth, then one an entry.

    row: key index to row of `tiles`. steps: to the number of those from there on, where the colour
    changes from stitch to stitch. full: key index to whether its stitch throws a shadow.
    """

    tiles: Bytes
    row: NDArray[np.intp]
    steps: NDArray[np.intp]
    full: NDArray[np.bool_]

    def rows(self, worked: WorkedChart, grid: IndexGrid, before: int = 0) -> NDArray[np.intp]:
        """Return the row of `tiles` for each cell; bare cells by the shadow that they lie in.

        before: as for `overdyed.cell_steps`.
        """
        rows = self.row[grid]
        if (self.steps > 1).any():
            rows += cell_steps(worked, grid, before) % self.steps[grid]
        casts = self.full[grid]
        rows[:, 1:] += (grid[:, 1:] == 0) & casts[:, :-1]
        rows[1:] += 2 * ((grid[1:] == 0) & casts[:-1])
        return rows


def _palette(
    worked: WorkedChart,
    grid: IndexGrid,
    size: tuple[float, float],
    across: int,
    down: int,
    strands: int | None = None,
) -> _ColouredTiles:
    used = np.flatnonzero(np.bincount(grid.ravel(), minlength=len(worked.design.key) + 1))
    row = np.zeros(len(worked.design.key) + 1, dtype=np.intp)
    steps = np.ones(len(worked.design.key) + 1, dtype=np.intp)
    full = np.zeros(len(worked.design.key) + 1, dtype=np.bool_)
    shown: list[KeyEntry] = []
    for index in (int(each) for each in used if each):
        entry = worked.entry(index, strands)
        row[index], steps[index] = 4 + len(shown), entry_steps(entry)
        full[index] = any(is_whole(part) for part in entry.parts)
        shown += [entry_at(entry, step) for step in range(steps[index])]
    tiles = np.zeros((4 + len(shown), VARIANTS, down, across, 4), dtype=np.uint8)
    tiles[:4] = shadows(across, down)[:, None]
    for number, entry in enumerate(shown, start=4):
        tiles[number] = _dyed(entry, size, across, down)
    return _ColouredTiles(tiles, row, steps, full)


def _dyed(entry: KeyEntry, size: tuple[float, float], across: int, down: int) -> Bytes:
    how, colours = build(entry)
    tile = draw(how, size[0], size[1], across, down)
    return tile.dyed(np.stack([rgb(each) for each in colours]))


def _variants(shape: tuple[int, ...], number: int) -> NDArray[np.uint8]:
    rng = np.random.default_rng([SEED, number])
    return rng.integers(0, VARIANTS, shape, dtype=np.uint8)


def jpeg(image: Image.Image, quality: int = 88) -> bytes:
    """Return a picture as JPEG bytes; the same picture gives the same bytes."""
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality, subsampling=0)
    return out.getvalue()


def png(image: Image.Image) -> bytes:
    """Return a picture as PNG bytes; the same picture gives the same bytes."""
    out = io.BytesIO()
    image.save(out, "PNG", compress_level=6)
    return out.getvalue()
