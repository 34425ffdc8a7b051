"""Old and new side by side in one picture, what changed ringed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cairosvg

from ..chart_svg import FINE, UNIT, Panel, panel
from ..options import Ink
from ..symbols import choose
from ..templates import render
from .differences import Differences
from .items import items
from .rings import Marks, marks
from .sheet import corrections
from .telling import Teller
from .views import View, merged, view

WIDTH = 1500  # pixels aimed at
MOST_PAIRS = 16  # places shown
GAP = 9.0  # mm between old and new; the arrow stands in it
BETWEEN = 4.0  # mm between one pair and the next


@dataclass(frozen=True, eq=False)
class _Placed:
    x: float
    y: float
    view: Panel
    marks: Marks


@dataclass(frozen=True)
class _Arrow:
    x: float
    y: float


def picture(found: Differences, suffix: str) -> bytes:
    """Return the picture as the bytes of a file; suffix: `.png`, `.svg` or `.pdf`.

    Places near each other share a pair; where there are more than MOST_PAIRS, the first are shown.
    A chart without a change that has a place is shown whole.
    """
    if suffix == ".pdf":
        data, _ = corrections(found, advice=False)
        return data or b""
    views = merged(found, [view(found, each) for each in items(found)])
    svg = _svg(found, views[:MOST_PAIRS])
    if suffix == ".svg":
        return svg.encode()
    return bytes(cairosvg.svg2png(bytestring=svg.encode(), scale=1))


def _svg(found: Differences, views: Sequence[View]) -> str:
    charts = found.old, found.new
    shapes = [choose(each) for each in charts]
    widest = max(side.window[2] - side.window[0] for each in views for side in (each.old, each.new))
    unit = max(2, min(UNIT, WIDTH // 2 // widest))
    placed: list[_Placed] = []
    arrows: list[_Arrow] = []
    y = width = 0.0
    for at, each in enumerate(views):
        x, below = 0.0, y
        for number, side in enumerate((each.old, each.new)):
            made = panel(
                charts[number],
                shapes[number] if unit >= FINE else {},
                Ink.COLOUR,
                unit,
                side.window,
                fine=unit >= FINE,
                prefix=f"{'on'[number]}{at}",
            )
            placed.append(_Placed(x, y, made, marks(side)))
            below = max(below, y + made.height)
            if not number:
                arrows.append(_Arrow(x + made.width + GAP / 2 - 3.3, y + made.height / 2))
                x += made.width + GAP
            width = max(width, x + made.width)
        y = below + BETWEEN
    height = max(y - BETWEEN, 1.0)
    per_mm = unit / placed[0].view.cell
    return render(
        "difference.svg.j2",
        prefix="d",
        title=_title(found),
        desc=_description(found),
        width=width,
        height=height,
        pixels=(round(width * per_mm), round(height * per_mm)),
        panels=placed,
        arrows=arrows,
    )


def _title(found: Differences) -> str:
    booklet = found.new.design.booklet
    return f"{booklet.title}: what changed"


def _description(found: Differences) -> str:
    teller = Teller(found)
    told = [f"{each.heading}: {' '.join(each.told)}" for each in items(found)[:MOST_PAIRS]]
    return "Old and new side by side. " + " ".join(told) if told else teller.change("Old", "new")
