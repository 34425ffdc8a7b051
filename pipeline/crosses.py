"""A grid of cells made ready for the template: joined fills, part stitches, rows of symbols."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .colour import BLACK
from .fills import box_path, by_value, mark_path, rectangles
from .ink import NO_PAINT, Region, paint
from .model import BARE, KeyEntry, Kind, Way
from .options import Ink
from .worked import IndexGrid

Mask = NDArray[np.bool_]

_FULL_SIZE = (1.0, 0.0, 0.0)
_BAND_UP = ((0, 1), "v-.42l.58-.58h.42v.42l-.58.58z")
_BAND_DOWN = ((0, 0), "h.42l.58.58v.42h-.42l-.58-.58z")
_CORNERS = {
    Way.TOP_LEFT: ((0, 0), "h.5v.5h-.5z", "h1l-1 1z"),
    Way.TOP_RIGHT: ((1, 0), "h-.5v.5h.5z", "h-1l1 1z"),
    Way.BOTTOM_LEFT: ((0, 1), "h.5v-.5h-.5z", "h1l-1-1z"),
    Way.BOTTOM_RIGHT: ((1, 1), "h-.5v-.5h.5z", "h-1l1-1z"),
}
# Which part of a line of the key its symbol stands in, first to last.
_WEIGHT = (Kind.FULL, Kind.THREE_QUARTER, Kind.HALF, Kind.UPRIGHT, Kind.QUARTER)


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
    """Symbols of one colour in a row. place is set for a symbol that is smaller than its cell."""

    text: str
    colour: str
    x: float
    place: tuple[float, float] | None = None  # baseline, size
    moved: bool = False  # whether x must be said, since a placed symbol stands before


@dataclass(frozen=True)
class Row:
    """One row of symbols; y is its lower edge."""

    y: int
    runs: tuple[Run, ...]


@dataclass(frozen=True)
class Crosses:
    """Everything drawn for a grid of cells, in cells from its own corner."""

    fills: tuple[Fill, ...]
    patches: tuple[Patch, ...]
    rows: tuple[Row, ...]


class Palette:
    """How each key line is printed, as tables by key index; row 1 of a table is for veiled cells.

    A cell is veiled when it belongs to a neighbouring page.
    """

    def __init__(self, key: Sequence[KeyEntry], ink: Ink) -> None:
        paints = [
            [NO_PAINT, *(paint(entry, ink, veiled) for entry in key)] for veiled in (False, True)
        ]
        self.colours = ["", *sorted({each.fill for row in paints for each in row if each.fill})]
        number = {colour: at for at, colour in enumerate(self.colours)}
        self.fill = np.array([[number[each.fill] for each in row] for row in paints])
        self.light = np.array([[each.symbol != BLACK for each in row] for row in paints])
        self.light_colour = next(
            (each.symbol for row in paints for each in row if each.symbol != BLACK), BLACK
        )
        self.regions: list[tuple[tuple[Region, ...], ...]] = [
            tuple(each.regions for each in row) for row in paints
        ]
        self.part = np.array([bool(each.regions) for each in paints[0]])
        marks = [BARE, *(entry.symbol if entry.is_cell else BARE for entry in key)]
        self.points = np.array([ord(each) for each in marks], np.uint32)
        self.places = [_FULL_SIZE, *(_symbol_place(entry) for entry in key)]


def crosses(grid: IndexGrid, palette: Palette, veil: Mask | None = None) -> Crosses:
    """Return what is drawn for a grid of key indices.

    veil: True for cells that belong to a neighbouring page, of the shape of the grid.
    """
    veiled = np.zeros(grid.shape, np.intp) if veil is None else veil.astype(np.intp)
    boxes, values = rectangles(palette.fill[veiled, grid])
    fills = tuple(
        Fill(palette.colours[value], box_path(each)) for value, each in by_value(boxes, values)
    )
    return Crosses(fills, _patches(grid, palette, veiled), _rows(grid, palette, veiled))


def _patches(
    grid: IndexGrid, palette: Palette, veiled: NDArray[np.intp]
) -> tuple[Patch, ...]:
    found = []
    part = palette.part[grid]
    if not part.any():
        return ()
    for index in np.unique(grid[part]).tolist():
        for veil in (0, 1):
            y, x = np.nonzero((grid == index) & (veiled == veil))
            regions = palette.regions[veil][index]
            paired = any(each.kind is Kind.THREE_QUARTER for each in regions)
            for region in regions if len(x) else ():
                start, rest = _outline(region, paired)
                d = mark_path(np.stack([x, y], axis=1), start, rest)
                found.append(Patch(region.fill, region.stroke, d))
    return tuple(found)


def _outline(region: Region, paired: bool) -> tuple[tuple[float, float], str]:
    """Return where the outline of a part stitch starts in its cell, and its path from there.

    paired: it shares the cell with a three-quarter; a quarter then takes the other half.
    """
    if region.kind is Kind.HALF:
        return _BAND_UP if region.way is Way.UP else _BAND_DOWN
    if region.way is not None and region.way in _CORNERS:
        start, square, triangle = _CORNERS[region.way]
        return start, triangle if paired else square
    if region.kind is Kind.UPRIGHT:
        return (0.5, 0), "l.5.5-.5.5-.5-.5z"
    return (0, 0), "h1v1h-1z"


def _symbol_place(entry: KeyEntry) -> tuple[float, float, float]:
    """Return the size of a symbol and where its box begins in the cell."""
    part = min(entry.parts, key=lambda each: _order(each.kind))
    if not entry.is_cell or part.kind is Kind.FULL:
        return _FULL_SIZE
    if part.kind in (Kind.HALF, Kind.UPRIGHT):
        return 0.7, 0.15, 0.15
    size, inset = (0.6, 0.015) if part.kind is Kind.THREE_QUARTER else (0.5, 0.0)
    way = part.way or Way.TOP_LEFT
    far = 1 - inset - size
    left = way in (Way.TOP_LEFT, Way.BOTTOM_LEFT)
    top = way in (Way.TOP_LEFT, Way.TOP_RIGHT)
    return size, inset if left else far, inset if top else far


def _order(kind: Kind) -> int:
    return _WEIGHT.index(kind) if kind in _WEIGHT else len(_WEIGHT)


def _rows(grid: IndexGrid, palette: Palette, veiled: NDArray[np.intp]) -> tuple[Row, ...]:
    rows, columns = grid.shape
    text = palette.points[grid].astype("<u4").tobytes().decode("utf-32-le")
    # Bare cells show nothing, so they go along with the run before them.
    column = np.arange(columns)
    last = np.maximum.accumulate(np.where(grid != 0, column, 0), axis=1)
    light = np.take_along_axis(palette.light[veiled, grid], last, axis=1)
    part = palette.part[grid]
    starts = np.zeros((rows, columns), bool)
    starts[:, 0] = True
    starts[:, 1:] = (light[:, 1:] != light[:, :-1]) | part[:, 1:] | part[:, :-1]
    begin = np.flatnonzero(starts)
    ends = np.append(begin[1:], rows * columns).tolist()
    lights = light.ravel()[begin].tolist()
    parts = part.ravel()[begin].tolist()
    indices = grid.ravel()[begin].tolist()
    found: list[list[Run]] = [[] for _ in range(rows)]
    moved = False
    for start, end, is_light, is_part, index in zip(
        begin.tolist(), ends, lights, parts, indices, strict=True
    ):
        y, x = divmod(start, columns)
        colour = palette.light_colour if is_light else BLACK
        moved = moved and bool(x)
        if is_part:
            size, left, top = palette.places[index]
            run = Run(text[start:end], colour, x + left, (y + top + size, size))
        else:
            run = Run(text[start:end], colour, x, None, moved)
        moved = is_part
        found[y].append(run)
    return tuple(Row(y + 1, tuple(runs)) for y, runs in enumerate(found))
