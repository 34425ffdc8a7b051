"""Each line of the key drawn as it appears on the chart: a cell, a line, a knot or bead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from linenleaf.templates import render

from .crosses import Crosses, crosses
from .draw import Drawing
from .leaves import LINE, ShortKey
from .overdrawn import Dots, Lines, Stroke, dots
from .plotted import Plot
from .shortkey import SMALL, Labels, Rows
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


def short_key_labels(
    columns: Sequence[Sequence[int]], short: ShortKey, labels: Mapping[int, str], scale: float
) -> Labels:
    """Return the words of a short key, column by column, each beside its symbol."""
    placed = tuple(
        (labels[index], round((across * short.item + short.symbol) * scale, 3) / scale, down * LINE)
        for across, column in enumerate(columns)
        for down, index in enumerate(column)
    )
    longest = max((len(column) for column in columns), default=1)
    return Labels(max(1, len(columns)) * short.item, longest * LINE, scale, placed)
