"""A grid of cells made ready for the template: joined fills, part stitches, rows of symbols."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import IndexGrid, present
from ..core.model import BARE, KeyEntry, Kind, Way
from ..stitches.kinds import quarters
from .fills import box_path, by_value, mark_path, rectangles
from .ink import NO_PAINT, Region, paint
from .options import Ink
from .symbolbox import WHOLE, symbol_box

Mask = NDArray[np.bool_]
_Outline = tuple[tuple[float, float], str]

UNSEEN = "none"
THREE = 3  # quarters of a cell, which a three-quarter fills; a quarter beside it takes the rest
# Where each shape starts in its cell, and its path from there. The symbol of a part stitch stands
# wholly within its shape: see symbolbox.py.
_WHOLE = ((0, 0), "h1v1h-1z")
_BANDS: Mapping[Way | None, _Outline] = {
    Way.UP: ((0, 1), "v-.64l.36-.36h.64v.64l-.36.36z"),
    Way.DOWN: ((0, 0), "h.64l.36.36v.64h-.64l-.36-.36z"),
}
_PLUS = ((0.22, 0), "h.56v.22h.22v.56h-.22v.22h-.56v-.22h-.22v-.56h.22z")
# By corner: the quarter alone, the three-quarter, the quarter beside a three-quarter.
_CORNERS: Mapping[Way | None, tuple[tuple[float, float], str, str, str]] = {
    Way.TOP_LEFT: ((0, 0), "h.5v.5h-.5z", "h1v.12l-.88.88h-.12z", "h.88l-.88.88z"),
    Way.TOP_RIGHT: ((1, 0), "h-.5v.5h.5z", "h-1v.12l.88.88h.12z", "h-.88l.88.88z"),
    Way.BOTTOM_LEFT: ((0, 1), "h.5v-.5h-.5z", "h1v-.12l-.88-.88h-.12z", "h.88l-.88-.88z"),
    Way.BOTTOM_RIGHT: ((1, 1), "h-.5v-.5h.5z", "h-1v-.12l.88-.88h.12z", "h-.88l.88-.88z"),
}


@dataclass(frozen=True)
class Fill:
    """All cells of one colour."""

    colour: str
    d: str


@dataclass(frozen=True)
class Patch:
    """The same part stitch in all its cells. fill is empty when it is only outlined."""

    fill: str
    stroke: str
    d: str


@dataclass(frozen=True)
class Run:
    """Symbols of one colour in a row; the colour UNSEEN stands for text that is not painted."""

    text: str
    colour: str


@dataclass(frozen=True)
class Row:
    """One row of symbols; y is its lower edge."""

    y: int
    runs: tuple[Run, ...]


@dataclass(frozen=True)
class Crosses:
    """Everything drawn for a grid of cells, in cells from its own corner."""

    fills: tuple[Fill, ...] = ()
    patches: tuple[Patch, ...] = ()
    rows: tuple[Row, ...] = ()


class Palette:
    """How each key line is printed, as tables by key index; row 1 of a table is for veiled cells.

    A cell is veiled when it belongs to a neighbouring page. plain: without symbols.
    """

    def __init__(self, key: Sequence[KeyEntry], ink: Ink, plain: bool = False) -> None:
        self.plain = plain
        paints = [
            [NO_PAINT, *(paint(entry, ink, veiled, plain) for entry in key)]
            for veiled in (False, True)
        ]
        self.colours = ["", *sorted({each.fill for row in paints for each in row if each.fill})]
        number = {colour: at for at, colour in enumerate(self.colours)}
        self.fill = np.array([[number[each.fill] for each in row] for row in paints])
        self.regions: list[tuple[tuple[Region, ...], ...]] = [
            tuple(each.regions for each in row) for row in paints
        ]
        self.part = np.array([bool(each.regions) for each in paints[0]])
        self.places = [WHOLE, *(symbol_box(entry) for entry in key)]
        symbols = [[UNSEEN, *(each.symbol for each in row[1:])] for row in paints]
        self.inks = sorted({each for row in symbols for each in row})
        self.ink = np.array([[self.inks.index(each) for each in row] for row in symbols])
        marks = [BARE, *(entry.symbol if entry.is_cell else BARE for entry in key)]
        self.points = np.array([ord(each) for each in marks], np.uint32)


def crosses(grid: IndexGrid, palette: Palette, veil: Mask | None = None) -> Crosses:
    """Return what is drawn for a grid of key indices.

    veil: True for cells that belong to a neighbouring page, of the shape of the grid.
    """
    veiled = np.zeros(grid.shape, np.intp) if veil is None else veil.astype(np.intp)
    boxes, values = rectangles(palette.fill[veiled, grid])
    fills = tuple(
        Fill(palette.colours[value], box_path(each)) for value, each in by_value(boxes, values)
    )
    rows = () if palette.plain else _rows(grid, palette, veiled)
    return Crosses(fills, _patches(grid, palette, veiled), rows)


def _patches(grid: IndexGrid, palette: Palette, veiled: NDArray[np.intp]) -> tuple[Patch, ...]:
    found = []
    part = palette.part[grid]
    if not part.any():
        return ()
    for index in present(grid[part]):
        for veil in (0, 1):
            y, x = np.nonzero((grid == index) & (veiled == veil))
            regions = palette.regions[veil][index]
            paired = any(len(quarters(each)) == THREE for each in regions)
            for region in regions if len(x) else ():
                start, rest = _outline(region, paired)
                d = mark_path(np.stack([x, y], axis=1), start, rest)
                found.append(Patch(region.fill, region.stroke, d))
    return tuple(found)


def _outline(region: Region, paired: bool) -> _Outline:
    """Return where the outline of a part stitch starts in its cell, and its path from there.

    paired: it shares the cell with a three-quarter; a quarter then takes the rest.
    """
    match region.kind:
        case Kind.FULL:
            return _WHOLE
        case Kind.HALF:
            return _BANDS[region.way]
        case Kind.UPRIGHT:
            return _PLUS
        case Kind.QUARTER:
            start, alone, _, beside = _CORNERS[region.way]
            return start, beside if paired else alone
        case Kind.THREE_QUARTER:
            start, _, large, _ = _CORNERS[region.way]
            return start, large
        case Kind.BACK | Kind.STRAIGHT | Kind.KNOT | Kind.BEAD:
            raise ValueError(f"{region.kind} fills no cell")
        case _:
            assert_never(region.kind)


def _rows(grid: IndexGrid, palette: Palette, veiled: NDArray[np.intp]) -> tuple[Row, ...]:
    rows, columns = grid.shape
    text = palette.points[grid].astype("<u4").tobytes().decode("utf-32-le")
    # Bare cells show nothing, so they go along with the run before them, or the first.
    worked = grid != 0
    last = np.maximum.accumulate(np.where(worked, np.arange(columns), -1), axis=1)
    last = np.where(last < 0, worked.argmax(axis=1)[:, None], last)
    ink = np.take_along_axis(palette.ink[veiled, grid], last, axis=1)
    starts = np.ones((rows, columns), bool)
    np.not_equal(ink[:, 1:], ink[:, :-1], out=starts[:, 1:])
    begin = np.flatnonzero(starts)
    ends = np.append(begin[1:], rows * columns).tolist()
    runs = [
        Run(text[start:end], palette.inks[at])
        for start, end, at in zip(begin.tolist(), ends, ink.ravel()[begin].tolist(), strict=True)
    ]
    edges = np.searchsorted(begin, np.arange(rows + 1) * columns).tolist()
    return tuple(Row(y + 1, tuple(runs[edges[y] : edges[y + 1]])) for y in range(rows))
