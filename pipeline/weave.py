"""The bare cloth: threads over and under each other, a little uneven, as an array of pixels.

Linen, evenweave and canvas show their own threads; a block weave shows its blocks with a hole
at each corner. The picture of every crossing comes from a few small drawings, so that a large
cloth is put together by indexing alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .model import Fabric

Floats = NDArray[np.floating[Any]]
Bytes = NDArray[np.uint8]

LEVELS = 8  # thicknesses that a fabric thread is drawn in
FINE = 6  # drawn points per pixel
SLUB_RUN = 9  # crossings from one change of thickness to the next


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
        return Texture(threads=4 * fabric.over, fill=0.97, uneven=0.05, holes=0.55)
    if fabric.kind == "canvas":
        return Texture(fabric.over, fill=0.64, uneven=0.04)
    if fabric.kind == "evenweave":
        return Texture(fabric.over, fill=0.86, uneven=0.06)
    return Texture(fabric.over, fill=0.83, uneven=0.15)


def weave(
    fabric: Fabric, colour: Floats, *, columns: int, rows: int, across: int, down: int, seed: int
) -> Bytes:
    """Return a cloth of columns x rows crosses as (rows, down, columns, across, 3) bytes.

    colour: (3,) in 0..255, the mean of the cloth. across, down: pixels of one cross. Reshape
    to (rows * down, columns * across, 3) for the picture.
    """
    how = texture(fabric)
    warp, level = _thickness(how, columns, rows, seed)
    out = np.empty((rows, down, columns, across, 3), dtype=np.uint8)
    edges_x = np.rint(np.linspace(0, across, how.threads + 1)).astype(int)
    edges_y = np.rint(np.linspace(0, down, how.threads + 1)).astype(int)
    shades = _shades(how, edges_x, edges_y)
    mean = float(np.mean([each.mean() for each in shades.values() if each.size]))
    for (i, j), shade in shades.items():
        if not shade.size:
            continue
        even = shade / mean
        # Dark cloth still catches the light: a small share is added, not multiplied.
        tone = colour * even[..., None] + 22.0 * (even[..., None] - 1.0)
        drawn = np.clip(tone + 0.5, 0, 255).astype(np.uint8)
        up = warp[i :: how.threads, j :: how.threads].astype(np.intp)
        which = up * LEVELS + level[i :: how.threads, j :: how.threads]
        flat = drawn.reshape(2 * LEVELS, *drawn.shape[2:])
        spot = out[:, edges_y[i] : edges_y[i + 1], :, edges_x[j] : edges_x[j + 1]]
        spot[...] = flat[which].transpose(0, 2, 1, 3, 4)
    return out


def _thickness(
    how: Texture, columns: int, rows: int, seed: int
) -> tuple[NDArray[np.bool_], NDArray[np.uint8]]:
    """Return which thread is up at each crossing (True the upright one) and how thick it is."""
    high, wide = rows * how.threads, columns * how.threads
    rng = np.random.default_rng(seed)
    upright = _slubs(rng, high, wide)
    level_one = _slubs(rng, wide, high).T
    warp = (np.arange(high)[:, None] + np.arange(wide)[None, :]) % 2 == 0
    top = np.where(warp, upright, level_one)
    level = np.clip(np.rint(top * 1.6 + (LEVELS - 1) / 2), 0, LEVELS - 1).astype(np.uint8)
    return warp, level


def _slubs(rng: np.random.Generator, length: int, threads: int) -> Floats:
    """Return the thickness of threads along their length, (length, threads), about 0 to 1 sigma."""
    knots = length // SLUB_RUN + 2
    coarse = rng.normal(0, 0.55, (knots, threads)).astype(np.float32)
    coarse += rng.normal(0, 0.65, (1, threads)).astype(np.float32)
    thick = rng.random((knots, threads), dtype=np.float32) < 0.012
    coarse += np.where(thick, np.float32(2.2), np.float32(0))
    at = np.arange(length, dtype=np.float32) / SLUB_RUN
    low = at.astype(np.intp)
    part = (at - low)[:, None]
    smooth: Floats = coarse[low] * (1 - part) + coarse[low + 1] * part
    return smooth


def _shades(
    how: Texture, edges_x: NDArray[np.int_], edges_y: NDArray[np.int_]
) -> dict[tuple[int, int], Floats]:
    """Return light of each crossing within a cross: (2 which is up, LEVELS, height, width)."""
    across, down = int(edges_x[-1]), int(edges_y[-1])
    tiles: dict[tuple[int, int], Floats] = {}
    for i in range(how.threads):
        for j in range(how.threads):
            x = _points(int(edges_x[j]), int(edges_x[j + 1]))
            y = _points(int(edges_y[i]), int(edges_y[i + 1]))
            if not x.size or not y.size:
                tiles[i, j] = np.zeros((2, LEVELS, 0, 0), np.float32)
                continue
            local_x = (x / across * how.threads - j) * 2 - 1
            local_y = (y / down * how.threads - i) * 2 - 1
            hole = _corner_hole(x / across, y / down) * how.holes
            both = [
                np.stack([_crossing(how, level, local_x, local_y) for level in range(LEVELS)]),
                np.stack([_crossing(how, level, local_y, local_x).T for level in range(LEVELS)]),
            ]
            light = np.stack([both[1], both[0]]) * (1 - hole)
            size = (2, LEVELS, y.size // FINE, FINE, x.size // FINE, FINE)
            tiles[i, j] = light.reshape(size).mean(axis=(3, 5), dtype=np.float32)
    return tiles


def _points(start: int, end: int) -> Floats:
    return ((np.arange((end - start) * FINE, dtype=np.float32) + 0.5) / FINE + start).astype(
        np.float32
    )


def _crossing(how: Texture, level: int, x: Floats, y: Floats) -> Floats:
    """Return the light of one crossing, the upright thread over the level one.

    x, y: places from -1 to 1 across the crossing's room.
    """
    offset = (level - (LEVELS - 1) / 2) / ((LEVELS - 1) / 2)
    half = how.fill * (1 + how.uneven * offset)
    x, y = x[None, :], y[:, None]
    under_side = np.clip(np.abs(y) / how.fill, 0, 1)
    # The thread beneath dips in the middle and lies in the shade of the one above.
    under = (0.86 - 0.20 * under_side**2) * (1 - 0.22 * np.clip(1.5 - np.abs(x), 0, 1))
    light = np.where(np.abs(y) < how.fill, under, np.float32(0.52))
    side = x / half
    # Lit from the upper left, and lower where the thread goes under the next one.
    arch = 1.06 - 0.20 * np.abs(y) ** 2.2 - 0.05 * y
    over = arch * (1.0 - 0.20 * np.abs(side) ** 2.5 - 0.09 * side) * (1 + 0.045 * offset)
    lit: Floats = np.where(np.abs(side) < 1, over, light).astype(np.float32)
    return lit


def _corner_hole(x: Floats, y: Floats) -> Floats:
    """Return how deep in a corner hole a place of a block lies, 0 to 1 (x, y from 0 to 1)."""
    near = np.hypot(np.minimum(x, 1 - x)[None, :], np.minimum(y, 1 - y)[:, None])
    groove = np.minimum(np.minimum(x, 1 - x)[None, :], np.minimum(y, 1 - y)[:, None])
    deep = np.clip(1.25 - near / 0.11, 0, 1) + 0.22 * np.clip(1 - groove / 0.07, 0, 1)
    return np.minimum(deep, 1).astype(np.float32)
