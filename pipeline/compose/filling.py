"""How often a repeat goes into a stretch, what is left over, and what would fit.

Lengths are in fabric threads. Nothing here knows what is repeated.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import assert_never

from ..core.places import Edge, Half


@dataclass(frozen=True)
class Stretch:
    """A run of copies: where the first begins, how many, and which part of the repeat each is.

    part: from, up to; the whole repeat for most.
    """

    at: int
    count: int
    part: tuple[int, int]


@dataclass(frozen=True)
class Filled:
    """A stretch as it is filled. left: what is bare, or cut. off: half a unit off the middle."""

    runs: tuple[Stretch, ...]
    count: int
    left: int
    off: bool = False

    @property
    def reach(self) -> tuple[int, int]:
        """Where the first copy begins and the last ends."""
        ends = [run.at + run.count * (run.part[1] - run.part[0]) for run in self.runs if run.count]
        return min(run.at for run in self.runs), max(ends)


def fill(
    start: int,
    end: int,
    length: int,
    origin: Edge | None,
    *,
    cell: int,
    unit: int,
    cut: bool = False,
    half: Half = Half.UNSAID,
) -> Filled | None:
    """Fill a stretch with a repeat of some length; None where it does not go in even once.

    origin: where the first repeat stands; None as START. cell: a cross of the repeat, of which a
    part holds whole ones. unit: what the run may be moved by, a cross or a thread.
    """
    room = end - start
    count = max(0, room) // length
    if not count:
        return None
    left = room - count * length
    before, off = 0, False
    match origin:
        case None | Edge.START:
            pass
        case Edge.END:
            before = left
        case Edge.MIDDLE:
            off = bool(left % (2 * unit))
            halves = left / (2 * unit)
            before = (math.ceil(halves) if half is Half.LATER else math.floor(halves)) * unit
        case Edge.FRAME | Edge.BEFORE | Edge.AFTER:
            raise ValueError(origin)
        case _:
            assert_never(origin)
    first = start + before
    runs = [Stretch(first, count, (0, length))]
    if cut:
        head, tail = before // cell * cell, (left - before) // cell * cell
        runs = [
            *([Stretch(first - head, 1, (length - head, length))] if head else []),
            *runs,
            *([Stretch(first + count * length, 1, (0, tail))] if tail else []),
        ]
    return Filled(tuple(runs), count, left, off)


@dataclass(frozen=True)
class Fitting:
    """What would fit nearest: other widths, insets and repeats, in crosses; empty where none."""

    rooms: tuple[int, ...]
    insets: tuple[int, ...]
    lengths: tuple[int, ...]


def fitting(room: int, length: int, inset: int = 0) -> Fitting:
    """Return what would leave nothing over, nearest first below and above; all in crosses.

    room: the stretch without the inset at both ends, which is taken off it.
    """
    inner = room - 2 * inset
    count = inner // length
    rooms = [many * length + 2 * inset for many in (count, count + 1) if many > 0]
    others = [
        each
        for each in range((room - length) // 2 + 1)
        if each != inset and (room - 2 * each) % length == 0
    ]
    below = [each for each in others if each < inset][-1:]
    above = [each for each in others if each > inset][:1]
    divisors = [each for each in range(1, inner + 1) if inner % each == 0]
    shorter = [each for each in divisors if each < length][-1:]
    longer = [each for each in divisors if each > length][:1]
    return Fitting(tuple(rooms), (*below, *above), (*shorter, *longer))
