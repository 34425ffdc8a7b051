"""The whole chart as one SVG picture that needs no font and no other file.

Symbols are patterns that repeat with the cells, so that a full-cover chart stays small.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import cairosvg
import numpy as np
from numpy.typing import NDArray

from .caption import description, prefix, title
from .crosses import Crosses, Palette, crosses
from .edges import FIGURE, Window, edges, margins
from .fills import box_path, by_value, rectangles
from .ink import paint
from .numerals import numeral_path
from .options import Ink
from .overdrawn import Lines, dots
from .paginate import BAND
from .scale import LARGEST
from .shapes import symbol_path
from .strokes import HALO, RIM, line_styles, line_width, point_styles
from .symbolbox import symbol_box
from .symbols import choose
from .templates import render
from .worked import IndexGrid, Piece, WorkedChart

CELL = 3.0  # mm of a cell at most; what stands around the chart is sized for print
PER_MM = 4  # pixels to a mm at least, so that the numbers can be read
UNIT = 24
CROWDED = 9.0  # mm between numbers below which only the hundreds are kept
FINE = 6  # pixels of a cell below which symbols and thin lines would be a grey haze


@dataclass(frozen=True)
class _Stamp:
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
    """A piece off the grid."""

    x: float
    y: float
    cell: float
    unit: int
    cells: str
    crosses: Crosses
    marks: tuple[_Mark, ...]


def chart_svg(worked: WorkedChart, width: int, ink: Ink = Ink.COLOUR) -> str:
    """Return the chart as SVG with fills, symbols, grid, numbers, lines and knots.

    width: in pixels, at which it is shown at first.
    """
    return _draw(worked, width, ink, UNIT, fine=True)


def chart_png(worked: WorkedChart, width: int, ink: Ink = Ink.COLOUR) -> bytes:
    """Return the chart as PNG bytes, about as many pixels wide.

    A cell is a whole number of pixels, so the picture may be a little narrower than asked for.
    Cells too small for it show no symbols and no thin grid lines.
    """
    columns, rows = (each + 4 for each in (worked.width, worked.height))
    unit = max(1, min(int(width / columns), math.isqrt(LARGEST // (columns * rows))))
    while unit > 1 and _size(worked, unit)[0] > width:
        unit -= 1
    svg = _draw(worked, None, ink, unit, fine=unit >= FINE)
    return bytes(cairosvg.svg2png(bytestring=svg.encode(), scale=1))


def _size(worked: WorkedChart, unit: int) -> tuple[int, int, float, int, int]:
    """Return width and height in pixels, mm of a cell, and the margin left and above in pixels."""
    cell = min(CELL, unit / PER_MM)
    around = margins(worked.height)
    # The first cell begins on a whole pixel.
    left, top = math.ceil(around.side * unit / cell), math.ceil(around.end * unit / cell)
    return worked.width * unit + 2 * left, worked.height * unit + 2 * top, cell, left, top


def _draw(worked: WorkedChart, width: int | None, ink: Ink, unit: int, *, fine: bool) -> str:
    """Return the chart as SVG; unit: pixels of a cell.

    width: in pixels, None for that which the unit gives.
    """
    wide, high, cell, left, top = _size(worked, unit)
    mm = cell / unit
    pixels = (wide, high) if width is None else (width, max(1, round(width * high / wide)))
    design = worked.design
    shapes = choose(worked) if fine else {}
    units = [_unit(unit, each) for each in worked.pieces]
    palette = Palette(design.key, ink)
    window = Window(
        worked.width,
        worked.height,
        0,
        0,
        worked.width,
        worked.height,
        own=(0, 0, worked.width, worked.height),
    )
    view = (0.0, 0.0, float(worked.width), float(worked.height))
    edge = edges(window, cell)
    return render(
        "chart_picture.svg.j2",
        title=title(worked, "chart"),
        desc=description(worked),
        prefix=prefix(worked),
        width=wide * mm,
        height=high * mm,
        pixels=pixels,
        left=left * mm,
        top=top * mm,
        cell=cell,
        mm=1 / cell,
        fine=fine,
        clear=cell > 1,
        unit=unit,
        stamps=_stamps(worked, ink, shapes, (unit, *units)),
        crosses=crosses(worked.grid, palette),
        marks=_marks(worked.grid, shapes, unit),
        edges=edge,
        numerals="".join(
            numeral_path(each.text, each.x, each.y, FIGURE, each.anchor)
            for each in edge.numbers
            if cell * BAND > CROWDED or not int(each.text) % (10 * BAND)
        ),
        pieces=[
            _Off(
                each.x,
                each.y,
                each.cell,
                _unit(unit, each),
                box_path(_cells(each.grid)) if each.grid.any() else "",
                crosses(each.grid, palette),
                _marks(each.grid, shapes, _unit(unit, each)),
            )
            for each in worked.pieces
        ],
        strokes=Lines(worked.lines).strokes(line_styles(design, ink), view),
        dots=dots(worked.knots, point_styles(design, ink), view, HALO),
        line_width=line_width(cell),
        halo=HALO,
        rim=RIM,
    )


def _stamps(
    worked: WorkedChart, ink: Ink, shapes: Mapping[int, str], units: Iterable[int]
) -> list[_Stamp]:
    found = []
    for unit in sorted(set(units)):
        for index, shape in shapes.items():
            x, y, size = symbol_box(worked.entry(index))
            colour = paint(worked.entry(index), ink).symbol
            found.append(
                _Stamp(
                    f"s{index}u{unit}",
                    unit,
                    colour,
                    x * unit,
                    y * unit,
                    size * unit,
                    symbol_path(shape),
                )
            )
    return found


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
