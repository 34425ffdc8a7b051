"""Several cells that differ together: a part of a figure in another thread, or one row off."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from .comparing import Pairs
from .kinds import more_of
from .looks import Windows
from .moves import Numbers
from .sheet import BARE_CELL, Cells, Sheet
from .squares import MIDDLE, REACH, RIM, Rows, many, places, spread, squares
from .ways import MATRICES, Matrices

MOST_DIFFERING = 40  # cells of a cluster
LEAST_FIGURE = 24  # stitches around it that are as they are elsewhere
LEAST_SHARE = 1  # of these for each cell that differs


_Places = tuple[tuple[int, int], ...]


class Kind(Enum):
    """What several cells have in common."""

    THREAD = "another thread"
    HIGHER = "one row higher"
    LOWER = "one row lower"
    LEFT = "one column further left"
    RIGHT = "one column further right"


_STEPS = {Kind.HIGHER: (-1, 0), Kind.LOWER: (1, 0), Kind.LEFT: (0, -1), Kind.RIGHT: (0, 1)}


@dataclass(frozen=True)
class Cluster:
    """Cells that differ together from their like. cells, twins: rows and columns on the sheet.

    sure: whether it is these cells that are odd, since the others look like more of their kind.
    """

    kind: Kind
    cells: tuple[tuple[int, int], ...]
    twins: tuple[tuple[int, int], ...]
    sure: bool


def clusters(sheet: Sheet, seen: Windows, first: Pairs) -> list[Cluster]:
    """Return the clusters that begin with these cells, if it can be said what is wrong."""
    around = squares(sheet, first)
    marked, figure = _joined(around.alike, around.differ)
    kept = ((marked & RIM) == 0).all(axis=1)
    number, size = many(marked), many(figure)
    kept &= (number > 1) & (number <= MOST_DIFFERING)
    kept &= (size >= LEAST_FIGURE) & (size >= LEAST_SHARE * number)
    found: dict[frozenset[tuple[int, int]], Cluster | None] = {}
    for each in np.flatnonzero(kept).tolist():
        steps = places(marked[each])
        kind = _kind(around.own[each], around.there[each], steps + REACH)
        if kind is None:
            continue
        matrix = MATRICES[first.way[each]]
        cells = _tuples(first.cell[each] + steps)
        twins = _tuples(first.twin[each] + steps @ matrix.T)
        both = frozenset(cells + twins)
        if both not in found:
            found[both] = _told(sheet, seen, kind, (cells, twins), matrix)
    return [cluster for cluster in found.values() if cluster is not None]


def _told(
    sheet: Sheet, seen: Windows, kind: Kind, both: tuple[_Places, _Places], matrix: Matrices
) -> Cluster | None:
    """Return the cluster as it is told; None where there are more of either kind."""
    cells, twins = both
    own, other = (more_of(sheet, seen, each) for each in both)
    if own and other:
        return None
    if not own:
        return Cluster(kind, cells, twins, sure=other)
    if kind in _STEPS:
        back = tuple((-matrix @ _STEPS[kind]).tolist())
        kind = next(each for each, step in _STEPS.items() if step == back)
    return Cluster(kind, twins, cells, sure=True)


def _tuples(cells: Numbers) -> _Places:
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


def _kind(own: Cells, there: Cells, cells: Numbers) -> Kind | None:
    """Return what is wrong with cells (n, 2) of a square, None where that cannot be said."""
    row, column = cells.T
    if _in_one_other_thread(own[row, column], there[row, column]):
        return Kind.THREAD
    for kind, (down, across) in _STEPS.items():
        area = np.s_[row.min() : row.max() + 1, column.min() : column.max() + 1]
        before = np.s_[
            row.min() - down : row.max() + 1 - down,
            column.min() - across : column.max() + 1 - across,
        ]
        # What stands there one step back stands here.
        if np.array_equal(own[area], there[before]) and (own[area] > BARE_CELL).any():
            return kind
    return None


def _in_one_other_thread(own: Cells, there: Cells) -> bool:
    one, other = own[0], there[0]
    both: NDArray[np.bool_] = (own == one) & (there == other)
    return bool(both.all()) and min(int(one), int(other)) > BARE_CELL
