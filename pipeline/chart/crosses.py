"""A grid of cells made ready for the template: joined fills, part stitches, rows of symbols."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import IndexGrid, present
from ..core.items import BARE
from ..core.key import KeyEntry, Kind, Way
from ..stitches.kinds import quarters
from .ink import NO_PAINT, WHOLE, Region, paint, symbol_box
from .options import Ink

Ints = NDArray[np.int64]
BoxArray = NDArray[np.float64]  # (n, 4): x, y, width, height


def rectangles(values: NDArray[np.integer]) -> tuple[Ints, Ints]:
    """Return the cells that are not 0 as rectangles of equal value.

    values: (rows, columns). Returns the rectangles (n, 4) as x, y, width, height, and their
    values (n,), sorted by value. Equal cells side by side are joined, then equal runs that lie
    exactly one below the other.
    """
    rows, columns = values.shape
    if not values.size:
        return np.empty((0, 4), np.int64), np.empty(0, np.int64)
    starts = np.empty((rows, columns), bool)
    starts[:, 0] = True
    np.not_equal(values[:, 1:], values[:, :-1], out=starts[:, 1:])
    begin = np.flatnonzero(starts)
    end = np.append(begin[1:], rows * columns)
    value = values.ravel()[begin].astype(np.int64)
    kept = value != 0
    begin, end, value = begin[kept], end[kept], value[kept]
    y, x = np.divmod(begin, columns)
    width = end - begin
    order = np.lexsort((y, width, x, value))
    x, y, width, value = x[order], y[order], width[order], value[order]
    fresh = np.ones(len(x), bool)
    if len(x) > 1:
        fresh[1:] = (
            (value[1:] != value[:-1])
            | (x[1:] != x[:-1])
            | (width[1:] != width[:-1])
            | (y[1:] != y[:-1] + 1)
        )
    first = np.flatnonzero(fresh)
    height = np.diff(np.append(first, len(x)))
    boxes = np.stack([x[first], y[first], width[first], height], axis=1)
    return boxes, value[first]


def by_value(boxes: Ints, values: Ints) -> Iterator[tuple[int, Ints]]:
    """Yield each value and its rectangles, from what `rectangles` returns."""
    edges = np.flatnonzero(np.diff(values)) + 1
    for part, start in zip(np.split(boxes, edges), [0, *edges.tolist()], strict=True):
        if len(part):
            yield int(values[start]), part


def box_path(boxes: Ints | BoxArray) -> str:
    """Return rectangles (n, 4) as one SVG path."""
    x, y, width, height = boxes.T
    numbers = np.stack([x, y, width, height, -width], axis=1)
    if np.issubdtype(numbers.dtype, np.integer):
        return "M%d %dh%dv%dh%dz" * len(numbers) % tuple(numbers.ravel().tolist())
    return "M%.4g %.4gh%.4gv%.4gh%.4gz" * len(numbers) % tuple(numbers.ravel().tolist())


def mark_path(cells: Ints, start: tuple[float, float], rest: str) -> str:
    """Return the same small shape in each of the cells (n, 2), x and y, as one SVG path.

    start: where the shape begins within a cell. rest: its path from there, relative.
    """
    points = (cells + np.array(start)).ravel().tolist()
    return f"M%g %g{rest}" * len(cells) % tuple(points)


Mask = NDArray[np.bool_]
_Outline = tuple[tuple[float, float], str]

UNSEEN = "none"
THREE = 3  # quarters of a cell, which a three-quarter fills; a quarter beside it takes the rest
# Where each shape starts in its cell, and its path from there. The symbol of a part stitch stands
# wholly within its shape: see `ink.symbol_box`.
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
class SymbolRun:
    """Symbols of one colour in a row; the colour UNSEEN stands for text that is not painted."""

    text: str
    colour: str


@dataclass(frozen=True)
class SymbolRow:
    """One row of symbols; y is its lower edge."""

    y: int
    runs: tuple[SymbolRun, ...]


@dataclass(frozen=True)
class Crosses:
    """Everything drawn for a grid of cells, in cells from its own corner."""

    fills: tuple[Fill, ...] = ()
    patches: tuple[Patch, ...] = ()
    rows: tuple[SymbolRow, ...] = ()


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
        marks = [BARE, *((entry.sign or entry.symbol) if entry.is_cell else BARE for entry in key)]
        self.points = np.array([ord(mark) for mark in marks], np.uint32)


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
    patches = []
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
                patches.append(Patch(region.fill, region.stroke, d))
    return tuple(patches)


def _outline(region: Region, paired: bool) -> _Outline:
    """Return where the outline of a part stitch starts in its cell, and its path from there.

    paired: it shares the cell with a three-quarter; a quarter then takes the rest.
    """
    match region.kind:
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
        case (
            Kind.FULL
            | Kind.BACK
            | Kind.STRAIGHT
            | Kind.KNOT
            | Kind.BEAD
            | Kind.COUNTED
            | Kind.LINED
            | Kind.WOUND
        ):
            raise ValueError(f"{region.kind} fills no part of a cell")
        case _:
            assert_never(region.kind)


def _rows(grid: IndexGrid, palette: Palette, veiled: NDArray[np.intp]) -> tuple[SymbolRow, ...]:
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
        SymbolRun(text[start:end], palette.inks[at])
        for start, end, at in zip(begin.tolist(), ends, ink.ravel()[begin].tolist(), strict=True)
    ]
    edges = np.searchsorted(begin, np.arange(rows + 1) * columns).tolist()
    return tuple(SymbolRow(y + 1, tuple(runs[edges[y] : edges[y + 1]])) for y in range(rows))
