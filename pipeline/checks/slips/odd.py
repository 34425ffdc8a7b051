"""Which of two cells that ought to be alike is the slip: none that comes up elsewhere just so.

Looked at are single cells that differ where a move carries all around them onto its like.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .handdrawn import CodeGrid, DrawnSheet
from .moves import Ints, Pairs
from .repeats import Repeats
from .squares import (
    ALL,
    FULL,
    MIDDLE,
    MOST_FOLLOWED,
    REACH,
    RIM,
    TOUCHING,
    Rows,
    bit_at,
    followed,
    many,
    marked_in,
    part_of,
    spread,
    squares,
)

PARTLY = 0.5  # what a part of a figure counts against a whole one
SOME_VOTES = 12  # for a move that a figure is trusted to which goes on beyond reach
MANY_VOTES = 100  # for a move by which much of the piece is made, such as the step of a border

# Another figure may stand near, or the one in question on some ground: so one looks less far, or
# away from it.
_PARTS = (
    part_of((-5, 5), (-5, 5)),
    part_of((-4, 4), (-4, 4)),
    part_of((-REACH, 1), FULL),
    part_of((-1, REACH), FULL),
    part_of(FULL, (-REACH, 1)),
    part_of(FULL, (-1, REACH)),
    part_of((-1, 1), FULL),
    part_of(FULL, (-1, 1)),
)
SheetCell = tuple[int, int]  # row and column on the sheet
SURE = 12  # stitches alike around a cell and its like, before their difference is told
NEAR = 8  # cells: a twin nearer than this belongs to the same figure
# What a stitch alike counts, by how the twin lies (a number into WAYS): as drawn, turned right,
# half and left, mirrored left to right, and so turned; and the same where the twin is near. Who
# draws a figure twice draws it again or mirrors it; a letter that happens to be nearly alike when
# it stands on its head is just a letter.
_FAR = (1.0, 0.25, 0.6, 0.25, 1.0, 0.25, 1.0, 0.25)
_TURNED = np.array([1, 2, 3, 5, 7])
_NEAR = (1.0, 0.25, 0.25, 0.25, 1.0, 0.25, 0.4, 0.25)
# A figure alone is hardly evidence against itself: an m is nearly the same on both sides, and so it
# is to be. Only in a large one is a single cell more likely a slip.
WITHIN = 0.25


@dataclass(frozen=True, eq=False)
class Suspects:
    """Pairs of cells of which one differs from what the other would make of it.

    cell, twin: (n, 2) row and column. way: (n,) how the twin lies. alike: (n,) stitches around the
    cell, joined to one another, that are as they are around the twin while nothing beside them
    differs, zero where something does, and a quarter of them where the twin is of the same figure.
    partly: (n,) half of what is so where one looks less far or away from one side.
    """

    cell: Ints
    twin: Ints
    way: Ints
    alike: NDArray[np.float64]
    partly: NDArray[np.float64]


def suspects(sheet: DrawnSheet, alone: Pairs, least: int) -> Suspects:
    """Return the cells that differ alone, where a figure around them speaks for that.

    least: stitches of a figure that is large enough.
    """
    seen = squares(sheet, alone)
    # The cell itself is known to differ, and its twin as well where that lies near.
    differ = seen.differ & ~MIDDLE
    apart = alone.twin - alone.cell
    near = np.flatnonzero((np.abs(apart) <= REACH).all(axis=1))
    differ[near] &= ~bit_at(apart[near])
    whole, ends, figure = figures(seen.alike, differ, ALL)
    within = np.zeros(len(whole), np.bool_)
    within[near] = ((spread(figure[near]) & bit_at(apart[near])) > 0).any(axis=1)
    # What goes on beyond reach may be any two edges; what ends within is a figure of its own.
    whole[~ends & (alone.votes < SOME_VOTES)] = 0
    # A mast goes on beyond reach, to its hull.
    short = np.flatnonzero((whole > 0) & ~ends & (whole < least))
    for each in short[:MOST_FOLLOWED].tolist():
        pair = alone.cell[each], alone.twin[each], int(alone.way[each])
        far = followed(sheet, pair, least, 1)
        whole[each] = 0 if far is None else far.figure
    partly = np.zeros(len(whole))
    rest = np.flatnonzero((whole == 0) & (alone.votes >= MANY_VOTES))
    for part in _PARTS:
        size, _, _ = figures(seen.alike[rest], differ[rest], part)
        partly[rest] = np.maximum(partly[rest], size * PARTLY)
    # A d on its head is a p: only in a figure of several threads, or where much else is turned the
    # same way, is a turn more than chance.
    on_its_head = np.isin(alone.way, _TURNED) & (alone.votes < MANY_VOTES)
    turned = np.flatnonzero(on_its_head & (whole > 0))
    whole[turned[~_in_several_threads(seen.own[turned], figure[turned])]] = 0
    alike = whole.astype(np.float64)
    alike[within] *= WITHIN
    kept = (whole > 0) | (partly > 0)
    return Suspects(alone.cell[kept], alone.twin[kept], alone.way[kept], alike[kept], partly[kept])


def _in_several_threads(own: CodeGrid, figure: Rows) -> NDArray[np.bool_]:
    """Return of which figures the stitches within reach are not all the same."""
    on = marked_in(figure)
    least = np.where(on, own, np.iinfo(own.dtype).max).min(axis=(1, 2))
    most = np.where(on, own, 0).max(axis=(1, 2))
    several: NDArray[np.bool_] = least < most
    return several


def figures(alike: Rows, differ: Rows, part: Rows) -> tuple[Ints, NDArray[np.bool_], Rows]:
    """Return how many stitches a part of the figure around each cell has; zero if any differs.

    The second value tells whether the figure ends within reach, the third is the figure.
    """
    alike, differ = alike & part, differ & part
    figure = alike & TOUCHING
    size = np.zeros(len(figure), np.int64)
    ends = np.ones(len(figure), np.bool_)
    whole = figure.copy()
    left = np.arange(len(figure))
    while left.size:
        around = spread(figure)
        # As soon as one cell differs no more is asked.
        sound = ((around & differ[left]) == 0).all(axis=1)
        size[left[~sound]] = 0
        left, figure = left[sound], (around & alike[left])[sound]
        whole[left] = figure
        ends[left] = ~(figure & RIM).any(axis=1)
        grown = many(figure)
        growing = grown > size[left]
        size[left] = grown
        left, figure = left[growing], figure[growing]
    return size, ends, whole


@dataclass(frozen=True)
class Odd:
    """A cell that differs from its like.

    twins: places that it ought to be like, the surest first, of these the nearest. sure: whether
    it is this cell that is odd; else it may be the twin.
    """

    cell: SheetCell
    twins: tuple[SheetCell, ...]
    sure: bool


def odd_cells(sheet: DrawnSheet, repeats: Repeats, alone: Pairs) -> list[Odd]:
    """Return the cells of a sheet that alone differ where all around them is as elsewhere."""
    suspected = suspects(sheet, alone, SURE)
    pairs: dict[SheetCell, dict[SheetCell, float]] = defaultdict(dict)
    columns = (suspected.cell, suspected.twin, suspected.way, suspected.alike, suspected.partly)
    for cell, twin, way, alike, partly in zip(
        *(column.tolist() for column in columns), strict=True
    ):
        one, other = (cell[0], cell[1]), (twin[0], twin[1])
        near = _apart(one, other) <= NEAR
        weight = (alike or partly) * (_NEAR if near else _FAR)[way]
        if not alike and (near or weight < SURE):
            continue  # many a part is alike by chance
        for first, second in ((one, other), (other, one)):
            pairs[first][second] = max(weight, pairs[first].get(second, 0.0))
    return _told(sheet, repeats, pairs)


def _apart(one: SheetCell, other: SheetCell) -> int:
    return max(abs(one[0] - other[0]), abs(one[1] - other[1]))


def _told(
    sheet: DrawnSheet, repeats: Repeats, pairs: dict[SheetCell, dict[SheetCell, float]]
) -> list[Odd]:
    odd: list[Odd] = []
    told: set[SheetCell] = set()
    for cell in sorted(pairs, key=lambda each: (-len(pairs[each]), each)):
        twins = {other: weight for other, weight in pairs[cell].items() if other not in told}
        if sum(twins.values()) < SURE:
            continue
        order = tuple(sorted(twins, key=lambda each: (-twins[each], _apart(cell, each), each)))
        slip = _judged(sheet, repeats, cell, order)
        if slip is not None:
            odd.append(slip)
            told |= {cell, order[0]}
    return sorted(odd, key=lambda each: each.cell)


def _judged(
    sheet: DrawnSheet, repeats: Repeats, cell: SheetCell, twins: tuple[SheetCell, ...]
) -> Odd | None:
    """Return which is odd, the cell or its surest twin; None where there are more of either."""
    other = twins[0]
    this, that = Odd(cell, twins, sure=True), Odd(other, (cell,), sure=True)
    own = repeats.more_of([cell], twins)
    several = len(twins) > 1 or repeats.more_of([other], [cell])
    if own or several:
        return None if own and several else that if own else this
    # With nothing else to go by, what comes up elsewhere with just its neighbours is sounder.
    here, there = (repeats.looks_so(each) for each in (cell, other))
    if here != there:
        return this if there else that
    return replace(that if _fits_less(sheet, other, cell) else this, sure=False)


def _fits_less(sheet: DrawnSheet, one: SheetCell, other: SheetCell) -> bool:
    """Tell whether fewer neighbours of the one hold what it holds than is so for the other."""
    return _neighbours_alike(sheet, one) < _neighbours_alike(sheet, other)


def _neighbours_alike(sheet: DrawnSheet, cell: SheetCell) -> int:
    row, column = cell
    around = sheet.cells[row - 1 : row + 2, column - 1 : column + 2]
    return int(np.count_nonzero(around == sheet.cells[cell]))
