"""Which cells of the old and the new chart to show side by side for a difference."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ..compose.worked import WorkedChart
from .canvas import Box
from .changes import Changes, Places
from .entries import NO_CELLS, Item

AROUND = 3  # cells shown round what changed
LEAST = (18, 9)  # cells shown across and down, where the chart has so many
MOST_MERGED = 120  # cells across and down of a view that shows several places
MOST = (56, 44)  # cells up to which two places far apart are shown in one view

Window = tuple[int, int, int, int]


@dataclass(frozen=True, eq=False)
class Side:
    """What is shown of one chart: the window, cells to outline, boxes to ring."""

    window: Window
    cells: Places
    rings: tuple[Box, ...]


@dataclass(frozen=True, eq=False)
class View:
    """A place before and after."""

    old: Side
    new: Side


def view(changes: Changes, item: Item) -> View:
    """Return what to show for a difference: the same place of both charts if that can be."""
    x, y = changes.shift
    old_focus = item.old or _moved(item.new, -x, -y)
    new_focus = item.new or _moved(item.old, x, y)
    assert old_focus is not None
    assert new_focus is not None
    both = _union(_moved(old_focus, x, y) or new_focus, new_focus)
    wide, high = both[2] - both[0], both[3] - both[1]
    apart = not _near(_moved(old_focus, x, y) or new_focus, new_focus)
    if apart and (wide + 2 * AROUND > MOST[0] or high + 2 * AROUND > MOST[1]):
        windows = _window(changes.old, old_focus), _window(changes.new, new_focus)
    else:
        windows = _same(changes, both)
    return View(
        Side(windows[0], item.cells - np.array([x, y]), item.old_rings),
        Side(windows[1], item.cells, item.new_rings),
    )


def _same(changes: Changes, both: Box) -> tuple[Window, Window]:
    """Return one place of both charts; where one of them ends earlier it shows less of it."""
    x, y = changes.shift
    new = _window(changes.new, both)
    old = _clipped(changes.old, (new[0] - x, new[1] - y, new[2] - x, new[3] - y))
    if old is None:
        old = _window(changes.old, (both[0] - x, both[1] - y, both[2] - x, both[3] - y))
    return old, new


def _clipped(worked: WorkedChart, window: Window) -> Window | None:
    x0, y0 = max(window[0], 0), max(window[1], 0)
    x1, y1 = min(window[2], worked.width), min(window[3], worked.height)
    return (x0, y0, x1, y1) if x1 - x0 >= 1 and y1 - y0 >= 1 else None


def _window(worked: WorkedChart, focus: Box) -> Window:
    x0, x1 = _stretch(focus[0], focus[2], worked.width, LEAST[0])
    y0, y1 = _stretch(focus[1], focus[3], worked.height, LEAST[1])
    return x0, y0, x1, y1


def _stretch(start: float, end: float, length: int, least: int) -> tuple[int, int]:
    wanted = min(max(math.ceil(end) - math.floor(start) + 2 * AROUND, least), length)
    first = math.floor((start + end) / 2 - wanted / 2)
    first = min(max(first, 0), length - wanted)
    return first, first + wanted


def _moved(box: Box | None, x: float, y: float) -> Box | None:
    return None if box is None else (box[0] + x, box[1] + y, box[2] + x, box[3] + y)


def _union(one: Box, other: Box) -> Box:
    return (
        min(one[0], other[0]),
        min(one[1], other[1]),
        max(one[2], other[2]),
        max(one[3], other[3]),
    )


def merged(changes: Changes, views: Iterable[View]) -> list[View]:
    """Return views with those that show the same cells, before and after, made one.

    None grows beyond MOST_MERGED. Where there is none, both charts are shown whole.
    """
    made: list[View] = []
    for each in views:
        waiting = each
        for other in list(made):
            both = _together(changes, waiting, other)
            if both is not None:
                made.remove(other)
                waiting = both
        made.append(waiting)
    if not made:
        whole = [(0, 0, each.width, each.height) for each in (changes.old, changes.new)]
        return [View(Side(whole[0], NO_CELLS, ()), Side(whole[1], NO_CELLS, ()))]
    return sorted(made, key=lambda each: (each.new.window[1], each.new.window[0]))


def _together(changes: Changes, one: View, other: View) -> View | None:
    sides = [(one.old, other.old), (one.new, other.new)]
    if not all(_overlap(first.window, second.window) for first, second in sides):
        return None
    old, new = (_whole(_union(first.window, second.window)) for first, second in sides)
    x, y = changes.shift
    if _clipped(changes.old, (new[0] - x, new[1] - y, new[2] - x, new[3] - y)) != old:
        return None
    if new[2] - new[0] > MOST_MERGED or new[3] - new[1] > MOST_MERGED:
        return None
    first, second = (
        Side(window, np.concatenate([a.cells, b.cells]), a.rings + b.rings)
        for window, (a, b) in zip((old, new), sides, strict=True)
    )
    return View(first, second)


def _near(one: Box, other: Box) -> bool:
    wide = other[0] - AROUND, other[1] - AROUND, other[2] + AROUND, other[3] + AROUND
    return one[0] < wide[2] and wide[0] < one[2] and one[1] < wide[3] and wide[1] < one[3]


def _overlap(one: Window, other: Window) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _whole(box: Box) -> Window:
    return int(box[0]), int(box[1]), int(box[2]), int(box[3])
