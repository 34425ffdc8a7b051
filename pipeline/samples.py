"""Each line of the key drawn as it appears on the chart: a cell, a line, a knot or bead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from linenleaf.templates import render

from .crosses import Crosses, crosses
from .draw import Drawing
from .leaves import LINE, ShortKey
from .overdrawn import Dots, Lines, Stroke, dots
from .plot import Plot
from .strokes import RIM, line_width
from .worked import WorkedKnot, WorkedLine

CELL = 4.4  # mm, side of a cell of the key
RUN = 2.6  # cells; length of a line of the key
INSET = 0.1  # mm around, so that the frame is not cut


def draw_sample(drawing: Drawing, index: int) -> str:
    """Return one line of the key as SVG; its size is in mm."""
    entry = drawing.worked.entry(index)
    across = RUN if entry.is_line else 1.0
    view = (0.0, 0.0, across, 1.0)
    cells: Crosses | None = None
    strokes: tuple[Stroke, ...] = ()
    points: tuple[Dots, ...] = ()
    if entry.is_cell:
        cells = crosses(np.array([[index]], np.uint16), drawing.palette)
    elif entry.is_line:
        inner = np.array([[0.2, 0.5], [across - 0.2, 0.5]])
        line = WorkedLine(index, inner, 1.0, None)
        strokes = Lines([line]).strokes(drawing.line_styles, view)
    else:
        points = dots([WorkedKnot(index, 0.5, 0.5, None)], drawing.point_styles, view, 0.0)
    return render(
        "sample.svg.j2",
        width=across * CELL + 2 * INSET,
        height=CELL + 2 * INSET,
        inset=INSET,
        cell=CELL,
        mm=1 / CELL,
        cells=cells,
        strokes=strokes,
        dots=points,
        line_width=line_width(CELL),
        rim=RIM,
    )


SMALL, WIDEST = 3.7, 6.4  # mm; height and most width of a drawing in a chart page's short key
_PX_PER_MM = 96 / 25.4


@dataclass(frozen=True, eq=False)
class Rows:
    """The symbols of a short key as one picture; each is drawn from its one form in the PDF.

    width, height: in the unit of the chart pages, of so many mm (scale). placed: each plot and
    where its top left corner stands.
    """

    width: float
    height: float
    scale: float
    placed: tuple[tuple[Plot, float, float], ...]

    def get_intrinsic_size(
        self, _resolution: float, _font_size: float
    ) -> tuple[float, float, float]:
        """Return width and height in CSS pixels and their ratio, as WeasyPrint asks for them."""
        px = self.scale * _PX_PER_MM
        return self.width * px, self.height * px, self.width / self.height

    def draw(self, stream: Any, width: float, height: float, style: object) -> None:
        """Draw into a WeasyPrint stream, `width` by `height` CSS pixels from the origin."""
        across, down = width / self.width, height / self.height
        for plot, x, y in self.placed:
            scale = min(SMALL / plot.height, WIDEST / plot.width)
            high = plot.height * scale
            with stream.stacked():
                stream.transform(e=x * across, f=(y + (SMALL - high) / 2) * down)
                plot.draw(stream, plot.width * scale * across, high * down, style)


def short_key_symbols(
    columns: Sequence[Sequence[int]], short: ShortKey, samples: Mapping[int, Plot], scale: float
) -> Rows:
    """Return the symbols of a short key, each at the beginning of its entry."""
    placed = tuple(
        (samples[index], across * short.item, down * LINE + (LINE - SMALL) / 2)
        for across, column in enumerate(columns)
        for down, index in enumerate(column)
    )
    longest = max((len(column) for column in columns), default=1)
    return Rows(max(1, len(columns)) * short.item, longest * LINE, scale, placed)
