"""The lines, knots and beads of two charts that no moved, new, gone or redrawn motif explains."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedChart, WorkedKnot, WorkedLine
from ..core.model import Knot, Line, Motif
from ..core.source import Span
from .alignment import Offset
from .explained import Explained
from .keypairs import KeyPairs
from .stretches import Mark, Run, unlike
from .units import Sort, Unit

_Place = tuple[str, int, int]
_Bounds = dict[_Place, NDArray[np.float64]]
NEAR = 1e-3  # crosses


def runs_and_marks(
    old: WorkedChart,
    new: WorkedChart,
    pairs: KeyPairs,
    shift: Offset,
    explained: Explained,
    redrawn: Collection[str],
) -> tuple[tuple[list[Run], list[Run]], tuple[list[Mark], list[Mark]]]:
    """Return lines and knots of each side that may differ and are to be told by themselves.

    A line belongs to a copy of a motif when it stems from a line of that motif and lies within
    the copy. If the copy moved, came or went, or the motif is drawn otherwise, that is told of it.
    """
    told = [
        each
        for number, each in enumerate(explained.matches)
        if (not each.plain and explained.reported(number))
        or (each.new is not None and each.new.name in redrawn)
    ]
    before, after = (
        (
            [_run(each, classes, way) for each in worked.lines],
            [_mark(each, classes, way) for each in worked.knots],
        )
        for worked, classes, way in (
            (old, pairs.old_class, shift),
            (new, pairs.new_class, (0, 0)),
        )
    )
    lines = unlike(before[0], after[0])
    owned_old = _owned(old, [each.old for each in told], shift)
    owned_new = _owned(new, [each.new for each in told], (0, 0))
    spans_old = {id(run): each.span for run, each in zip(before[0], old.lines, strict=True)}
    spans_new = {id(run): each.span for run, each in zip(after[0], new.lines, strict=True)}
    return (
        (
            [each for each in lines[0] if not _within(each.points, spans_old[id(each)], owned_old)],
            [each for each in lines[1] if not _within(each.points, spans_new[id(each)], owned_new)],
        ),
        (
            _free_marks(before[1], old.knots, owned_old),
            _free_marks(after[1], new.knots, owned_new),
        ),
    )


def _run(line: WorkedLine, classes: NDArray[np.int32], shift: Offset) -> Run:
    return Run(line.index, int(classes[line.index]), line.points + np.array(shift), line.cell)


def _mark(knot: WorkedKnot, classes: NDArray[np.int32], shift: Offset) -> Mark:
    return Mark(knot.index, int(classes[knot.index]), knot.x + shift[0], knot.y + shift[1])


def _free_marks(marks: Sequence[Mark], knots: Sequence[WorkedKnot], owned: _Bounds) -> list[Mark]:
    return [
        mark
        for mark, knot in zip(marks, knots, strict=True)
        if not _within(np.array([[mark.x, mark.y]]), knot.span, owned)
    ]


def _owned(worked: WorkedChart, copies: Iterable[Unit | None], shift: Offset) -> _Bounds:
    """Return, for each line and knot in the source of a motif, where copies of the motif lie."""
    by_name: dict[str, list[tuple[float, ...]]] = {}
    for unit in copies:
        if unit is not None and unit.sort is Sort.MOTIF:
            x0, y0, x1, y1 = unit.box
            box = x0 + shift[0], y0 + shift[1], x1 + shift[0], y1 + shift[1]
            by_name.setdefault(unit.name, []).append(box)
    found: _Bounds = {}
    for name, boxes in by_name.items():
        motif = worked.design.motifs.get(name)
        if motif is not None:
            bounds = np.array(boxes)
            found |= dict.fromkeys(_places(motif), bounds)
    return found


def _places(motif: Motif) -> list[_Place]:
    drawn: tuple[Line | Knot, ...] = (*motif.lines, *motif.knots)
    return [_place(each.span) for each in drawn if each.span is not None]


def _place(span: Span) -> _Place:
    return span.path, span.start, span.end


def _within(points: NDArray[np.float64], span: Span | None, owned: _Bounds) -> bool:
    if span is None or _place(span) not in owned:
        return False
    boxes = owned[_place(span)]
    low, high = points.min(axis=0) - NEAR, points.max(axis=0) + NEAR
    lower = (boxes[:, :2] <= low + 2 * NEAR).all(axis=1)
    return bool((lower & (boxes[:, 2:] >= high - 2 * NEAR).all(axis=1)).any())
