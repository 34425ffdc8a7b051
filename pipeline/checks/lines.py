"""Back stitch, straight stitch and knots."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..compose.misplaced import place
from ..compose.worked import WorkedChart, WorkedLine
from ..core.diagnostics import Hint
from ..core.items import Line
from ..stitches.lines import stretches
from .checking import Check, Fault

MOST_STEPS = 4_000_000  # of all lines of a chart: 128 MB at the very worst


@dataclass(frozen=True, eq=False)
class Steps:
    """Steps from hole to hole.

    ends: (n, 4) x0, y0, x1, y1 of each step in units, the lesser end first. line: (n,) which
    line each belongs to. unit: how many to a cross.
    """

    ends: NDArray[np.int64]
    line: NDArray[np.int64]
    unit: int


def steps(lines: Sequence[WorkedLine], over: int) -> Steps | None:
    """Cut lines at every place where they meet a corner of the grid of half threads.

    Returns None where there would be too many.
    """
    along = stretches([line.points for line in lines], over)
    total = int(along.number.sum())
    if total > MOST_STEPS:
        return None
    of = np.repeat(np.arange(len(along.number)), along.number)
    before = np.cumsum(along.number) - along.number
    position = np.arange(total) - before[of]
    low = along.first[of] + along.step[of] * position[:, None]
    high = low + along.step[of]
    turned = (low[:, 0] > high[:, 0]) | ((low[:, 0] == high[:, 0]) & (low[:, 1] > high[:, 1]))
    ends = np.where(turned[:, None], np.hstack([high, low]), np.hstack([low, high]))
    return Steps(ends, along.line[of], along.unit)


def _no_length(worked: WorkedChart) -> Iterator[Fault]:
    design = worked.design
    lines = [item for item in design.chart.items if isinstance(item, Line)]
    drawn = (shape for each in worked.placed for shape in each.drawn if isinstance(shape, Line))
    lines.extend({id(line.span or line): line for line in drawn}.values())
    for line in lines:
        for one, other in pairwise(line.points):
            if one == other:
                yield Fault(
                    f"The line `{line.symbol}` has a stitch of no length at {place(one)}.",
                    line.span,
                    ("take one of the two equal points out",),
                )
                break


def _doubled(worked: WorkedChart) -> Iterator[Fault]:
    cut = steps(worked.lines, worked.design.ground.fabric.over)
    if cut is None or not len(cut.line):
        return
    both = np.concatenate([cut.line[:, None], cut.ends], axis=1)
    unique, counts = np.unique(both, axis=0, return_counts=True)
    told: set[int] = set()
    for row in unique[counts > 1].tolist():
        line = worked.lines[row[0]]
        source = id(line.span or line)  # copies of a motif share the line they come from
        if source in told:
            continue
        told.add(source)
        at = row[1] / cut.unit, row[2] / cut.unit
        yield Fault(
            f"The line `{worked.entry(line.index).symbol}` goes twice over the same stitch, "
            f"at {place(at)}.",
            line.span,
            ("begin a second line instead of going back along the first",),
        )


def _shared(worked: WorkedChart) -> Iterator[Fault]:
    cut = steps(worked.lines, worked.design.ground.fabric.over)
    if cut is None or not len(cut.line):
        return
    order = np.lexsort((cut.line, *cut.ends.T[::-1]))
    ends, owner = cut.ends[order], cut.line[order]
    same = (ends[1:] == ends[:-1]).all(axis=1) & (owner[1:] != owner[:-1])
    told: set[tuple[int, int]] = set()
    for at in np.flatnonzero(same).tolist():
        first, second = (worked.lines[each] for each in (owner[at], owner[at + 1]))
        pair = id(first.span or first), id(second.span or second)
        if pair in told:
            continue
        told.add(pair)
        where = ends[at, 0] / cut.unit, ends[at, 1] / cut.unit
        yield Fault(
            f"The lines `{worked.entry(first.index).symbol}` and "
            f"`{worked.entry(second.index).symbol}` share a stitch at {place(where)}: "
            "it is worked twice.",
            second.span,
            (Hint("the other line", first.span), "leave the stitch out of one of them"),
        )


def _knot_on_knot(worked: WorkedChart) -> Iterator[Fault]:
    unit = 2 * worked.design.ground.fabric.over
    first: dict[tuple[int, int], int] = {}
    told: set[int] = set()
    for number, knot in enumerate(worked.knots):
        at = round(knot.x * unit), round(knot.y * unit)
        other = first.setdefault(at, number)
        source = id(knot.span or knot)
        if other == number or source in told:
            continue
        told.add(source)
        yield Fault(
            f"Two knots or beads are in one hole, at {place((knot.x, knot.y))}.",
            knot.span,
            (Hint("the other one", worked.knots[other].span), "take one of them out"),
        )


CHECKS = (
    Check("no-length", _no_length),
    Check("doubled-line", _doubled),
    Check("shared-line", _shared),
    Check("knot-on-knot", _knot_on_knot),
)
