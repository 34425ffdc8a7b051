"""The one rule that cuts a line into stitches; counts, thread, pictures and differences use it.

A stitch goes from hole to hole. Every written point is the end of a stitch, and a straight stitch
runs from one to the next. A back stitch goes as many holes along as lie within one cross across or
down, but at least to the next hole that its line meets, however far that is. Where a stretch is not
a whole number of such stitches, one of them is shorter: the one at the end off the grid of
crosses, or at the right or lower end where neither end tells. So the same stretch has the same
stitches from whichever end it is drawn, and as many wherever it is placed.

A block weave is also pierced in the middle of a block where a line is written to there. From such
a point the line goes on by whole blocks, unless it meets a true hole, where it is cut as well.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NEAR = 0.02  # half threads; a third of a cross cannot be written out in full


@dataclass(frozen=True, eq=False)
class Stretches:
    """Straight ways from one written point to the next, those of no length left out.

    line: (n,) which line each belongs to. start, end: (n, 2) in crosses. first, step: (n, 2) the
    start, and the way to the next place that the stretch meets, in units; number: (n,) how many
    such steps it has. unit: how many to a cross: two to a thread. Off those places (as on a chart
    for another fabric) a stretch is one step, and first and step say nothing.
    """

    line: Ints
    start: Floats
    end: Floats
    first: Ints
    step: Ints
    number: Ints
    unit: int

    @property
    def length(self) -> Floats:
        """(n,) length of each stretch in crosses."""
        return np.asarray(np.hypot(*(self.end - self.start).T), dtype=np.float64)


def stretches(lines: Sequence[Floats], over: int) -> Stretches:
    """Return the stretches of lines through points (n, 2), in crosses over so many threads."""
    unit = 2 * over
    none = np.empty((0, 2))
    start = np.concatenate([none, *(each[:-1] for each in lines)])
    end = np.concatenate([none, *(each[1:] for each in lines)])
    line = np.repeat(np.arange(len(lines)), [max(0, len(each) - 1) for each in lines])
    long = (start != end).any(axis=1)
    start, end, line = start[long], end[long], line[long]
    first, last = np.rint(start * unit), np.rint(end * unit)
    on = np.abs(start * unit - first) <= NEAR
    on &= np.abs(end * unit - last) <= NEAR
    way = (last - first).astype(np.int64)
    number = np.gcd(way[:, 0], way[:, 1])
    number = np.where(on.all(axis=1), np.maximum(number, 1), 1)
    step = way // number[:, None]
    return Stretches(line, start, end, first.astype(np.int64), step, number, unit)


@dataclass(frozen=True, eq=False)
class Stitched:
    """Lines cut into stitches, in the order of the lines and along each.

    many: (n,) how many stitches each stretch of `along` is worked in.
    """

    along: Stretches
    many: Ints
    _begin: Ints  # (n,) step at which the first stitch would begin if it were whole; 0 or before
    _stride: Ints  # (n,) steps of a whole stitch

    def ends(self) -> tuple[Floats, Ints]:
        """Return the two ends of each stitch, (m, 2, 2) in crosses, and the line of each, (m,)."""
        along = self.along
        of = np.repeat(np.arange(len(self.many)), self.many)
        before = np.cumsum(self.many) - self.many
        nth = np.arange(len(of)) - before[of]
        low = self._begin[of] + nth * self._stride[of]
        ends = np.empty((len(of), 2, 2))
        for side, at in enumerate((low, low + self._stride[of])):
            place = along.first[of] + along.step[of] * at[:, None]
            ends[:, side] = place / along.unit
        # What was written stands as it was written.
        ends[before, 0] = along.start
        ends[before + self.many - 1, 1] = along.end
        return ends, along.line[of]


def cut(
    lines: Sequence[Floats], cells: Sequence[float], straight: Sequence[bool], over: int
) -> Stitched:
    """Cut lines through points (n, 2), in crosses over so many threads, into stitches.

    cells: of each line the side of a cross where it lies. straight: whether each is worked in
    straight stitch.
    """
    along = stretches(lines, over)
    crosses = np.rint(np.asarray(cells, dtype=np.float64) * along.unit).astype(np.int64)
    cross = np.maximum(crosses, 1)[along.line]
    longer = np.abs(along.step).argmax(axis=1)[:, None]
    reach = np.maximum(np.abs(np.take_along_axis(along.step, longer, axis=1))[:, 0], 1)
    # Holes lie two units apart, so that places on a stretch lie in holes two steps apart.
    stride = 2 * np.maximum(cross // (2 * reach), 1)
    left = along.number % stride
    begin = np.where((left > 0) & _whole_from_end(along, cross, longer), left - stride, 0)
    begin = np.where(_pierced_first(along), 1 - stride, begin)
    whole = np.asarray(straight, dtype=bool)[along.line] | (along.number == 1)
    stride, begin = np.where(whole, along.number, stride), np.where(whole, 0, begin)
    return Stitched(along, -((begin - along.number) // stride), begin, stride)


def _whole_from_end(along: Stretches, cross: Ints, longer: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Tell of which stretches the short stitch lies at the start."""
    first = np.take_along_axis(along.first, longer, axis=1)[:, 0]
    way = np.take_along_axis(along.step, longer, axis=1)[:, 0]
    start_on, end_on = first % cross == 0, (first + way * along.number) % cross == 0
    backwards = (along.step[:, 1] < 0) | ((along.step[:, 1] == 0) & (along.step[:, 0] < 0))
    return np.asarray(np.where(start_on == end_on, backwards, end_on), dtype=np.bool_)


def _pierced_first(along: Stretches) -> NDArray[np.bool_]:
    """Tell which stretches begin beside the holes and meet the first one after a single step."""
    hole, next_hole = (
        (place % 2 == 0).all(axis=1) for place in (along.first, along.first + along.step)
    )
    return np.asarray(~hole & next_hole & (along.number > 1), dtype=np.bool_)
