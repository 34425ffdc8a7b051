"""Finding alike surroundings in a grid, by a hash of the window around each cell."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

RADIUS = 4  # cells on each side: a window of 9 x 9
LEAST_CHANGES = 36  # of 144 neighbours in a window: fewer come about by chance in a picture
LEAST_ALIKE = 3  # windows
MOST_GROUPS = 100

Values = NDArray[np.uint32]
Hashes = NDArray[np.uint64]

SIDE = 2 * RADIUS + 1
_STRIP = 32  # rows hashed at a time, few enough to stay in the processor's cache
_ACROSS = np.uint64(0x9E3779B97F4A7C15)
_DOWN = np.uint64(0xC2B2AE3D27D4EB4F)
_CENTRE = np.uint64((int(_ACROSS) * int(_DOWN)) ** RADIUS % 2**64)


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
    in_order = np.sort(picked)
    several = np.unique(
        in_order[LEAST_ALIKE - 1 :][in_order[LEAST_ALIKE - 1 :] == in_order[: 1 - LEAST_ALIKE]]
    )
    if not several.size:
        return
    place = np.searchsorted(several, picked).clip(max=several.size - 1)
    cells = np.flatnonzero(several[place] == picked)
    group = place[cells]
    lowest, highest = (
        np.full(several.size, 0xFFFFFFFF, np.uint32),
        np.zeros(several.size, np.uint32),
    )
    np.minimum.at(lowest, group, middle[cells])
    np.maximum.at(highest, group, middle[cells])
    for number in np.flatnonzero(lowest != highest)[:MOST_GROUPS].tolist():
        members = cells[group == number]
        kinds, counts = np.unique(middle[members], return_counts=True)
        if len(kinds) != 2 or counts.min() != 1:
            continue
        odd = members[middle[members] == kinds[counts.argmin()]][0]
        rest = members[middle[members] == kinds[counts.argmax()]]
        others = tuple((int(rows[each]), int(columns[each])) for each in rest[:3])
        yield Odd(int(rows[odd]), int(columns[odd]), others, len(rest))


# How to lay what was found in each mirror image back on the grid.
_BACK = (np.s_[:, ::-1], np.s_[::-1, :], np.s_[::-1, ::-1])


def _changes(grid: Values) -> NDArray[np.uint8]:
    """Return how many neighbours differ inside the window of each cell."""
    height, width = grid.shape
    # With a border of nothing, so that every window is whole. There are 9 columns in a window and
    # so 8 pairs across, the first between its first two columns; the same down.
    across = np.zeros((height + 2 * RADIUS, width + 2 * RADIUS), dtype=np.uint8)
    down = np.zeros_like(across)
    across[RADIUS:-RADIUS, RADIUS + 1 : -RADIUS] = grid[:, 1:] != grid[:, :-1]
    down[RADIUS + 1 : -RADIUS, RADIUS:-RADIUS] = grid[1:] != grid[:-1]
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


def _hashes(grid: Values) -> Hashes:
    """Return a hash of the window around each cell, without the cell itself.

    What lies beyond the grid counts as a value of its own.
    """
    hashes = np.empty(grid.shape, dtype=np.uint64)
    padded = np.pad(grid.astype(np.uint64) + np.uint64(1), RADIUS)
    for top in range(0, len(grid), _STRIP):
        strip = padded[top : top + _STRIP + 2 * RADIUS]
        hashes[top : top + _STRIP] = _hashed_strip(_mixed(strip))
    return hashes


def _hashed_strip(mixed: Hashes) -> Hashes:
    height, width = (each - 2 * RADIUS for each in mixed.shape)
    across = np.zeros((height + 2 * RADIUS, width), dtype=np.uint64)
    for column in range(SIDE):
        across *= _ACROSS
        across += mixed[:, column : column + width]
    whole = np.zeros((height, width), dtype=np.uint64)
    for row in range(SIDE):
        whole *= _DOWN
        whole += across[row : row + height]
    inner = mixed[RADIUS : RADIUS + height, RADIUS : RADIUS + width]
    hashed: Hashes = whole - inner * _CENTRE
    return hashed


def _mixed(values: Hashes) -> Hashes:
    """Return values spread over 64 bits (the finishing steps of splitmix64, Steele et al. 2014)."""
    mixed = values * np.uint64(0x9E3779B97F4A7C15)
    mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return mixed ^ (mixed >> np.uint64(31))
