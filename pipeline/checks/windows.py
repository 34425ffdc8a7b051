"""Finding alike surroundings in a grid, by a hash of the window around each cell."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

RADIUS = 3  # cells on each side: a window of 7 x 7
LEAST_CHANGES = 16  # of 84 neighbours in a window, so that plain fields are left alone
LEAST_ALIKE = 3  # windows
MOST_GROUPS = 100

Values = NDArray[np.uint32]
Hashes = NDArray[np.uint64]

_ACROSS = np.uint64(0x9E3779B97F4A7C15)
_DOWN = np.uint64(0xC2B2AE3D27D4EB4F)


@dataclass(frozen=True)
class Odd:
    """A cell that differs where all of its surroundings are those of other cells.

    others: (row, column) of some of these; many: how many there are.
    """

    row: int
    column: int
    others: tuple[tuple[int, int], ...]
    many: int


def odd_cells(mirrored: Sequence[Values]) -> Iterator[Odd]:
    """Yield cells that are alone in differing from at least two of alike surroundings.

    mirrored: the grid as it stands, then seen in the mirror left to right, top to bottom, both.
    """
    grid = mirrored[0]
    rows, columns = np.nonzero(_changes(grid) >= LEAST_CHANGES)
    if rows.size < LEAST_ALIKE:
        return
    best, centre = _hashes(grid), grid
    for image, back in zip(mirrored[1:], _BACK, strict=True):
        hashes = _hashes(image)[back]
        better = hashes < best
        best = np.where(better, hashes, best)
        centre = np.where(better, image[back], centre)
    picked, middle = best[rows, columns], centre[rows, columns]
    order = np.argsort(picked, kind="stable")
    picked, middle = picked[order], middle[order]
    edges = np.flatnonzero(np.concatenate([[True], picked[1:] != picked[:-1], [True]]))
    sizes = np.diff(edges)
    lowest = np.minimum.reduceat(middle, edges[:-1])
    highest = np.maximum.reduceat(middle, edges[:-1])
    groups = np.flatnonzero((sizes >= LEAST_ALIKE) & (lowest != highest))
    for group in groups[:MOST_GROUPS].tolist():
        members = order[edges[group] : edges[group + 1]]
        values = middle[edges[group] : edges[group + 1]]
        kinds, counts = np.unique(values, return_counts=True)
        if len(kinds) != 2 or counts.min() != 1:
            continue
        odd = members[values == kinds[counts.argmin()]][0]
        rest = members[values == kinds[counts.argmax()]]
        others = tuple((int(rows[each]), int(columns[each])) for each in rest[:3])
        yield Odd(int(rows[odd]), int(columns[odd]), others, len(rest))


# How to lay what was found in each mirror image back on the grid.
_BACK = (np.s_[:, ::-1], np.s_[::-1, :], np.s_[::-1, ::-1])


def _changes(grid: Values) -> NDArray[np.int64]:
    """Return how many neighbours differ inside the window of each cell."""
    across = np.zeros(grid.shape, dtype=np.int64)
    down = np.zeros(grid.shape, dtype=np.int64)
    across[:, 1:] = grid[:, 1:] != grid[:, :-1]
    down[1:] = grid[1:] != grid[:-1]
    # The pairs across lie between 7 columns, so 6 of them; the same down.
    return _box(across, -RADIUS, RADIUS, 1 - RADIUS, RADIUS) + _box(
        down, 1 - RADIUS, RADIUS, -RADIUS, RADIUS
    )


def _box(
    values: NDArray[np.int64], top: int, bottom: int, left: int, right: int
) -> NDArray[np.int64]:
    """Return the sum of values over rows top..bottom and columns left..right around each cell."""
    height, width = values.shape
    sums = np.zeros((height + 1, width + 1), dtype=np.int64)
    sums[1:, 1:] = values.cumsum(axis=0).cumsum(axis=1)
    rows, columns = np.arange(height), np.arange(width)
    low = np.clip(rows + top, 0, height)
    high = np.clip(rows + bottom + 1, 0, height)
    first = np.clip(columns + left, 0, width)
    last = np.clip(columns + right + 1, 0, width)
    total: NDArray[np.int64] = (
        sums[high][:, last] - sums[low][:, last] - sums[high][:, first] + sums[low][:, first]
    )
    return total


def _hashes(grid: Values) -> Hashes:
    """Return a hash of the window around each cell, without the cell itself.

    What lies beyond the grid counts as a value of its own.
    """
    mixed = _mixed(np.pad(grid.astype(np.uint64) + np.uint64(1), RADIUS))
    height, width = grid.shape
    size = 2 * RADIUS + 1
    across = np.zeros((height + 2 * RADIUS, width), dtype=np.uint64)
    for column in range(size):
        across *= _ACROSS
        across += mixed[:, column : column + width]
    whole = np.zeros((height, width), dtype=np.uint64)
    for row in range(size):
        whole *= _DOWN
        whole += across[row : row + height]
    weight = np.uint64(1)
    with np.errstate(over="ignore"):
        for _ in range(RADIUS):
            weight = weight * _ACROSS * _DOWN
    inner = mixed[RADIUS : RADIUS + height, RADIUS : RADIUS + width]
    return whole - inner * weight


def _mixed(values: Hashes) -> Hashes:
    """Return values spread over 64 bits (the finishing steps of splitmix64, Steele et al. 2014)."""
    mixed = values * np.uint64(0x9E3779B97F4A7C15)
    mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return mixed ^ (mixed >> np.uint64(31))
