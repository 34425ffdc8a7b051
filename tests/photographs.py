"""Photographs that were never taken: our own stitched pictures, bent, lit, faded and spoilt.

Nothing here knows how a photograph is read. A piece is painted as for a booklet, its cloth is drawn
out of shape, it is seen from the side, in uneven warm light, through a lens that is not quite
sharp, with noise, and saved as a JPEG. What is true is known: the thread of every cell, and where
every cross lies.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
from linenleaf.cloth.cloth import paint
from linenleaf.colour.colorimetry import encoded, from_hex, linear, to_hex
from linenleaf.compose.worked import WorkedChart
from linenleaf.core.ground import Ground
from linenleaf.core.key import KeyEntry, Kind, Thread
from linenleaf.flow import follow
from linenleaf.photograph.placing import Placing
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import gaussian_filter, map_coordinates

from .charts import cell, part
from .thread_charts import chart

DEMO = Path(__file__).resolve().parent.parent / "examples/saltmarsh-bands/saltmarsh-bands.linen"
AROUND = 14  # crosses of bare cloth around a painted piece
FINE = 16  # pixels of a cross as painted
LONG = 168  # crosses over which threads wander as far as is said

Field = NDArray[np.float64]
Bending = Callable[[np.random.Generator, int, int], Field]


@dataclass(frozen=True, eq=False)
class Piece:
    """A stitched piece: the thread of every cell, and which are whole crosses or bare.

    colours: (threads + 1, 3) of the cloth and each thread. pixels: as painted, FINE a cross,
    with AROUND crosses of cloth.
    """

    cells: NDArray[np.int32]
    plain: NDArray[np.bool_]
    colours: Field
    pixels: NDArray[np.uint8]

    @property
    def size(self) -> tuple[int, int]:
        height, width = self.cells.shape
        return width, height

    def part(self, left: int, top: int, width: int, height: int) -> Piece:
        """A part of it, with what lies around it on the same cloth."""
        rows, columns = slice(top, top + height), slice(left, left + width)
        y, x = top * FINE, left * FINE
        below, right = y + (height + 2 * AROUND) * FINE, x + (width + 2 * AROUND) * FINE
        return Piece(
            self.cells[rows, columns],
            self.plain[rows, columns],
            self.colours,
            self.pixels[y:below, x:right],
        )


def painted(worked: WorkedChart, faded: float, rng: np.random.Generator) -> Piece:
    """A worked chart as a piece whose threads have faded, some more than others."""
    key = worked.design.key
    ground = from_hex([worked.design.ground.colour or "#e8dcc4"])[0]
    threads: list[Thread] = []
    of_entry = np.zeros(len(key) + 1, np.int32)
    whole = np.ones(len(key) + 1, bool)
    for number, entry in enumerate(key, start=1):
        whole[number] = is_plain(entry)
        if not whole[number]:
            continue
        thread = entry.parts[0].needle[0].thread
        if thread not in threads:
            threads.append(thread)
        of_entry[number] = threads.index(thread) + 1
    share = {thread: faded * rng.uniform(0.5, 1.5) for thread in threads}
    worn = {thread: _towards(thread, ground, min(0.95, share[thread])) for thread in threads}
    key = tuple(
        replace(
            entry,
            parts=tuple(
                replace(
                    one,
                    needle=tuple(
                        replace(each, thread=worn.get(each.thread, each.thread))
                        for each in one.needle
                    ),
                )
                for one in entry.parts
            ),
        )
        for entry in key
    )
    made = replace(worked, design=replace(worked.design, key=key))
    picture = paint(made, pixels_per_cross=FINE, margin=AROUND)
    fine = picture.width // (worked.width + 2 * AROUND)
    if fine != FINE:
        size = (worked.width + 2 * AROUND) * FINE, (worked.height + 2 * AROUND) * FINE
        picture = picture.resize(size, Image.Resampling.BICUBIC)
    plain = whole[worked.grid]
    for piece in worked.pieces:
        left, top = int(piece.x), int(piece.y)
        plain[top : int(piece.y + piece.height) + 1, left : int(piece.x + piece.width) + 1] = False
    for knot in worked.knots:
        x, y = int(knot.x), int(knot.y)
        plain[max(0, y - 1) : y + 1, max(0, x - 1) : x + 1] = False
    for line in worked.lines:
        points = line.points
        for one, other in pairwise(points):
            many = int(2 * np.abs(other - one).max()) + 2
            for x, y in np.linspace(one, other, many):
                plain[max(0, int(y) - 1) : int(y) + 1, max(0, int(x) - 1) : int(x) + 1] = False
    colours = np.stack([ground, *from_hex([worn[each].colour for each in threads])]) * 255
    return Piece(of_entry[worked.grid], plain, colours, np.asarray(picture))


def is_plain(entry: KeyEntry) -> bool:
    """Whether an entry is a whole cross of one thread."""
    return (
        len(entry.parts) == 1
        and entry.parts[0].kind is Kind.FULL
        and len(entry.parts[0].needle) == 1
    )


def _towards(thread: Thread, ground: Field, share: float) -> Thread:
    own = linear(from_hex([thread.colour])[0])
    return replace(thread, colour=to_hex(encoded(own + share * (linear(ground) - own))))


@cache
def demo() -> WorkedChart:
    """The large demo: 168 x 280."""
    worked = follow(DEMO).worked
    assert worked is not None
    return worked


# --- pieces of our own making --------------------------------------------------------------------

PALETTE = (
    ("night", "#232a3d"), ("slate", "#4d5a68"), ("moss", "#5d6b3c"), ("madder", "#9c3b35"),
    ("flax", "#b8a06a"), ("rose", "#c28a86"), ("sky", "#7f9db0"), ("ochre", "#c08a3a"),
    ("plum", "#5b3550"),
)  # fmt: skip


def sampler(
    width: int, height: int, seed: int, threads: int = 8, sparse: bool = False, filled: bool = False
) -> WorkedChart:
    """A made-up sampler: rows of letters, of figures alike on both sides, of borders."""
    rng = np.random.default_rng([seed, 77])
    grid = np.zeros((height, width), np.uint16)
    top = 2
    while top < height - 8:
        kind = rng.integers(3) if not sparse else 3
        tall = [9, int(rng.integers(9, 15)), int(rng.integers(4, 7)), 9][kind]
        if top + tall > height - 1:
            break
        colour = int(rng.integers(1, threads + 1))
        at = 2
        figures = [_figure(rng, tall, threads) for _ in range(3)]
        border = _border(rng, tall, threads)
        turn = 0
        while at < width - 3:
            if kind in (0, 3):
                drawn = _letter(rng, tall) * (
                    colour if rng.random() < 0.7 else rng.integers(1, threads + 1)
                )
                gap = 2 if kind == 0 else int(rng.integers(8, 18))
            elif kind == 1:
                drawn, gap = figures[turn % 3], 2
            else:
                drawn, gap = border, 0
            turn += 1
            wide = min(drawn.shape[1], width - 2 - at)
            if kind != 2 and wide < drawn.shape[1]:
                break
            grid[top : top + tall, at : at + wide] = drawn[:, :wide]
            at += wide + gap
        top += tall + int(rng.integers(2, 4)) * (3 if sparse else 1)
    if filled:  # all but a margin is worked, in grounds of two threads
        inside = grid[1:-1, 1:-1]
        stripes = (np.arange(inside.shape[1]) // 24 % 2 + 1).astype(np.uint16)
        inside[:] = np.where(inside == 0, stripes, inside)
    key = [
        cell(chr(ord("a") + number), part(Thread("made-up", name, name, colour)))
        for number, (name, colour) in enumerate(PALETTE[:threads])
    ]
    made = chart(grid, key=key)
    ground = Ground(made.design.ground.fabric, "#ddd0b4")
    return replace(made, design=replace(made.design, ground=ground))


def _letter(rng: np.random.Generator, tall: int) -> NDArray[np.uint16]:
    """Strokes on a little grid, as letters have them."""
    wide = int(rng.integers(5, 8))
    made = np.zeros((tall, wide), np.uint16)
    for _ in range(int(rng.integers(2, 4))):
        if rng.random() < 0.5:
            made[:, rng.choice([0, wide - 1])] = 1
        else:
            made[rng.choice([0, tall // 2, tall - 1])] = 1
    for step in range(tall if rng.random() < 0.5 else 0):
        made[step, min(wide - 1, step * wide // tall)] = 1
    return made


def _figure(rng: np.random.Generator, tall: int, threads: int) -> NDArray[np.uint16]:
    """A shape with the same left and right, of two or three threads."""
    half = int(rng.integers(4, 9))
    height = gaussian_filter(rng.normal(size=(tall, half)), 1.2)
    colours = rng.integers(1, threads + 1, 3)
    levels = np.quantile(height, [0.4, 0.7, 0.85])
    made = np.zeros((tall, half), np.uint16)
    for level, colour in zip(levels, colours, strict=True):
        made[height > level] = colour
    return np.concatenate([made, made[:, ::-1]], axis=1)


def _border(rng: np.random.Generator, tall: int, threads: int) -> NDArray[np.uint16]:
    """A running border: a wave of one thread, dots of another."""
    period = 2 * (tall - 1)
    made = np.zeros((tall, period), np.uint16)
    one, other = rng.integers(1, threads + 1, 2)
    for x in range(period):
        made[x if x < tall else period - x, x] = one
    made[tall // 2, [0, tall - 1]] = other
    made[0, tall - 1 - 1 : tall + 1] = other
    return made


# --- how a photograph comes about ----------------------------------------------------------------


def drawn(rng: np.random.Generator, width: int, height: int) -> Field:
    """Cloth drawn out of shape by up to 2 crosses, and threads uneven on the loom by up to 1.

    Offsets (2, rows, columns) in crosses of the piece with AROUND on each side.
    """
    rows, columns = height + 2 * AROUND, width + 2 * AROUND
    smooth = np.stack([_smooth(rng, rows, columns, 22.0, 2.0) for _ in range(2)])
    across = _walk(rng, columns, 1.0)
    down = _walk(rng, rows, 1.0)
    smooth[0] += across[None, :]
    smooth[1] += down[:, None]
    return smooth


def creased(rng: np.random.Generator, width: int, height: int) -> Field:
    """Cloth that was folded, and puckered by tight stitches: another way of bending.

    Folds swallow up to 0.8 of a cross within five crosses; puckers pull towards their middle.
    """
    rows, columns = height + 2 * AROUND, width + 2 * AROUND
    y, x = np.mgrid[0:rows, 0:columns].astype(float)
    bent = np.stack([_smooth(rng, rows, columns, 40.0, 0.8) for _ in range(2)])
    for _ in range(3):
        angle = rng.choice([0.0, np.pi / 2]) + rng.normal(0, 0.05)
        along = np.array([np.cos(angle), np.sin(angle)])
        middle = rng.uniform((0, 0), (columns, rows))
        far = (x - middle[0]) * along[0] + (y - middle[1]) * along[1]
        swallowed = rng.uniform(0.4, 0.8) * np.tanh(far / 2.5) / 2
        bent += along[:, None, None] * -swallowed
    for _ in range(4):
        middle, reach = rng.uniform((0, 0), (columns, rows)), rng.uniform(5, 9)
        dx, dy = x - middle[0], y - middle[1]
        pull = -rng.uniform(0.4, 0.8) * np.exp(-(dx**2 + dy**2) / (2 * reach**2)) / reach
        bent += np.stack([dx, dy]) * pull
    return bent


def _smooth(rng: np.random.Generator, rows: int, columns: int, reach: float, most: float) -> Field:
    noise = rng.normal(size=(rows + 200, columns + 200))
    made = gaussian_filter(noise, reach)[100:-100, 100:-100]
    made -= made.mean()
    return np.asarray(most * made / np.abs(made).max())


def _walk(rng: np.random.Generator, many: int, most: float) -> Field:
    """How far uneven threads have wandered: up to `most` along LONG crosses, less along fewer."""
    steps = gaussian_filter(rng.normal(size=LONG + many), 1.5)
    made = np.cumsum(steps)
    made -= np.linspace(made[0], made[-1], len(made))
    return np.asarray(most * made[:many] / np.abs(made).max())


@dataclass(frozen=True)
class Conditions:
    """How a photograph is taken. pixels: of a cross. click: crosses by which corners are off."""

    pixels: float = 8.0
    perspective: float = 0.06
    bending: Bending = drawn
    uneven: float = 0.25
    warm: float = 0.12
    patchy: float = 0.1
    blur: float = 0.5
    noise: float = 6.0
    quality: int = 85
    click: float = 0.1


@dataclass(frozen=True, eq=False)
class Taken:
    """A photograph, where its corners were clicked, and where every cross lies in truth.

    middles: (height, width, 2) pixels of the middle of every cross.
    """

    data: bytes
    placing: Placing
    middles: Field
    piece: Piece


def photographed(piece: Piece, how: Conditions, seed: int) -> Taken:
    """Take a photograph of a piece."""
    rng = np.random.default_rng([seed, 18])
    width, height = piece.size
    bent = how.bending(rng, width, height)
    columns, rows = width + 2 * AROUND, height + 2 * AROUND
    # The camera: the cloth seen a little from the side, with a margin all round.
    size = np.array([columns, rows]) * how.pixels
    away = how.perspective * min(size) * rng.uniform(-1, 1, (4, 2))
    corners = np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) * size + away
    sides = np.roll(corners, -1, axis=0)
    area = abs(float((corners[:, 0] * sides[:, 1] - sides[:, 0] * corners[:, 1]).sum())) / 2
    corners *= how.pixels * np.sqrt(columns * rows / area)
    corners -= corners.min(axis=0) - 4
    to_pixels = _through(np.array([(0, 0), (columns, 0), (columns, rows), (0, rows)]), corners)
    wide, high = np.ceil(corners.max(axis=0) + 4).astype(int)
    # Every pixel: back through the camera, then back through the bending by going nearer to it.
    v, u = np.mgrid[0:high, 0:wide].astype(np.float64)
    seen = _apply(np.linalg.inv(to_pixels), u + 0.5, v + 0.5)
    at = seen.copy()
    for _ in range(12):
        before, at = at, seen - _at(bent, at[0], at[1])
        if np.abs(at - before).max() < 0.002:  # crosses
            break
    smooth = how.pixels / FINE
    source = linear(piece.pixels / 255.0)
    spread = 0.45 / smooth  # a pixel of the photograph gathers light from about its own size
    colours = np.stack(
        [
            map_coordinates(
                gaussian_filter(source[..., k], spread),
                [at[1] * FINE - 0.5, at[0] * FINE - 0.5],
                order=1,
                mode="nearest",
            )
            for k in range(3)
        ],
        axis=-1,
    )
    cloth = linear(piece.colours[0] / 255)
    worn = how.patchy * _smooth(rng, high // 16 + 2, wide // 16 + 2, 6.0, 1.0)
    patch = map_coordinates(worn, [v / 16, u / 16], order=1, mode="nearest")[..., None]
    colours += np.maximum(patch, 0) * (cloth - colours)
    light = 1 + how.uneven * (
        rng.uniform(-1, 1) * (u / wide - 0.5) + rng.uniform(-1, 1) * (v / high - 0.5)
    )
    light -= how.uneven * ((u / wide - 0.5) ** 2 + (v / high - 0.5) ** 2)
    colours *= light[..., None] * np.array([1 + how.warm / 2, 1.0, 1 - how.warm]) * 0.93
    if how.blur:
        colours = gaussian_filter(colours, (how.blur, how.blur, 0))
    levels = encoded(colours) * 255 + rng.normal(0, how.noise, colours.shape)
    picture = Image.fromarray(np.rint(np.clip(levels, 0, 255)).astype(np.uint8))
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=how.quality)
    y, x = np.mgrid[0:height, 0:width] + AROUND + 0.5
    off = _at(bent, x, y)
    middles = np.stack(_apply(to_pixels, x + off[0], y + off[1]), axis=-1)
    edge = np.array([(0, 0), (width, 0), (width, height), (0, height)], float) + AROUND
    clicked = edge + _at(bent, *edge.T).T + rng.normal(0, how.click, (4, 2))
    shown = np.stack(_apply(to_pixels, *clicked.T), axis=-1)
    placing = Placing(width, height, tuple((float(a), float(b)) for a, b in shown))
    return Taken(out.getvalue(), placing, middles, piece)


def _at(bent: Field, x: Field, y: Field) -> Field:
    return np.stack([map_coordinates(k, [y - 0.5, x - 0.5], order=1, mode="nearest") for k in bent])


def _through(places: Field, pixels: Field) -> Field:
    rows, side = [], []
    for (x, y), (u, v) in zip(places, pixels, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        side += [u, v]
    return np.append(np.linalg.solve(np.array(rows, float), np.array(side)), 1).reshape(3, 3)


def _apply(matrix: Field, x: Field, y: Field) -> Field:
    depth = matrix[2, 0] * x + matrix[2, 1] * y + matrix[2, 2]
    return np.stack(
        [
            (matrix[0, 0] * x + matrix[0, 1] * y + matrix[0, 2]) / depth,
            (matrix[1, 0] * x + matrix[1, 1] * y + matrix[1, 2]) / depth,
        ]
    )
