"""Several cells that differ together: a part of a figure in another thread, or one row off."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from .handdrawn import BARE_CELL, MATRICES, CodeGrid, DrawnSheet, Matrices
from .moves import Ints, Pairs
from .repeats import Repeats
from .squares import (
    FAR,
    MIDDLE,
    MOST_FOLLOWED,
    REACH,
    RIM,
    Rows,
    differing_far,
    followed,
    many,
    places,
    spread,
    squares,
)

MOST_DIFFERING = 40  # cells of a cluster
LEAST_FIGURE = 24  # stitches around it that are as they are elsewhere
LEAST_SHARE = 1  # of these for each cell that differs
VERSIONS = 10  # times as many that differ in all of both figures: they are two versions of one


_Places = tuple[tuple[int, int], ...]


class ClusterKind(Enum):
    """What several cells have in common."""

    THREAD = "another thread"
    HIGHER = "one row higher"
    LOWER = "one row lower"
    LEFT = "one column further left"
    RIGHT = "one column further right"


_STEPS = {
    ClusterKind.HIGHER: (-1, 0),
    ClusterKind.LOWER: (1, 0),
    ClusterKind.LEFT: (0, -1),
    ClusterKind.RIGHT: (0, 1),
}


@dataclass(frozen=True)
class Cluster:
    """Cells that differ together from their like. cells, twins: rows and columns on the sheet.

    sure: whether it is these cells that are odd, since the others look like more of their kind.
    """

    kind: ClusterKind
    cells: tuple[tuple[int, int], ...]
    twins: tuple[tuple[int, int], ...]
    sure: bool


def clusters(sheet: DrawnSheet, repeats: Repeats, first: Pairs) -> list[Cluster]:
    """Return the clusters that begin with these cells, if it can be said what is wrong."""
    around = squares(sheet, first)
    marked, figure = _joined(around.alike, around.differ)
    within = ((marked & RIM) == 0).all(axis=1)
    number, size = many(marked), many(figure)
    enough = (size >= LEAST_FIGURE) & (size >= LEAST_SHARE * number)
    kept = within & enough & (number > 1) & (number <= MOST_DIFFERING)
    # What goes on beyond the square may be a mast on its hull, or a hull wider than that.
    goes_on = (marked & RIM).any(axis=1) | (~enough & (figure & RIM).any(axis=1))
    goes_on &= ~kept & (number > 1) & (number <= MOST_DIFFERING)
    differing: dict[frozenset[tuple[int, int]], _TwinParts] = {}

    def note(each: int, own: CodeGrid, there: CodeGrid, steps: Ints, reach: int) -> None:
        kind, swapped = _kind(own, there, steps + reach), False
        if kind is None:
            # Where a part was moved, what lay there is lost: only one of the two tells of it.
            kind, swapped = _kind(there, own, steps + reach), True
        pair = first.cell[each], first.twin[each], int(first.way[each])
        if kind is None or differing_far(sheet, pair) >= VERSIONS * len(steps):
            return
        matrix = MATRICES[first.way[each]]
        cells = _tuples(first.cell[each] + steps)
        twins = _tuples(first.twin[each] + steps @ matrix.T)
        parts = _TwinParts(kind, cells, twins, matrix)
        if swapped:
            parts = _TwinParts(_turned(kind, matrix), twins, cells, matrix.T)
        differing.setdefault(frozenset(cells + twins), parts)

    for each in np.flatnonzero(kept).tolist():
        steps = places(marked[each])
        note(each, around.own[each], around.there[each], steps, REACH)
    asked = 0
    for each in np.flatnonzero(goes_on).tolist():
        steps = places(marked[each] & ~RIM)
        own, there = around.own[each], around.there[each]
        if _kind(own, there, steps + REACH) is None and _kind(there, own, steps + REACH) is None:
            continue
        asked += 1
        if asked > MOST_FOLLOWED:
            break
        pair = first.cell[each], first.twin[each], int(first.way[each])
        seen_far = followed(sheet, pair, LEAST_FIGURE, MOST_DIFFERING)
        if seen_far is None or seen_far.figure < LEAST_FIGURE:
            continue
        steps = np.argwhere(seen_far.marked) - FAR
        if seen_far.figure >= LEAST_SHARE * len(steps):
            note(each, seen_far.own, seen_far.there, steps, FAR)
    often = Counter(
        frozenset(part) for pair in differing.values() for part in (pair.cells, pair.twins)
    )
    told = (_told(repeats, pair, often) for pair in differing.values())
    return [cluster for cluster in told if cluster is not None]


@dataclass(frozen=True, eq=False)
class _TwinParts:
    """Two parts that differ. matrix: how the twins lie."""

    kind: ClusterKind
    cells: _Places
    twins: _Places
    matrix: Matrices


def _told(
    repeats: Repeats,
    pair: _TwinParts,
    often: Mapping[frozenset[tuple[int, int]], int],
) -> Cluster | None:
    """Return the cluster as it is told; None where there are more of either kind.

    often: in how many pairs a part stands. One that is unlike several, each of which is unlike it
    alone, is the odd one.
    """
    kind, cells, twins = pair.kind, pair.cells, pair.twins
    first, second = often[frozenset(cells)], often[frozenset(twins)]
    if first != second and min(first, second) == 1:
        own, other = first < second, first > second
    else:
        own, other = repeats.more_of(cells, twins), repeats.more_of(twins, cells)
    if own and other:
        return None
    if not own:
        return Cluster(kind, cells, twins, sure=other)
    return Cluster(_turned(kind, -pair.matrix), twins, cells, sure=True)


def _turned(kind: ClusterKind, matrix: Matrices) -> ClusterKind:
    """Return what is wrong as it is seen after a turn."""
    if kind not in _STEPS:
        return kind
    step = tuple((matrix @ _STEPS[kind]).tolist())
    return next(each for each, other in _STEPS.items() if other == step)


def _tuples(cells: Ints) -> _Places:
    return tuple((row, column) for row, column in cells.tolist())


def _joined(alike: Rows, differ: Rows) -> tuple[Rows, Rows]:
    """Return what differs in and beside the figure around each middle, and the figure."""
    marked: Rows = np.tile(MIDDLE, (len(alike), 1))
    figure: Rows = np.zeros_like(marked)
    left = np.arange(len(marked))
    while left.size:
        around = spread(marked[left] | figure[left])
        more_marked, more_figure = around & differ[left], around & alike[left]
        growing = ((more_marked != marked[left]) | (more_figure != figure[left])).any(axis=1)
        marked[left], figure[left] = more_marked, more_figure
        # What differs far and wide is another figure.
        growing &= many(more_marked) <= MOST_DIFFERING
        growing &= ((more_marked & RIM) == 0).all(axis=1)
        left = left[growing]
    return marked, figure


def _kind(own: CodeGrid, there: CodeGrid, cells: Ints) -> ClusterKind | None:
    """Return what is wrong with cells (n, 2) of a square, None where that cannot be said."""
    row, column = cells.T
    if _in_one_other_thread(own[row, column], there[row, column]) and _hang_together(cells):
        return ClusterKind.THREAD
    (top, left), (bottom, right) = cells.min(axis=0).tolist(), (cells.max(axis=0) + 1).tolist()
    here = own[top:bottom, left:right]
    for kind, (down, across) in _STEPS.items():
        before = there[top - down : bottom - down, left - across : right - across]
        # What stands there one step back stands here.
        if (
            np.array_equal(here, before)
            and (here > BARE_CELL).any()
            and _both_ends_moved(column if down else row)
        ):
            return kind
    return None


def _both_ends_moved(lines: Ints) -> bool:
    """Tell whether most lines along a step hold two cells that differ or more.

    lines: the line of each cell. What differs at one end only grew or shrank and was not moved.
    """
    _, often = np.unique(lines, return_counts=True)
    return 2 * int(np.count_nonzero(often > 1)) > len(often)


def _in_one_other_thread(own: CodeGrid, there: CodeGrid) -> bool:
    one, other = own[0], there[0]
    both: NDArray[np.bool_] = (own == one) & (there == other)
    return bool(both.all()) and min(int(one), int(other)) > BARE_CELL


def _hang_together(cells: Ints) -> bool:
    """Tell whether cells (n, 2) are one part: here and there one is no part of a figure."""
    apart = np.abs(cells[:, None] - cells[None]).max(axis=2) > 1
    joined = np.zeros(len(cells), np.bool_)
    joined[0] = True
    many = 0
    while many != (many := int(np.count_nonzero(joined))):
        joined |= ~apart[joined].all(axis=0)
    return many == len(cells)
