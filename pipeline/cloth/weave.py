"""The bare cloth: threads over and under each other, a little uneven, as an array of pixels.

Linen, evenweave and canvas show their own threads; a block weave shows its blocks with a hole
at each corner. The picture of every crossing comes from a few small drawings, so that a large
cloth is put together by indexing alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ..core.ground import Fabric
from .strands import Bytes, Reals

LEVELS = 10  # thicknesses that a fabric thread is drawn in
FIBRES = 4  # drawings of each thickness, with different fibres
FINE = 6  # drawn points per pixel
HOLE = 0.60  # light in the hole between four threads
TONE = 0.34  # how much lighter thick threads are, as a share of their thickness
SLUB_RUN = 9  # crossings from one change of thickness to the next
BAND = 32  # rows of crosses put together at a time
MOST_THREADS = 8  # across a cross that is fewer pixels wide than it has threads
KEPT = 4  # cloths whose crossings are kept: a booklet paints few, again for each colourway


@dataclass(frozen=True)
class Texture:
    """How a kind of cloth is woven.

    threads: threads across one cross. fill: width of a thread as a share of its room.
    uneven: spread of the thickness. holes: how dark the corner holes of a block are, 0 none.
    """

    threads: int
    fill: float
    uneven: float
    holes: float = 0.0


def texture(fabric: Fabric) -> Texture:
    """Return how a fabric looks close to."""
    if fabric.block:
        return Texture(threads=4 * fabric.over, fill=0.96, uneven=0.07, holes=0.42)
    if fabric.kind == "canvas":
        return Texture(fabric.over, fill=0.64, uneven=0.04)
    if fabric.kind == "evenweave":
        return Texture(fabric.over, fill=0.86, uneven=0.06)
    return Texture(fabric.over, fill=0.85, uneven=0.20)


def weave(
    fabric: Fabric, colour: Reals, *, columns: int, rows: int, across: int, down: int, seed: int
) -> Bytes:
    """Return a cloth of columns x rows crosses as (rows, down, columns, across, 3) bytes.

    colour: (3,) in 0..255, the colour of its threads. across, down: pixels of one cross. Reshape
    to (rows * down, columns * across, 3) for the picture.
    """
    how = texture(fabric)
    # Between the pixels most of them would be lost, at great cost.
    how = replace(how, threads=min(how.threads, max(MOST_THREADS, across, down)))
    rng = np.random.default_rng(seed)
    laid = _Laid(
        how.threads,
        _slubs(rng, rows * how.threads, columns * how.threads),
        _slubs(rng, columns * how.threads, rows * how.threads),
    )
    out = np.empty((rows, down, columns, across, 3), dtype=np.uint8)
    edges_x, edges_y = _edges(across, how.threads), _edges(down, how.threads)
    shades = _shades(how, across, down)
    # The eye takes the colour of a cloth from its threads more than from the holes between.
    seen = np.concatenate([each.ravel() for each in shades.values()])
    usual = float(np.quantile(seen, 0.62))
    for (i, j), shade in shades.items():
        if not shade.size:
            continue  # a thread thinner than a pixel that fell between two
        even = shade / usual
        # Dark cloth still catches the light: a small share is added, not multiplied.
        tone = colour * even[..., None] + 22.0 * (even[..., None] - 1.0)
        drawn = np.clip(tone + 0.5, 0, 255).astype(np.uint8)
        flat = drawn.reshape(2 * LEVELS * FIBRES, *drawn.shape[3:])
        spot = out[:, edges_y[i] : edges_y[i + 1], :, edges_x[j] : edges_x[j + 1]]
        for top in range(0, rows, BAND):
            band = slice(top, min(top + BAND, rows))
            which = laid.crossings(band, i, j)
            which += rng.integers(0, FIBRES, which.shape, dtype=np.intp)
            spot[band] = flat[which].transpose(0, 2, 1, 3, 4)
    return out


@dataclass(frozen=True, eq=False)
class _Laid:
    """How thick the threads of a cloth are, those that run upright and those that run level.

    threads: of one cross. upright, level: (knots, threads), see `_slubs`.
    """

    threads: int
    upright: Reals
    level: Reals

    def crossings(self, band: slice, i: int, j: int) -> NDArray[np.intp]:
        """Return the drawing, of its first fibres, of one crossing of each cross of some rows.

        band: rows of crosses. i, j: row and column of the crossing within a cross.
        """
        columns = self.upright.shape[1] // self.threads
        down = np.arange(band.start, band.stop) * self.threads + i
        across = np.arange(columns) * self.threads + j
        up = (down[:, None] + across[None, :]) % 2 == 0  # the upright thread lies over the other
        thick = np.where(
            up,
            _between(self.upright[:, j :: self.threads], down),
            _between(self.level[:, down], across).T,
        )
        level = np.clip(np.rint(thick * 1.9 + (LEVELS - 1) / 2), 0, LEVELS - 1).astype(np.intp)
        tile: NDArray[np.intp] = (up * LEVELS + level) * FIBRES
        return tile


def _slubs(rng: np.random.Generator, length: int, threads: int) -> Reals:
    """Return the thickness of threads at every SLUB_RUN-th crossing, about 0 to 1 sigma.

    length: of the threads, in crossings. What comes back is (knots, threads).
    """
    knots = length // SLUB_RUN + 2
    coarse = rng.normal(0, 0.55, (knots, threads)).astype(np.float32)
    coarse += rng.normal(0, 0.65, (1, threads)).astype(np.float32)
    thick = rng.random((knots, threads), dtype=np.float32) < 0.012
    coarse += np.where(thick, np.float32(2.2), np.float32(0))
    return coarse


def _between(coarse: Reals, along: NDArray[np.int_]) -> Reals:
    """Return the thickness of threads at some crossings along them, from that at their knots."""
    at = along.astype(np.float32) / SLUB_RUN
    low = at.astype(np.intp)
    part = (at - low)[:, None]
    smooth: Reals = coarse[low] * (1 - part) + coarse[low + 1] * part
    return smooth


def _edges(pixels: int, threads: int) -> NDArray[np.int_]:
    """Return the pixel at which each thread of a cross begins, and that at which the last ends."""
    return np.rint(np.linspace(0, pixels, threads + 1)).astype(int)


@lru_cache(KEPT)
def _shades(how: Texture, across: int, down: int) -> dict[tuple[int, int], Reals]:
    """Return the light of each crossing within a cross of so many pixels; never changed.

    Each is (2 whether the upright thread is on top, LEVELS, FIBRES, height, width).
    """
    edges_x, edges_y = _edges(across, how.threads), _edges(down, how.threads)
    tiles: dict[tuple[int, int], Reals] = {}
    rng = np.random.default_rng(how.threads)
    for i in range(how.threads):
        for j in range(how.threads):
            wide, high = int(edges_x[j + 1] - edges_x[j]), int(edges_y[i + 1] - edges_y[i])
            x, y = _points(int(edges_x[j]), wide), _points(int(edges_y[i]), high)
            local_x = (x / across * how.threads - j) * 2 - 1
            local_y = (y / down * how.threads - i) * 2 - 1
            level = [_crossing(how, each, local_y, local_x, rng) for each in range(LEVELS)]
            upright = [_crossing(how, each, local_x, local_y, rng) for each in range(LEVELS)]
            light = np.stack([np.stack(level).transpose(0, 1, 3, 2), np.stack(upright)])
            light *= 1 - how.holes * _corner_hole(x / across, y / down)
            size = (2, LEVELS, FIBRES, high, FINE, wide, FINE)
            tiles[i, j] = light.reshape(size).mean(axis=(4, 6), dtype=np.float32)
    return tiles


def _points(start: int, length: int) -> Reals:
    return (np.arange(length * FINE, dtype=np.float32) + 0.5) / FINE + start


def _crossing(how: Texture, level: int, x: Reals, y: Reals, rng: np.random.Generator) -> Reals:
    """Return the light of one crossing, the upright thread over the level one.

    x, y: places from -1 to 1 across the crossing's room. The light is (FIBRES, height, width).
    """
    offset = (level - (LEVELS - 1) / 2) / ((LEVELS - 1) / 2)
    lean = rng.normal(0, 0.5 * how.uneven, (FIBRES, 1, 1)).astype(np.float32)
    turns = rng.random((FIBRES, 1, 1), dtype=np.float32)
    if not (x.size and y.size):
        return np.empty((FIBRES, y.size, x.size), dtype=np.float32)
    x, y = x[None, None, :], y[None, :, None]
    # A thread narrows where it goes under the next one, and is never laid quite straight.
    half = how.fill * (1 + how.uneven * offset) * (1 - 0.10 * y * y)
    side = (x - 0.4 * lean + 0.5 * lean * y) / half
    # The thread beneath lies in the shade of the one above; between them is a dark hole.
    deep = 1.15 - np.clip(np.abs(side), 0, 1.15)
    under = 0.86 - 0.10 * (y / how.fill) ** 2 - 0.5 * deep
    light = np.where(np.abs(y) < how.fill * 0.97, under, np.float32(HOLE))
    # Lit from the upper left, and lower where the thread goes under.
    arch = 1.0 - 0.11 * np.abs(y) ** 2.5 - 0.035 * y
    round_ = 1.0 - 0.15 * np.abs(side) ** 3 - 0.055 * side
    tone = 1 + TONE * how.uneven * offset
    # Fibres run along the thread and wind round it a little.
    fibre = np.sin(2 * np.pi * (1.7 * side + 0.45 * y + turns))
    fibre = fibre + 0.6 * np.sin(2 * np.pi * (3.1 * side - 0.3 * y + 2.7 * turns))
    over = arch * round_ * tone * (1 + 0.022 * fibre)
    lit: Reals = np.where(np.abs(side) < 1, over, light).astype(np.float32)
    return lit


def _corner_hole(x: Reals, y: Reals) -> Reals:
    """Return how deep in a corner hole a place of a block lies, 0 to 1 (x, y from 0 to 1)."""
    edge_x, edge_y = np.minimum(x, 1 - x)[None, :], np.minimum(y, 1 - y)[:, None]
    hole = np.clip(1.5 - np.hypot(edge_x, edge_y) / 0.10, 0, 1)
    groove = np.clip(1 - np.minimum(edge_x, edge_y) / 0.13, 0, 1) ** 2
    deep: Reals = np.minimum(hole + 0.30 * groove, 1)
    return deep
