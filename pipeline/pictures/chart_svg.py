"""The whole chart as one SVG picture that needs no font and no other file.

Symbols are patterns that repeat with the cells, so that a full-cover chart stays small.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..chart.breaks import BAND
from ..chart.counted import FINE as FINE_STROKE
from ..chart.counted import CountedStitches, Drawn
from ..chart.crosses import Crosses, Palette, box_path, by_value, crosses, rectangles
from ..chart.edges import FIGURE, Edges, Window, edges, margins
from ..chart.ink import paint, symbol_box
from ..chart.looks import HALO, MARK, RIM, line_styles, point_styles
from ..chart.openwork import DrawnGap, Gaps
from ..chart.options import Ink
from ..chart.overdrawn import Dots, DrawnStroke, Lines, dots, line_width
from ..chart.shapes import symbol_path
from ..chart.signs import Beside
from ..chart.symbols import choose
from ..cloth.scale import LARGEST
from ..compose.worked import IndexGrid, Piece, WorkedChart
from ..core.items import Box
from ..templates.environment import render
from .caption import chart_title, description, prefix
from .frames import Frame, frame
from .painting import STRONG, OutlinedSign, outlined, svg_to_png, text_path

CELL = 3.0  # mm of a cell at most; what stands around the chart is sized for print
PER_MM = 4  # pixels to a mm at least, so that the numbers can be read
UNIT = 24
CROWDED = 9.0  # mm between numbers below which only the hundreds are kept
FINE = 6  # pixels of a cell below which symbols and thin lines would be a grey haze


@dataclass(frozen=True)
class _SymbolStamp:
    """A symbol in its cell: name of its pattern, where its box begins and its size.

    All are in units, of which a cell is so many wide.
    """

    name: str
    unit: int
    colour: str
    x: float
    y: float
    size: float
    d: str


@dataclass(frozen=True)
class _Mark:
    """All cells that carry one symbol."""

    name: str
    d: str


@dataclass(frozen=True, eq=False)
class _Off:
    """A piece off the grid, or what of it is shown."""

    x: float
    y: float
    cell: float
    unit: int
    cells: str
    crosses: Crosses
    marks: tuple[_Mark, ...]


@dataclass(frozen=True, eq=False)
class Panel:
    """A part of a chart ready to be drawn. width, height: with what stands around it, in mm.

    left, top: where its first cell begins. cell: side of a cell in mm; mm: one mm in cells. fine:
    whether symbols and thin lines are drawn; clear: whether the tens have room for a halo. unit:
    pixels of a cell. prefix: what its names begin with, to tell them from those of others.
    """

    prefix: str
    width: float
    height: float
    left: float
    top: float
    cell: float
    mm: float
    fine: bool
    clear: bool
    unit: int
    stamps: list[_SymbolStamp]
    crosses: Crosses
    marks: tuple[_Mark, ...]
    edges: Edges
    numerals: str
    pieces: list[_Off]
    strokes: tuple[DrawnStroke, ...]
    dots: tuple[Dots, ...]
    line_width: float
    stitches: tuple[Drawn, ...]
    signs: list[OutlinedSign]
    gaps: tuple[DrawnGap, ...]
    halo: float = HALO
    rim: float = RIM
    fine_stroke: float = FINE_STROKE


def chart_svg(
    worked: WorkedChart, width: int, ratio: float | None = None, ink: Ink = Ink.COLOUR
) -> str:
    """Return the chart as SVG with fills, symbols, grid, numbers, lines and knots.

    width: in pixels, at which it is shown at first. ratio: of its width to its height, with more
    paper around; None for that of the chart.
    """
    return _draw(worked, width, ratio, ink, UNIT, fine=True)


def chart_png(
    worked: WorkedChart, width: int, ratio: float | None = None, ink: Ink = Ink.COLOUR
) -> bytes:
    """Return the chart as PNG bytes, about as many pixels wide; ratio as for `chart_svg`.

    A cell is a whole number of pixels, so the picture may be a little narrower than asked for.
    Cells too small for it show no symbols and no thin grid lines.
    """
    columns, rows = (each + 4 for each in (worked.width, worked.height))
    unit = max(1, min(int(width / columns), math.isqrt(LARGEST // (columns * rows))))
    while unit > 1:
        whole = _frame(worked, _whole(worked), unit)
        shown = frame(whole.width, whole.height, ratio)
        if shown.width <= width and shown.width * shown.height <= LARGEST:
            break
        unit -= 1
    svg = _draw(worked, None, ratio, ink, unit, fine=unit >= FINE)
    return svg_to_png(svg)


@dataclass(frozen=True)
class _Frame:
    """Width, height and margins in pixels of a drawing, and the mm of a cell."""

    width: int
    height: int
    cell: float
    left: int
    top: int


CellBox = tuple[int, int, int, int]  # x0, y0, x1, y1 in cells


def _whole(worked: WorkedChart) -> CellBox:
    return 0, 0, worked.width, worked.height


def _frame(worked: WorkedChart, area: CellBox, unit: int) -> _Frame:
    cell = min(CELL, unit / PER_MM)
    around = margins(worked.height)
    # The first cell begins on a whole pixel.
    left, top = math.ceil(around.side * unit / cell), math.ceil(around.end * unit / cell)
    columns, rows = area[2] - area[0], area[3] - area[1]
    return _Frame(columns * unit + 2 * left, rows * unit + 2 * top, cell, left, top)


def _draw(
    worked: WorkedChart,
    width: int | None,
    ratio: float | None,
    ink: Ink,
    unit: int,
    *,
    fine: bool,
) -> str:
    """Return the chart as SVG; unit: pixels of a cell.

    width: in pixels, None for that which the unit gives.
    """
    shapes = choose(worked) if fine else {}
    view = panel(worked, shapes, ink, unit, fine=fine, prefix=prefix(worked))
    whole = _frame(worked, _whole(worked), unit)
    around = frame(whole.width, whole.height, ratio)
    # The chart keeps its place on whole pixels.
    x, y = math.floor(around.x), math.floor(around.y)
    pixels = math.ceil(around.width), math.ceil(around.height)
    mm = view.width / whole.width
    shown = Frame(x * mm, y * mm, pixels[0] * mm, pixels[1] * mm)
    if width is not None:
        pixels = width, max(1, round(width * shown.height / shown.width))
    return render(
        "chart_picture.svg.j2",
        title=chart_title(worked),
        desc=description(worked),
        pixels=pixels,
        shown=shown,
        view=view,
    )


def panel(
    worked: WorkedChart,
    shapes: Mapping[int, str],
    ink: Ink,
    unit: int,
    area: CellBox | None = None,
    *,
    fine: bool,
    prefix: str,
) -> Panel:
    """Return some cells of a chart, or all, ready to be drawn.

    shapes: the printed symbol of each key index. unit: pixels of a cell; where it is less than
    FINE, `fine` had better be False and there be no shapes.
    """
    x0, y0, x1, y1 = area or _whole(worked)
    frame = _frame(worked, (x0, y0, x1, y1), unit)
    cell = frame.cell
    mm = cell / unit
    design = worked.design
    view = (float(x0), float(y0), float(x1), float(y1))
    grid = worked.grid[y0:y1, x0:x1]
    pieces = [each for each in (_cut(piece, view) for piece in worked.pieces) if each is not None]
    units = [_unit(unit, piece) for piece in pieces]
    palette = Palette(design.key, ink)
    edge = edges(
        Window(worked.width, worked.height, x0, y0, x1, y1, own=(x0, y0, x1, y1)),
        cell,
    )
    stitches = CountedStitches(worked, ink).drawn(view, cell)
    strokes = Lines(worked).strokes(line_styles(design, ink), view)
    points = dots(worked.knots, point_styles(design, ink), view, HALO)
    signs = Beside(worked).signs(view, MARK) if fine else ()
    return Panel(
        prefix,
        frame.width * mm,
        frame.height * mm,
        frame.left * mm,
        frame.top * mm,
        cell,
        1 / cell,
        fine,
        cell > 1,
        unit,
        _stamps(worked, ink, shapes, (unit, *units)),
        crosses(grid, palette),
        _marks(grid, shapes, unit),
        edge,
        "".join(
            text_path(number.text, number.x, number.y, FIGURE, STRONG, number.anchor)
            for number in edge.numbers
            if cell * BAND > CROWDED or not int(number.text) % (10 * BAND)
        ),
        [
            _Off(
                piece.x - x0,
                piece.y - y0,
                piece.cell,
                _unit(unit, piece),
                box_path(_cells(piece.grid)) if piece.grid.any() else "",
                crosses(piece.grid, palette),
                _marks(piece.grid, shapes, _unit(unit, piece)),
            )
            for piece in pieces
        ],
        strokes,
        points,
        line_width(cell),
        stitches,
        [outlined(sign, MARK, shapes, index) for index, sign in signs],
        Gaps(worked).drawn(view),
    )


def _cut(piece: Piece, view: Box) -> Piece | None:
    """Return the cells of a piece whose middle is in view, None where there are none."""
    rows, columns = piece.grid.shape
    left, right = (_first(each, piece.x, piece.cell) for each in (view[0], view[2]))
    top, bottom = (_first(each, piece.y, piece.cell) for each in (view[1], view[3]))
    grid = piece.grid[top : min(bottom, rows), left : min(right, columns)]
    if not grid.size:
        return None
    x, y = piece.x + left * piece.cell, piece.y + top * piece.cell
    return replace(piece, x=x, y=y, grid=grid)


def _first(edge: float, start: float, cell: float) -> int:
    """Return the first row or column of a piece whose middle lies past an edge of the view."""
    return max(0, math.ceil((edge - start) / cell - 0.5))


def _stamps(
    worked: WorkedChart, ink: Ink, shapes: Mapping[int, str], units: Iterable[int]
) -> list[_SymbolStamp]:
    stamps = []
    for unit in sorted(set(units)):
        for index, shape in shapes.items():
            x, y, size = symbol_box(worked.entry(index))
            colour = paint(worked.entry(index), ink).symbol
            stamps.append(
                _SymbolStamp(
                    f"s{index}u{unit}",
                    unit,
                    colour,
                    x * unit,
                    y * unit,
                    size * unit,
                    symbol_path(shape),
                )
            )
    return stamps


def _marks(grid: IndexGrid, shapes: Mapping[int, str], unit: int) -> tuple[_Mark, ...]:
    boxes, values = rectangles(grid)
    return tuple(
        _Mark(f"s{index}u{unit}", box_path(each * unit))
        for index, each in by_value(boxes, values)
        if index in shapes
    )


def _unit(unit: int, piece: Piece) -> int:
    return max(1, round(unit * piece.cell))


def _cells(grid: IndexGrid) -> NDArray[np.int64]:
    y, x = np.nonzero(grid)
    return np.stack([x, y, np.ones_like(x), np.ones_like(x)], axis=1)
