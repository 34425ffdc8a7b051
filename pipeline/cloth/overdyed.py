"""Which colour of an overdyed thread each stitch shows: it changes along the working order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import assert_never
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from ..colour.overdyed import dyed, steps_of
from ..compose.strokework import Lot
from ..compose.worked import IndexGrid, WorkedChart
from ..core.ground import Method
from ..core.key import KeyEntry, Part, Thread
from ..count.runs import NeedleCells, areas, runs
from ..stitches.kinds import STITCHES
from .strands import Reals

Ints = NDArray[np.int64]
_Lanes = tuple[NDArray[np.uint16], NDArray[np.bool_]]
_THREADS: WeakKeyDictionary[WorkedChart, _Lanes] = WeakKeyDictionary()  # asked for each piece
CROSS = 2 * 2**0.5  # thread that one cross shows, in sides of a cross


def steps(part: Part) -> int:
    """Return how many steps the colours of a stitch take until they begin anew; mostly 1."""
    return steps_of(part.needle)


def part_at(part: Part, step: int) -> Part:
    """Return a stitch in the colours of a step."""
    return replace(part, needle=dyed(part.needle, step))


def entry_at(entry: KeyEntry, step: int) -> KeyEntry:
    """Return a key line in the colours of a step."""
    return replace(entry, parts=tuple(part_at(part, step) for part in entry.parts))


def entry_steps(entry: KeyEntry) -> int:
    """Return how many steps the colours of a key line take until they begin anew."""
    return max(map(steps, entry.parts))


def cell_steps(worked: WorkedChart, grid: IndexGrid, before: int = 0) -> Ints:
    """Return for each cell of a grid how far on its thread is, in crosses.

    before: crosses of other grids that are worked before. Cells of one overdyed thread are worked
    area by area and row by row, from the left. In rows there and back the upper leg, which is
    seen, is laid on the way back. Of other threads it is 0.
    """
    far = np.zeros(grid.shape, dtype=np.int64)
    if worked not in _THREADS:
        _THREADS[worked] = _threads(worked)
    threads, there_and_back = _THREADS[worked]
    lane = threads[grid]
    flat = np.flatnonzero(lane)
    if not flat.size:
        return far
    columns = grid.shape[1]
    pitch = columns + 2
    order = np.argsort(lane.ravel()[flat], kind="stable")
    flat = flat[order]
    cells = NeedleCells(lane.ravel()[flat], flat + flat // columns * (pitch - columns), pitch)
    along = runs(cells)
    area, _, _ = areas(along, pitch, 1.0, 1.0)
    worked_next = np.lexsort((np.arange(len(area)), area))
    begun = np.zeros(len(area), dtype=np.int64)
    begun[worked_next] = np.cumsum(along.count[worked_next]) - along.count[worked_next]
    # Each thread begins with its first colour, whatever others there are.
    needle = cells.needle[along.first].astype(np.int64)
    least = np.full(int(needle.max()) + 1, np.iinfo(np.int64).max)
    np.minimum.at(least, needle, begun)
    begun -= least[needle]
    count = np.repeat(along.count, along.count)
    nth = np.arange(len(flat)) - np.repeat(along.first, along.count)
    back = (2 * count - 1 - nth) // 2  # half of the thread goes out, half comes back
    far.ravel()[flat] = (
        before
        + np.repeat(begun, along.count)
        + np.where(there_and_back[grid.ravel()[flat]], back, nth)
    )
    return far


def _threads(worked: WorkedChart) -> _Lanes:
    """Return by key index the number of its overdyed thread, 0 for none, and how it is worked."""
    key = worked.design.key
    numbers: dict[Thread, int] = {}
    threads = np.zeros(len(key) + 1, dtype=np.uint16)
    there_and_back = np.zeros(len(key) + 1, dtype=np.bool_)
    for index, entry in enumerate(key, 1):
        strands = [each for part in entry.parts for each in part.needle]
        changing = [each.thread for each in strands if each.thread.colours]
        if changing and entry.is_cell:
            threads[index] = numbers.setdefault(changing[0], len(numbers) + 1)
            method = worked.design.working.of(changing[:1]).method
            match method:
                case Method.ROWS:
                    there_and_back[index] = STITCHES[entry.parts[0].kind].rows
                case Method.EACH:
                    pass
                case _:
                    assert_never(method)
    return threads, there_and_back


def along_steps(lengths: Reals) -> Ints:
    """Return how far on the thread is at each of some strokes, in crosses.

    lengths: of each, in sides of a cross, in working order. Knots take about a cross each.
    """
    far: Ints = ((np.cumsum(lengths) - lengths) / CROSS).astype(np.int64)
    return far


def stroke_steps(lot: Lot, over: int) -> Ints:
    """Return the same of the strokes of counted stitches; over: threads that a cross spans."""
    return along_steps(np.hypot(*((lot.seen.down - lot.seen.up) / over).T))


def knots_in_turn(worked: WorkedChart) -> Iterator[tuple[Part, float, float]]:
    """Give each knot and bead with its place, in the colour that its thread has come to."""
    many: dict[int, int] = {}
    worked_before: dict[int, int] = {}
    shown: dict[tuple[int, int], Part] = {}
    for knot in worked.knots:
        index = knot.index
        if index not in many:
            many[index] = steps(worked.entry(index).parts[0])
        step = worked_before.get(index, 0) % many[index]
        worked_before[index] = step + 1
        if (index, step) not in shown:
            shown[index, step] = part_at(worked.entry(index).parts[0], step)
        yield shown[index, step], knot.x, knot.y


def stretches(far: Ints, part: Part) -> Iterator[tuple[Part, slice]]:
    """Give a stitch in each colour that it shows, and for how many strokes on end it shows it."""
    many = steps(part)
    if many == 1:
        yield part, slice(0, len(far))
        return
    step = far % many
    shown = {each: part_at(part, each) for each in np.unique(step).tolist()}
    firsts = np.flatnonzero(np.diff(step, prepend=-1))
    for first, last in zip(firsts.tolist(), [*firsts[1:].tolist(), len(step)], strict=True):
        yield shown[int(step[first])], slice(first, last)
