"""Draws what a booklet shows, all with one symbol font; loaded when the pages are on their way.

Each line of the key is drawn as it appears on the chart: a cell, a line, a knot or bead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from linenleaf.templates import render

from ..chart.counted import FINE, Drawn, sample
from ..chart.crosses import Crosses, crosses
from ..chart.draw import Drawing, draw_excerpt, draw_page
from ..chart.font import build_font
from ..chart.options import Ink
from ..chart.overdrawn import RIM, Dots, DrawnStroke, Lines, dots, line_width
from ..chart.paginate import Page, Pagination
from ..chart.plot import Plotter
from ..chart.plotted import EmbeddedFont, Plot
from ..chart.symbols import choose
from ..compose.worked import WorkedChart, WorkedKnot, WorkedLine
from ..core.matter import Note
from .layout import SAMPLE_CELL, SAMPLE_INSET, cells_across, sample_size
from .places import Shot

SIGN = 0.7  # cells; of a counted stitch


def draw_sample(drawing: Drawing, index: int) -> str:
    """Return one line of the key as SVG; its size is in mm."""
    entry = drawing.worked.entry(index)
    across = cells_across(entry)
    width, height = sample_size(entry)
    view = (0.0, 0.0, across, 1.0)
    cells: Crosses | None = None
    strokes: tuple[DrawnStroke, ...] = ()
    points: tuple[Dots, ...] = ()
    stitches: tuple[Drawn, ...] = ()
    if entry.is_cell and entry.counted is None:
        cells = crosses(np.array([[index]], np.uint16), drawing.palette)
    elif entry.parts[0].stitch is not None and not entry.is_point:
        stitches = (sample(drawing.worked.design, index, drawing.ink, across, SIGN),)
    elif entry.is_line:
        inner = np.array([[0.2, 0.5], [across - 0.2, 0.5]])
        line = WorkedLine(index, inner, 1.0, None)
        strokes = Lines([line]).strokes(drawing.line_styles, view)
    else:
        points = dots([WorkedKnot(index, 0.5, 0.5, None)], drawing.point_styles, view, 0.0)
    return render(
        "sample.svg.j2",
        width=width,
        height=height,
        inset=SAMPLE_INSET,
        cell=SAMPLE_CELL,
        mm=1 / SAMPLE_CELL,
        cells=cells,
        strokes=strokes,
        dots=points,
        stitches=stitches,
        fine=FINE,
        sign=SIGN / 2,
        line_width=line_width(SAMPLE_CELL),
        rim=RIM,
    )


class Studio:
    """Draws the chart and what belongs to it.

    scale: how much larger than usual everything but the chart pages is shown.
    """

    def __init__(
        self, worked: WorkedChart, ink: Ink, notes: Sequence[tuple[int, Note]], scale: float
    ) -> None:
        self._drawing = Drawing(worked, ink, notes)
        self._plain = replace(self._drawing, plain=True)
        self._plotter = Plotter(build_font(choose(worked), worked.design.key))
        self._scale = scale
        self._samples: dict[int, Plot] = {}

    @property
    def font(self) -> EmbeddedFont:
        """The symbol font as it goes into the PDF."""
        return self._plotter.font

    def page(self, page: Page, pagination: Pagination) -> Plot:
        """Return one chart page."""
        return self._plotter.plot(draw_page(self._drawing, page, pagination))

    def sample(self, index: int) -> Plot:
        """Return one line of the key."""
        if index not in self._samples:
            self._samples[index] = self.plot(draw_sample(self._drawing, index))
        return self._samples[index]

    def excerpt(self, note: tuple[int, Note], shot: Shot) -> Plot:
        """Return the picture of the place of a note, with the number of that note alone."""
        area = shot.x0, shot.y0, shot.x1, shot.y1
        drawing = self._plain if shot.plain else self._drawing
        return self.plot(draw_excerpt(drawing, area, shot.cell, (note,)))

    def plot(self, svg: str) -> Plot:
        """Return a drawing at its scale."""
        return replace(self._plotter.plot(svg), scale=self._scale)
