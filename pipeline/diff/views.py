"""Which cells of both charts to show side by side for a change, and the small charts of them.

Each side is drawn in the symbols of its own chart.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..booklet.studio import draw_sample
from ..chart.draw import Drawing, draw_excerpt
from ..chart.edges import margins
from ..chart.font import build_font
from ..chart.options import Ink, Paper
from ..chart.overdrawn import meet
from ..chart.plot import Plotter
from ..chart.plotted import Plot
from ..chart.symbols import choose
from ..compose.worked import WorkedChart
from ..core.items import Box
from ..templates.environment import render
from .areas import NEAR, boxes, label
from .changes import CellArray, Changes
from .entries import NO_CELLS, PlaceEntry

AROUND = 3  # cells shown round what changed
LEAST = (18, 9)  # cells shown across and down, where the chart has so many
MOST_MERGED = 120  # cells across and down of a view that shows several places
MOST = (56, 44)  # cells up to which two places far apart are shown in one view
RING = 0.75  # cells between what changed and its ring
_HANDLE = 0.4477  # what a curve leaves of a radius, to stand for a quarter circle
MOST_OUTLINED = 5_000  # cells; more are seen without, and take minutes to draw
RADIUS = 0.7  # cells, of the corners of a ring

CellWindow = tuple[int, int, int, int]


@dataclass(frozen=True, eq=False)
class ShownSide:
    """What is shown of one chart: the window, cells to outline, boxes to ring."""

    window: CellWindow
    cells: CellArray
    rings: tuple[Box, ...]


@dataclass(frozen=True, eq=False)
class View:
    """A place before and after."""

    old: ShownSide
    new: ShownSide


def view(changes: Changes, item: PlaceEntry) -> View:
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
        ShownSide(windows[0], item.cells - np.array([x, y]), item.old_rings),
        ShownSide(windows[1], item.cells, item.new_rings),
    )


def _same(changes: Changes, both: Box) -> tuple[CellWindow, CellWindow]:
    """Return one place of both charts; where one of them ends earlier it shows less of it."""
    x, y = changes.shift
    new = _window(changes.new, both)
    old = _clipped(changes.old, (new[0] - x, new[1] - y, new[2] - x, new[3] - y))
    if old is None:
        old = _window(changes.old, (both[0] - x, both[1] - y, both[2] - x, both[3] - y))
    return old, new


def _clipped(worked: WorkedChart, window: CellWindow) -> CellWindow | None:
    x0, y0 = max(window[0], 0), max(window[1], 0)
    x1, y1 = min(window[2], worked.width), min(window[3], worked.height)
    return (x0, y0, x1, y1) if x1 - x0 >= 1 and y1 - y0 >= 1 else None


def _window(worked: WorkedChart, focus: Box) -> CellWindow:
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
        return [View(ShownSide(whole[0], NO_CELLS, ()), ShownSide(whole[1], NO_CELLS, ()))]
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
        ShownSide(window, np.concatenate([a.cells, b.cells]), a.rings + b.rings)
        for window, (a, b) in zip((old, new), sides, strict=True)
    )
    return View(first, second)


def _near(one: Box, other: Box) -> bool:
    wide = other[0] - AROUND, other[1] - AROUND, other[2] + AROUND, other[3] + AROUND
    return one[0] < wide[2] and wide[0] < one[2] and one[1] < wide[3] and wide[1] < one[3]


def _overlap(one: CellWindow, other: CellWindow) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _whole(box: Box) -> CellWindow:
    return int(box[0]), int(box[1]), int(box[2]), int(box[3])


# --- outlines and rings ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Marks:
    """Paths in cells from the corner of a window."""

    outline: str
    rings: str


def marks(side: ShownSide) -> Marks:
    """Return what is drawn over one side of a view."""
    x0, y0, x1, y1 = side.window
    mask = np.zeros((y1 - y0, x1 - x0), dtype=bool)
    x, y = side.cells.T
    inside = (x >= x0) & (x < x1) & (y >= y0) & (y < y1)
    mask[y[inside] - y0, x[inside] - x0] = True
    ringed = boxes(*label(mask, NEAR)).tolist()
    for each in side.rings:
        box = meet(each, (x0, y0, x1, y1))
        if box is not None:
            ringed.append([box[0] - x0, box[1] - y0, box[2] - x0, box[3] - y0])
    rings = "".join(_ring((ring[0], ring[1], ring[2], ring[3])) for ring in ringed)
    few = np.count_nonzero(mask) <= MOST_OUTLINED
    return Marks(outline(mask) if few else "", rings)


def outline(mask: NDArray[np.bool_]) -> str:
    """Return the edges between marked cells and others as a path, each straight run once."""
    padded = np.pad(mask, 1)
    level = padded[1:, 1:-1] != padded[:-1, 1:-1]
    upright = padded[1:-1, 1:] != padded[1:-1, :-1]
    runs = [f"M{x0} {y}H{x1}" for y, x0, x1 in _runs(level)]
    runs += [f"M{x} {y0}V{y1}" for x, y0, y1 in _runs(upright.T)]
    return "".join(runs)


def _runs(mask: NDArray[np.bool_]) -> list[list[int]]:
    """Return row, start and end of each run of marked cells along the rows."""
    steps = np.diff(np.pad(mask, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    rows, starts = np.nonzero(steps == 1)
    ends = np.nonzero(steps == -1)[1]
    runs: list[list[int]] = np.stack([rows, starts, ends], axis=1).tolist()
    return runs


def _ring(box: Box) -> str:
    """Return a rectangle with round corners round a box."""
    x0, y0, x1, y1 = box[0] - RING, box[1] - RING, box[2] + RING, box[3] + RING
    r = min(RADIUS, (x1 - x0) / 2, (y1 - y0) / 2)
    h = r * _HANDLE
    across, down = x1 - x0 - 2 * r, y1 - y0 - 2 * r

    turn, back = f"{r - h:.4g}", f"{h:.4g}"
    end = f"{r:.4g}"
    return (
        f"M{x0 + r:.5g} {y0:.5g}h{across:.5g}c{turn} 0 {end} {back} {end} {end}"
        f"v{down:.5g}c0 {turn} -{back} {end} -{end} {end}"
        f"h{-across:.5g}c-{turn} 0 -{end} -{back} -{end} -{end}"
        f"v{-down:.5g}c0 -{turn} {back} -{end} {end} -{end}z"
    )


CELL = 0.25  # mm of the largest cell for each point of the size of type
HIGHEST = 5.7  # mm of the highest picture for each point
MOST_COLUMNS, MOST_ROWS = 150, 90  # shown in one picture
STACKED = 50  # columns beyond which before and after stand one below the other
WORDS = 0.3  # of the width of the page stand beside the pictures
BETWEEN = 5.2  # mm between words and pictures
FONTS = ("LinenleafBefore", "LinenleafAfter")


@dataclass(frozen=True)
class Room:
    """How a page is divided: margin, widths of words and pictures, in mm; size of type in points.

    Small paper has the words above the pictures, then `words` is 0.
    """

    edge: float
    words: float
    rest: float
    type: float

    @property
    def whole(self) -> float:
        """Width of everything between the margins."""
        return self.rest + (self.words + BETWEEN if self.words else 0.0)


def room(paper: Paper) -> Room:
    """Return how a page of a paper is divided; templates/errata.css.j2 follows it."""
    small = paper.width < 180
    edge, size = (30.0, 12.0) if paper.width > 250 else (12.0, 8.5) if small else (18.0, 9.5)
    whole = paper.width - 2 * edge
    words = 0.0 if small else whole * WORDS
    return Room(edge, words, whole if small else whole - words - BETWEEN, size)


@dataclass(frozen=True, eq=False)
class Overlaid:
    """Plots of one size drawn on each other, in the place of an image; see `plot.Plot`."""

    plots: tuple[Plot, ...]

    def get_intrinsic_size(self, resolution: float, font_size: float) -> tuple[float, float, float]:
        """Return width and height in CSS pixels and their ratio, as WeasyPrint asks for them."""
        return self.plots[0].get_intrinsic_size(resolution, font_size)

    def draw(self, stream: Any, width: float, height: float, style: object) -> None:
        """Draw into a WeasyPrint stream, `width` by `height` CSS pixels from the origin."""
        for each in self.plots:
            each.draw(stream, width, height, style)


class Shots:
    """Makes the drawings and keeps them by address."""

    def __init__(self, changes: Changes, divided: Room) -> None:
        """Prepare both charts for a page that is divided so."""
        self.drawings: dict[str, object] = {}
        self._room = divided
        self._charts = [Drawing(each, Ink.COLOUR) for each in (changes.old, changes.new)]
        self._chosen = [choose(each) for each in (changes.old, changes.new)]
        self._plotters = [
            Plotter(build_font(chosen, chart.worked.design.key), name)
            for chosen, chart, name in zip(self._chosen, self._charts, FONTS, strict=True)
        ]

    def finish(self, document: object, pdf: object) -> None:
        """Add the symbol fonts to a PDF: a finisher for `pdf.press`."""
        for each in self._plotters:
            each.finish(document, pdf)

    @property
    def inset(self) -> float:
        """How far inside a picture its cells begin, in mm."""
        return margins(self._charts[1].worked.height).side

    def take(self, view: View, name: str) -> tuple[tuple[str, str], bool] | None:
        """Draw a place before and after; return both addresses, and whether to stack them.

        None where too much would have to be shown for anything to be seen.
        """
        sides = (view.old, view.new)
        wide, high = (max(_size(each)[at] for each in sides) for at in (0, 1))
        if wide > MOST_COLUMNS or high > MOST_ROWS:
            return None
        stacked = wide > STACKED and wide > 1.5 * high
        across = self._room.rest * (1 if stacked else 0.49)
        cell = min(
            self._cell(chart, side, across) for chart, side in zip(self._charts, sides, strict=True)
        )
        addresses = f"before:{name}", f"after:{name}"
        for at, side in enumerate(sides):
            self.drawings[addresses[at]] = self._picture(at, side, cell)
        return addresses, stacked

    def symbol(self, index: int, name: str, *, new: bool) -> str:
        """Draw the symbol of a key line and return its address; empty for one not in use."""
        if self._charts[new].worked.entry(index).is_cell and index not in self._chosen[new]:
            return ""
        address = f"symbol:{name}:{'new' if new else 'old'}"
        sample = draw_sample(self._charts[new], index)
        self.drawings[address] = self._plotters[new].plot(sample)
        return address

    def _cell(self, chart: Drawing, side: ShownSide, across: float) -> float:
        around = margins(chart.worked.height)
        columns, rows = _size(side)
        most, highest = CELL * self._room.type, HIGHEST * self._room.type
        return min(most, (across - 2 * around.side) / columns, (highest - 2 * around.end) / rows)

    def _picture(self, at: int, side: ShownSide, cell: float) -> Overlaid:
        chart, plotter = self._charts[at], self._plotters[at]
        around = margins(chart.worked.height)
        columns, rows = _size(side)
        rings = render(
            "ringed.svg.j2",
            width=columns * cell + 2 * around.side,
            height=rows * cell + 2 * around.end,
            left=around.side,
            top=around.end,
            cell=cell,
            mm=1 / cell,
            marks=marks(side),
        )
        excerpt = draw_excerpt(chart, side.window, cell)
        return Overlaid((plotter.plot(excerpt), plotter.plot(rings)))


def _size(side: ShownSide) -> tuple[int, int]:
    x0, y0, x1, y1 = side.window
    return x1 - x0, y1 - y0
