"""Lines cut off at the edge of a page."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

Point = tuple[float, float]
Box = tuple[float, float, float, float]  # x0, y0, x1, y1


def meet(one: Box, other: Box) -> Box | None:
    """Return the common area of two boxes, None when there is none; a touch counts."""
    x0, y0 = max(one[0], other[0]), max(one[1], other[1])
    x1, y1 = min(one[2], other[2]), min(one[3], other[3])
    return (x0, y0, x1, y1) if x0 <= x1 and y0 <= y1 else None


def segment(start: Point, end: Point, box: Box) -> tuple[Point, Point] | None:
    """Return the part of a segment inside a box, None when there is none.

    Source: Y.-D. Liang and B. A. Barsky, "A new concept and method for line clipping", ACM
    Transactions on Graphics 3(1), 1984, 1-22.
    """
    dx, dy = end[0] - start[0], end[1] - start[1]
    first, last = 0.0, 1.0
    for towards, room in (
        (-dx, start[0] - box[0]),
        (dx, box[2] - start[0]),
        (-dy, start[1] - box[1]),
        (dy, box[3] - start[1]),
    ):
        if towards == 0:
            if room < 0:
                return None
        elif towards < 0:
            first = max(first, room / towards)
        else:
            last = min(last, room / towards)
    if first > last:
        return None
    return (
        (start[0] + first * dx, start[1] + first * dy),
        (start[0] + last * dx, start[1] + last * dy),
    )


def polyline(points: Sequence[Point], box: Box) -> list[list[Point]]:
    """Return the parts of a line through points that lie inside a box, each as its points."""
    found: list[list[Point]] = []
    for start, end in pairwise(points):
        cut = segment(start, end, box)
        if cut is None or cut[0] == cut[1]:
            continue
        if found and found[-1][-1] == cut[0] == start:
            found[-1].append(cut[1])
        else:
            found.append(list(cut))
    return found
