"""Draws what a booklet shows, all with one symbol font; loaded when the pages are on their way.

Each line of the key is drawn as it appears on the chart: a cell, a line, a knot or bead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from linenleaf.templates.environment import render

from ..chart.counted import FINE, Drawn, sample
from ..chart.crosses import Crosses, crosses
from ..chart.draw import Drawing, draw_excerpt, draw_page
from ..chart.font import build_font
from ..chart.looks import RIM
from ..chart.options import Ink
from ..chart.overdrawn import Dots, DrawnStroke, line_sample, line_width, point_sample
from ..chart.paginate import Page, Pagination
from ..chart.plot import Plotter
from ..chart.plotted import EmbeddedFont, Plot
from ..chart.signs import sample_sign
from ..chart.symbols import choose
from ..compose.worked import WorkedChart
from ..core.matter import Note
from .layout import Setting
from .places import Shot
from .shortkey import SAMPLE_CELL, SAMPLE_INSET, cells_across, sample_size

SIGN, SMALL_SIGN = 0.7, 0.44  # cells; of a stitch, and of a knot
EDGE = 0.2  # cells; beside a line


def draw_sample(drawing: Drawing, index: int) -> str:
    """Return one line of the key as SVG; its size is in mm."""
    entry = drawing.worked.entry(index)
    across = cells_across(entry)
    width, height = sample_size(entry)
    cells: Crosses | None = None
    strokes: tuple[DrawnStroke, ...] = ()
    points: tuple[Dots, ...] = ()
    stitches: tuple[Drawn, ...] = ()
    if entry.is_cell and entry.counted is None:
        cells = crosses(np.array([[index]], np.uint16), drawing.palette)
    elif entry.parts[0].stitch is not None and not entry.is_point:
        stitches = (sample(drawing.worked.design, index, drawing.ink, across, SIGN),)
    elif entry.is_line:
        strokes = (line_sample(drawing.line_styles[index], across, EDGE, SIGN),)
    else:
        points = (point_sample(drawing.point_styles[index]),)
    side = SMALL_SIGN if points else SIGN
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
        signs=sample_sign(drawing.worked.design, index, side, EDGE / 2),
        sign=side / 2,
        line_width=line_width(SAMPLE_CELL),
        rim=RIM,
    )


class Studio:
    """Draws the chart and what belongs to it.

    setting: says how much larger than usual everything but the chart pages is shown.
    """

    def __init__(
        self,
        worked: WorkedChart,
        ink: Ink,
        notes: Sequence[tuple[int, Note]],
        setting: Setting,
        plotter: Plotter | None = None,
    ) -> None:
        self._drawing = Drawing(worked, ink, notes, ring=setting.ring, symbol=setting.symbol)
        self._plain = replace(self._drawing, plain=True)
        self._plotter = plotter or Plotter(build_font(choose(worked), worked.design.key))
        self._setting = setting
        self._samples: dict[int, Plot] = {}

    def inked(self, ink: Ink) -> Studio:
        """Return what draws with an ink, with the same font."""
        if ink is self._drawing.ink:
            return self
        drawing = self._drawing
        return Studio(drawing.worked, ink, drawing.notes, self._setting, self._plotter)

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

    def plot(self, svg: str, scale: float | None = None) -> Plot:
        """Return a drawing, by default at the scale of all but the chart pages."""
        return replace(self._plotter.plot(svg), scale=scale or self._setting.scale)
