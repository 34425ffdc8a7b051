"""The lines, knots and beads of two charts: whose they are, and which are told by themselves."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedChart
from ..core.items import Box
from .canvas import Mask, Offset
from .changes import Changes, Sort
from .explained import Explained
from .keys import KeyPairs
from .matching import Matched
from .stretches import Mark, Run, Written, dotted, unlike
from .units import Unit, marks_of, runs_of

NEAR = 1e-3  # crosses
ROOM = 0.5  # crosses left round a line or a knot
_NOBODYS = np.empty(0, dtype=np.int64)


@dataclass(frozen=True, eq=False)
class Strokework:
    """The lines of each chart that the other has not, and all knots and beads of both."""

    old_runs: Sequence[Run]
    new_runs: Sequence[Run]
    old_marks: Sequence[Mark]
    new_marks: Sequence[Mark]


def strokework(old: WorkedChart, new: WorkedChart, pairs: KeyPairs, shift: Offset) -> Strokework:
    """Return what is worked over the crosses of two charts, by its places on the new one."""
    lines = unlike(runs_of(old.lines, pairs.old_class, shift), runs_of(new.lines, pairs.new_class))
    return Strokework(
        *lines,
        marks_of(old.knots, pairs.old_class, shift),
        marks_of(new.knots, pairs.new_class),
    )


def things_of_lines(
    matches: Sequence[Matched],
    redrawn: Collection[str],
    strokes: Strokework,
    shift: Offset,
) -> frozenset[int]:
    """Return the numbers of the motifs of lines alone and texts with lines that are told of.

    Those are the ones that moved, came or went.

    Those whose lines the other chart has too, from another motif or by themselves, do not count.
    """
    numbers = {
        number: match
        for number, match in enumerate(matches)
        if (unit := match.new or match.old)
        and (unit.bare or (unit.drawn and unit.sort is Sort.TEXT))
        and not match.plain
        and (match.old is None or match.new is None or _went(match, redrawn))
    }
    if not numbers:
        return frozenset()
    told: set[int] = set()
    sides = (
        (_Owners({at: each.old for at, each in numbers.items()}, shift),
         strokes.old_runs, _only(strokes.old_marks, strokes.new_marks)),
        (_Owners({at: each.new for at, each in numbers.items()}, (0, 0)),
         strokes.new_runs, _only(strokes.new_marks, strokes.old_marks)),
    )  # fmt: skip
    for owners, runs, marks in sides:
        for run in runs:
            told.update(owners.of(run.points, run.written).tolist())
        for mark in marks:
            told.update(owners.of(_point(mark), mark.written).tolist())
    return frozenset(told)


def _went(match: Matched, redrawn: Collection[str]) -> bool:
    assert match.new is not None
    if match.new.sort is Sort.TEXT:
        return True  # moved or reworded
    return match.moved and (not match.altered or match.new.name in redrawn)


def _only(marks: Iterable[Mark], others: Iterable[Mark]) -> list[Mark]:
    there = {(other.kind, other.x, other.y) for other in others}
    return [mark for mark in marks if (mark.kind, mark.x, mark.y) not in there]


def left_over(
    strokes: Strokework,
    explained: Explained,
    redrawn: Collection[str],
    shift: Offset,
) -> Strokework:
    """Return the lines and knots of each side that may differ and are to be told by themselves.

    A line belongs to a copy of a motif, or to a text, when it stems from a line of that motif or of
    a letter and lies within it. If that moved, came or went, or is drawn otherwise, that is told.
    """
    told = {
        number: match
        for number, match in enumerate(explained.matches)
        if (not match.plain and explained.reported(number))
        or (match.new is not None and match.new.name in redrawn)
    }
    old = _Owners({at: each.old for at, each in told.items()}, shift)
    new = _Owners({at: each.new for at, each in told.items()}, (0, 0))
    return Strokework(
        [each for each in strokes.old_runs if not len(old.of(each.points, each.written))],
        [each for each in strokes.new_runs if not len(new.of(each.points, each.written))],
        [each for each in strokes.old_marks if not len(old.of(_point(each), each.written))],
        [each for each in strokes.new_marks if not len(new.of(_point(each), each.written))],
    )


def _point(mark: Mark) -> NDArray[np.float64]:
    return np.array([[mark.x, mark.y]])


class _Owners:
    """Where motifs and texts lie, by the places of their lines and knots in the source."""

    def __init__(self, copies: Mapping[int, Unit | None], shift: Offset) -> None:
        alike: dict[tuple[Written, ...], list[tuple[int, Box]]] = {}
        for number, unit in copies.items():
            if unit is not None and unit.drawn:
                alike.setdefault(unit.drawn, []).append((number, moved(unit.box, *shift)))
        self._copies: dict[Written, list[tuple[NDArray[np.float64], NDArray[np.int64]]]] = {}
        for drawn, some in alike.items():
            numbers, boxes = zip(*some, strict=True)
            lying = np.array(boxes), np.array(numbers, dtype=np.int64)
            for place in drawn:
                self._copies.setdefault(place, []).append(lying)

    def of(self, points: NDArray[np.float64], written: Written | None) -> NDArray[np.int64]:
        """Return the numbers of the things that a line or a knot belongs to."""
        if written is None or written not in self._copies:
            return _NOBODYS
        low, high = points.min(axis=0), points.max(axis=0)
        owners = [_NOBODYS]
        for boxes, numbers in self._copies[written]:
            lower = (boxes[:, :2] <= low + NEAR).all(axis=1)
            inside: Mask = lower & (boxes[:, 2:] >= high - NEAR).all(axis=1)
            owners.append(numbers[inside])
        return np.concatenate(owners)


# --- what to ring --------------------------------------------------------------------------------


def moved(box: Box, x: float, y: float) -> Box:
    """Return a box so far to the right and down."""
    return box[0] + x, box[1] + y, box[2] + x, box[3] + y


def around(points: Iterable[Sequence[float]]) -> Box:
    """Return a box round points, with a little room."""
    xs, ys = zip(*points, strict=True)
    return min(xs) - ROOM, min(ys) - ROOM, max(xs) + ROOM, max(ys) + ROOM


def drawn_otherwise(
    changes: Changes, old: Box, new: Box
) -> tuple[tuple[Box, ...], tuple[Box, ...]]:
    """Return boxes round the lines, knots and counted stitches within two boxes that differ.

    old, new: where a motif lies, each on its own chart; so are the boxes that come back.
    """
    x, y = changes.shift
    runs, marks = _within(changes.old, changes.pairs.old_class, old, changes.shift)
    more, others = _within(changes.new, changes.pairs.new_class, new, (0, 0))
    gone, come = unlike(runs, more)
    rings_old: list[Box] = [around(each.points.tolist()) for each in gone]
    rings_new: list[Box] = [around(each.points.tolist()) for each in come]
    for each in dotted(marks, others):
        rings = [around([point]) for point in each.points]
        rings_old += rings if each.old else []
        rings_new += rings if each.new else []
    rings_old += changes.sewn[0].within(moved(old, x, y))
    rings_new += changes.sewn[1].within(new)
    return tuple(moved(each, -x, -y) for each in rings_old), tuple(rings_new)


def _within(
    worked: WorkedChart, classes: NDArray[np.int32], box: Box, shift: Offset
) -> tuple[list[Run], list[Mark]]:
    low, high = np.array(box[:2]) - NEAR, np.array(box[2:]) + NEAR
    lines = [
        line
        for line in worked.lines
        if bool((line.points >= low).all() and (line.points <= high).all())
    ]
    knots = [
        knot for knot in worked.knots if low[0] <= knot.x <= high[0] and low[1] <= knot.y <= high[1]
    ]
    return runs_of(lines, classes, shift), marks_of(knots, classes, shift)
