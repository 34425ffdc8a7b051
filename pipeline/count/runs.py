"""Cells of each needle as runs along the rows, and the areas that runs make."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .forest import Floats, Ints, lowest, spanning_forest


@dataclass(frozen=True, eq=False)
class NeedleCells:
    """Cells of one grid, by needle, then row by row.

    needle: (n,) a number from 1. place: (n,) row * pitch + column. pitch: columns of the grid
    with bare ones at the right, so that no neighbour is found round the edge.
    """

    needle: NDArray[np.uint16]
    place: Ints
    pitch: int


@dataclass(frozen=True, eq=False)
class Runs:
    """Neighbouring cells in one row, of one needle.

    first: the first cell of each run. count: its cells. start, end: of the first and the last
    cell, a number that orders cells by needle and place.
    """

    first: Ints
    count: Ints
    start: Ints
    end: Ints


def runs(cells: NeedleCells) -> Runs:
    """Return the runs of some cells, in their order."""
    span = int(cells.place.max()) + 4 * cells.pitch if cells.place.size else 1
    keys = cells.needle.astype(np.int64) * span + cells.place
    begins = np.ones(len(keys), dtype=bool)
    begins[1:] = np.diff(keys) != 1
    first = np.flatnonzero(begins)
    count = np.diff(first, append=len(keys))
    start = keys[first]
    return Runs(first, count, start, start + count - 1)


def meeting(along: Runs, pitch: int) -> tuple[Ints, Ints]:
    """Return the pairs of runs (above, below) that share a hole.

    A pair may come twice. Of two that meet either is the first that the other meets, since
    runs of one row stand apart; so two searches find all.
    """
    below = np.searchsorted(along.end, along.start + pitch - 1)
    above = np.searchsorted(along.end, along.start - pitch - 1)
    here = np.arange(len(along.start))
    last = len(here) - 1
    low, high = np.minimum(below, last), np.minimum(above, last)
    down = (below <= last) & (along.start[low] <= along.end + pitch + 1)
    up = (above <= last) & (along.start[high] <= along.end - pitch + 1)
    return (
        np.concatenate((here[down], high[up])),
        np.concatenate((low[down], here[up])),
    )


def areas(along: Runs, pitch: int, width: float, height: float) -> tuple[Ints, Ints, Floats]:
    """Return the area of each run (from 0, in the order of their first runs), and the joins.

    width, height: of a cross in mm. Joins: the run that each begins at, and its length.

    From the end of a finished row, at its left, the needle goes down behind two crosses to the
    start of the next: hypot(offset, 2 h). Rows of which the right ends lie in steps are worked from
    the right instead, out to the left and back: each ends at its bottom right, and the next begins
    at its top right, so many crosses off along one thread; so a slanting stem takes no more than a
    row. Where all that is far the needle turns off on its way along the row, works what hangs
    there, and comes back: hypot(w, 2 h) + w - h more than going on.
    """
    upper, lower = meeting(along, pitch)
    if not len(along.first):
        return upper, upper, np.empty(0)
    offset = (along.start[lower] - pitch - along.start[upper]) * width
    turning_off = np.hypot(width, 2 * height) + width - height
    length = np.minimum(np.hypot(offset, 2 * height), max(turning_off, 2 * height))
    stepped = np.abs(along.end[lower] - pitch - along.end[upper]) * width
    length = np.where(stepped > 0, np.minimum(length, stepped), length)
    order = np.argsort(length, kind="stable")
    label, joins = spanning_forest(len(along.first), upper[order], lower[order])
    first = lowest(label)
    number = np.cumsum(first == np.arange(len(first))) - 1
    return number[first], upper[order][joins], length[order][joins]
