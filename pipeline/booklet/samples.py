"""Each line of the key drawn as it appears on the chart: a cell, a line, a knot or bead."""

from __future__ import annotations

import numpy as np
from linenleaf.templates import render

from ..chart.counted import FINE, Drawn, sample
from ..chart.crosses import Crosses, crosses
from ..chart.draw import Drawing
from ..chart.overdrawn import RIM, Dots, DrawnStroke, Lines, dots, line_width
from ..compose.worked import WorkedKnot, WorkedLine
from .samplesize import CELL, INSET, cells_across, sample_size

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
        inset=INSET,
        cell=CELL,
        mm=1 / CELL,
        cells=cells,
        strokes=strokes,
        dots=points,
        stitches=stitches,
        fine=FINE,
        sign=SIGN / 2,
        line_width=line_width(CELL),
        rim=RIM,
    )
