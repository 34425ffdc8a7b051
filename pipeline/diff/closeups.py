"""Where the lines, knots and beads of one copy of a motif differ."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedChart
from .alignment import Offset
from .differences import Differences
from .stretches import Mark, Run, dotted, unlike
from .units import Box

ROOM = 0.5  # crosses left round a line or a knot
NEAR = 1e-3


def around(points: Iterable[Sequence[float]]) -> Box:
    """Return a box round points, with a little room."""
    xs, ys = zip(*points, strict=True)
    return min(xs) - ROOM, min(ys) - ROOM, max(xs) + ROOM, max(ys) + ROOM


def drawn_otherwise(
    found: Differences, old: Box, new: Box
) -> tuple[tuple[Box, ...], tuple[Box, ...]]:
    """Return boxes round the lines and knots within two boxes that differ.

    old, new: where the motif lies, each on its own chart; so are the boxes that come back.
    """
    lines, marks = _within(found.old, found.pairs.old_class, old, found.shift)
    more, others = _within(found.new, found.pairs.new_class, new, (0, 0))
    gone, come = unlike(lines, more)
    boxes_old = [around(each.points.tolist()) for each in gone]
    boxes_new = [around(each.points.tolist()) for each in come]
    for each in dotted(marks, others):
        boxes = [around([point]) for point in each.points]
        boxes_old += boxes if each.old else []
        boxes_new += boxes if each.new else []
    x, y = found.shift
    back = tuple((each[0] - x, each[1] - y, each[2] - x, each[3] - y) for each in boxes_old)
    return back, tuple(boxes_new)


def _within(
    worked: WorkedChart, classes: NDArray[np.int32], box: Box, shift: Offset
) -> tuple[list[Run], list[Mark]]:
    low, high = np.array(box[:2]) - NEAR, np.array(box[2:]) + NEAR
    move = np.array(shift)
    lines = [
        Run(each.index, int(classes[each.index]), each.points + move, each.cell)
        for each in worked.lines
        if bool((each.points >= low).all() and (each.points <= high).all())
    ]
    marks = [
        Mark(each.index, int(classes[each.index]), each.x + shift[0], each.y + shift[1])
        for each in worked.knots
        if low[0] <= each.x <= high[0] and low[1] <= each.y <= high[1]
    ]
    return lines, marks
