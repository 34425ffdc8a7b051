"""Finding alike surroundings in a grid, by a hash of the window around each cell.

A window that looks like another one turned or mirrored has the same hash as that one: each window
is hashed in all eight ways in which it can be laid, and the least of the eight counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .handdrawn import BARE_CELL, MATRICES, NOTHING, CodeGrid, DrawnSheet

RADIUS = 2  # cells on each side: a window of 5 x 5
SIDE = 2 * RADIUS + 1

Hashes = NDArray[np.uint64]

_STRIP = 16  # rows hashed at a time, few enough to stay in the processor's cache
_DOWN, _ACROSS = 0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F


@dataclass(frozen=True, eq=False)
class Windows:
    """The window around each cell.

    look: (rows, columns) a hash that alike windows share, zero in strips where nothing happens.
    way: (rows, columns) the way (a number into WAYS) that turns a window into the form in which
    all that share its hash are the same. lively: (n,) row * columns + column of the windows in
    which enough happens to tell them from others, in order.
    """

    look: Hashes
    way: NDArray[np.uint8]
    lively: NDArray[np.int64]


def windows(sheet: DrawnSheet, least: int) -> Windows:
    """Return the windows; those are lively in which at least so many of 40 neighbours differ."""
    lively = changes(sheet.cells) >= least
    values = _mixed(np.arange(sheet.images.shape[1] + 1, dtype=np.uint64))
    values[-1] = _mixed(np.array([1 << 40], np.uint64))[0]  # for a stitch without an image
    values[NOTHING] = values[BARE_CELL]  # what stands at an edge looks as it does further in
    # What a symbol adds to the hash of the window it stands in, once that is turned.
    tables = values[np.minimum(sheet.images, len(values) - 1)]
    look = np.zeros(sheet.cells.shape, np.uint64)
    way = np.zeros(sheet.cells.shape, np.uint8)
    for top in range(0, len(look), _STRIP):
        strip = np.s_[top : top + _STRIP]
        if lively[strip].any():
            bottom = min(len(look), top + _STRIP)
            look[strip], way[strip] = _hashed(sheet.cells, tables, top, bottom)
    return Windows(look, way, np.flatnonzero(lively))


def changes(cells: CodeGrid) -> NDArray[np.uint8]:
    """Return how many of the 40 pairs of neighbours in the window of each cell differ."""
    height, width = cells.shape
    # With a border of nothing, so that every window is whole. There are 5 columns in a window and
    # so 4 pairs across, the first between its first two columns; the same down.
    across = np.zeros((height + 2 * RADIUS, width + 2 * RADIUS), dtype=np.uint8)
    down = np.zeros_like(across)
    drawn = cells != NOTHING
    across[RADIUS:-RADIUS, RADIUS + 1 : -RADIUS] = (
        (cells[:, 1:] != cells[:, :-1]) & drawn[:, 1:] & drawn[:, :-1]
    )
    down[RADIUS + 1 : -RADIUS, RADIUS:-RADIUS] = (cells[1:] != cells[:-1]) & drawn[1:] & drawn[:-1]
    return _summed(across, 0, 1) + _summed(down, 1, 0)


def _summed(marks: NDArray[np.uint8], top: int, left: int) -> NDArray[np.uint8]:
    """Return the sum over each window, without its first `top` rows and `left` columns."""
    height, width = (each - 2 * RADIUS for each in marks.shape)
    rows = np.zeros((height, marks.shape[1]), dtype=np.uint8)
    for row in range(top, SIDE):
        rows += marks[row : row + height]
    total = np.zeros((height, width), dtype=np.uint8)
    for column in range(left, SIDE):
        total += rows[:, column : column + width]
    return total


def _hashed(
    cells: CodeGrid, tables: Hashes, top: int, bottom: int
) -> tuple[Hashes, NDArray[np.uint8]]:
    """Return the hash of the window of each cell of some rows, and the way that led to it."""
    width = cells.shape[1]
    padded = np.full((bottom - top + 2 * RADIUS, width + 2 * RADIUS), NOTHING, np.uint16)
    first, last = max(0, top - RADIUS), min(len(cells), bottom + RADIUS)
    start = first - (top - RADIUS)
    padded[start : start + last - first, RADIUS:-RADIUS] = cells[first:last]
    best = np.empty((bottom - top, width), np.uint64)
    chosen = np.zeros(best.shape, np.uint8)
    summed: dict[tuple[int, bytes], Hashes] = {}
    for way, matrix in enumerate(MATRICES):
        # A cell of the window is weighed by where it comes to lie; as rows stay rows or become
        # columns, the weights of a row and of a column can be worked out one after the other.
        transposed = matrix[0, 0] == 0
        down, across = (_ACROSS, _DOWN) if transposed else (_DOWN, _ACROSS)
        sign_down = int(matrix[:, 0].sum())
        sign_across = int(matrix[:, 1].sum())
        # Most keys hold no stitch that changes when it is turned: then half of this is the same.
        same = across * sign_across, tables[way].tobytes()
        if same not in summed:
            values = tables[way][padded]
            weights = _weights(across, sign_across)
            summed[same] = _weighed(
                [values[:, each : each + width] for each in range(SIDE)], weights
            )
        rows = summed[same]
        weights = _weights(down, sign_down)
        whole = _weighed([rows[each : each + len(best)] for each in range(SIDE)], weights)
        if way == 0:
            best = whole
        else:
            np.copyto(chosen, np.uint8(way), where=whole < best)
            np.minimum(best, whole, out=best)
    return best, chosen


def _weighed(parts: Sequence[Hashes], weights: Hashes) -> Hashes:
    total: Hashes = parts[0] * weights[0]
    spare = np.empty_like(total)
    for part, weight in zip(parts[1:], weights[1:], strict=True):
        np.multiply(part, weight, out=spare)
        total += spare
    return total


def _weights(base: int, sign: int) -> Hashes:
    """Return the powers of a base by which the cells of a row or column are weighed."""
    powers = np.array([pow(base, each, 2**64) for each in range(SIDE)], np.uint64)
    return powers if sign > 0 else powers[::-1]


def _mixed(values: Hashes) -> Hashes:
    """Return values spread over 64 bits (the finishing steps of splitmix64, Steele et al. 2014)."""
    mixed = values * np.uint64(0x9E3779B97F4A7C15)
    mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return mixed ^ (mixed >> np.uint64(31))
