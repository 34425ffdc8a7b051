"""Where photographs are said to show the chart: what can be told before they are opened."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from ..compose.worked import WorkedChart
from ..core.matter import Showing
from ..photograph.placing import Landmark, Placing
from ..photograph.told import Limit
from .checking import Check, Fault


def _uneven(worked: WorkedChart) -> Iterator[Fault]:
    for showing in worked.design.showings:
        if not _is_whole(showing):
            yield Fault(
                "What this photograph shows does not begin and end between whole crosses.",
                showing.part_span,
                ("give whole numbers of crosses: a photograph is read cross by cross",),
            )


def _outside(worked: WorkedChart) -> Iterator[Fault]:
    for showing in worked.design.showings:
        x0, y0, x1, y1 = showing.x0, showing.y0, showing.x1, showing.y1
        if min(x0, y0) < 0 or x1 > worked.width or y1 > worked.height or x1 <= x0 or y1 <= y0:
            yield Fault(
                f"What this photograph shows, {x0:g},{y0:g} to {x1:g},{y1:g}, does not lie in the "
                f"chart, which is {worked.width} x {worked.height}.",
                showing.part_span,
                ("name what lies in the chart; what it lacks, chart first, if only as bare rows",),
            )


def _is_whole(showing: Showing) -> bool:
    return all(each == round(each) for each in (showing.x0, showing.y0, showing.x1, showing.y1))


def _misplaced(worked: WorkedChart, limit: Limit) -> Iterator[Fault]:
    for showing in worked.design.showings:
        wide, high = showing.x1 - showing.x0, showing.y1 - showing.y0
        if not _is_whole(showing) or wide < 1 or high < 1:
            continue
        marks = tuple(Landmark(*place, *pixel) for place, pixel in showing.landmarks)
        placing = Placing(round(wide), round(high), showing.corners, marks)
        for told in placing.faults(showing.width, showing.height):
            if told.limit is limit:
                yield Fault(told.message, showing.corners_span, (told.advice,))


# What follows from corners, landmarks and sizes alone.
_OF_CORNERS = (
    Limit.CORNERS_OUTSIDE,
    Limit.CORNERS_CROSSED,
    Limit.CORNERS_IN_LINE,
    Limit.LANDMARK_OUTSIDE,
    Limit.LANDMARK_OFF,
    Limit.TOO_SMALL,
    Limit.SMALL,
    Limit.TOO_FEW,
    Limit.TOO_LARGE,
)
CHECKS = (
    Check("part-uneven", _uneven),
    Check("part-outside", _outside),
    *(Check(limit.word, partial(_misplaced, limit=limit)) for limit in _OF_CORNERS),
)
