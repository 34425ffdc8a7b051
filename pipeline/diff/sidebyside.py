"""Old and new side by side in one picture, what changed ringed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..chart.options import Ink
from ..chart.symbols import choose
from ..compose.worked import IndexGrid
from ..pictures.chart_svg import FINE, UNIT, Panel, panel
from ..pictures.painting import svg_to_png
from ..templates.environment import render
from .changes import Changes
from .entries import entries
from .errata import corrections
from .sentences import Teller
from .views import CellWindow, Marks, View, marks, merged, view

WIDTH = 1600  # pixels at the most
MOST_PAIRS = 16  # places shown
MOST_RUNS = 200_000  # of cells of one thread, in all; more take longer than anybody waits
EDGE = 2.5  # mm round everything
GAP = 9.0  # mm between old and new; the arrow stands in it
BETWEEN, APART = 6.0, 10.0  # mm between one pair and that below, and that beside
PER_MM = UNIT / 3.0  # pixels: then the largest cells are drawn as finely as their symbols
MARGINS = 6  # cells that take about as much room as the numbers on both sides


class TooMuch(Exception):
    """More would be drawn than a picture has room for; str() says so."""


@dataclass(frozen=True, eq=False)
class _PlacedPanel:
    x: float
    y: float
    view: Panel
    marks: Marks


@dataclass(frozen=True)
class _Arrow:
    x: float
    y: float


def picture(changes: Changes, suffix: str) -> bytes:
    """Return the picture as the bytes of a file; suffix: `.png`, `.svg` or `.pdf`.

    Places near each other share a pair; where there are more than MOST_PAIRS, the first are shown.
    A chart without a change that has a place is shown whole.

    Raises:
        TooMuch: where more than MOST_RUNS runs of cells would be drawn.
    """
    if suffix == ".pdf":
        data, _ = corrections(changes, advice=False)
        return data or b""
    views = merged(changes, [view(changes, item) for item in entries(changes).items])
    shown = views[:MOST_PAIRS]
    runs = sum(
        _runs(worked.grid, side.window)
        for one in shown
        for worked, side in ((changes.old, one.old), (changes.new, one.new))
    )
    if runs > MOST_RUNS:
        raise TooMuch(
            f"Too much is in the places that differ: one picture would show {runs:,} runs of "
            f"cells, and at most {MOST_RUNS:,} are drawn. The words tell what changed."
        )
    svg = _svg(changes, shown)
    if suffix == ".svg":
        return svg.encode()
    return svg_to_png(svg)


def _runs(grid: IndexGrid, window: CellWindow) -> int:
    """Return how many runs of cells of one thread the rows of a part of a grid have."""
    left, top, right, bottom = (max(0, side) for side in window)
    part = grid[top:bottom, left:right]
    return len(part) + int(np.count_nonzero(part[:, 1:] != part[:, :-1]))


def _svg(changes: Changes, views: Sequence[View]) -> str:
    shapes = [choose(each) for each in (changes.old, changes.new)]
    pairs = [_pair(changes, shapes, each, at) for at, each in enumerate(views)]
    width = max(each.width for each in pairs)
    placed: list[_PlacedPanel] = []
    arrows: list[_Arrow] = []
    x = y = below = EDGE
    for pair in pairs:
        if x > EDGE and x + pair.width > width + EDGE:
            x, y = EDGE, below + BETWEEN
        old, new = pair.panels
        for at, made, drawn in ((x, *old), (x + old[0].width + GAP, *new)):
            placed.append(_PlacedPanel(at, y, made, drawn))
        arrows.append(_Arrow(x + old[0].width + GAP / 2 - 3.3, y + pair.height / 2))
        x, below = x + pair.width + APART, max(below, y + pair.height)
    width, height = width + 2 * EDGE, below + EDGE
    per_mm = min(PER_MM, WIDTH / width)
    return render(
        "difference.svg.j2",
        prefix="d",
        title=_title(changes),
        desc=_description(changes),
        width=width,
        height=height,
        pixels=(round(width * per_mm), round(height * per_mm)),
        panels=placed,
        arrows=arrows,
    )


@dataclass(frozen=True, eq=False)
class _BeforeAfter:
    """A place before and after, each with what is drawn over it."""

    panels: tuple[tuple[Panel, Marks], tuple[Panel, Marks]]

    @property
    def width(self) -> float:
        old, new = (each for each, _ in self.panels)
        return old.width + GAP + new.width

    @property
    def height(self) -> float:
        return max(each.height for each, _ in self.panels)


def _pair(
    changes: Changes, shapes: Sequence[Mapping[int, str]], view_: View, at: int
) -> _BeforeAfter:
    sides = view_.old, view_.new
    widest = max(side.window[2] - side.window[0] for side in sides)
    unit = max(1, min(UNIT, WIDTH // 2 // (widest + MARGINS)))
    fine = unit >= FINE
    old, new = (
        (
            panel(
                worked,
                shapes[number] if fine else {},
                Ink.COLOUR,
                unit,
                side.window,
                fine=fine,
                prefix=f"{'on'[number]}{at}",
            ),
            marks(side),
        )
        for number, (worked, side) in enumerate(zip((changes.old, changes.new), sides, strict=True))
    )
    return _BeforeAfter((old, new))


def _title(changes: Changes) -> str:
    title = changes.new.design.booklet.title
    return Teller.in_print(changes).gettext("What changed in %(title)s", title=title)


def _description(changes: Changes) -> str:
    shown = entries(changes).items[:MOST_PAIRS]
    teller = Teller.in_print(changes)
    told = [teller.colon(item.heading, " ".join(item.told)) for item in shown]
    return " ".join([teller.gettext("Old and new side by side."), *told])
