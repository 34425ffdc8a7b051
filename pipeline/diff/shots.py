"""The small charts of the sheet of corrections: a place before and after, what changed ringed.

Each side is drawn in the symbols of its own chart.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ..booklet.samples import draw_sample
from ..chart.draw import Drawing, draw_excerpt
from ..chart.edges import margins
from ..chart.font import build_font
from ..chart.options import Ink, Paper
from ..chart.plot import Plotter
from ..chart.plotted import Plot
from ..chart.symbols import choose
from ..templates import render
from .changes import Changes
from .views import Side, View, marks

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

    def _cell(self, chart: Drawing, side: Side, across: float) -> float:
        around = margins(chart.worked.height)
        columns, rows = _size(side)
        most, highest = CELL * self._room.type, HIGHEST * self._room.type
        return min(most, (across - 2 * around.side) / columns, (highest - 2 * around.end) / rows)

    def _picture(self, at: int, side: Side, cell: float) -> Overlaid:
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


def _size(side: Side) -> tuple[int, int]:
    x0, y0, x1, y1 = side.window
    return x1 - x0, y1 - y0
