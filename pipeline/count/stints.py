"""What each needle works, area by area, in order: the cells of all grids of a chart.

A stitch takes thread on the front, on the back, and to the next one. Lengths are mm. w, h: width
and height of a cross, d: its diagonal.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import IndexGrid, Piece, WorkedChart
from ..core.ground import Fabric, Method
from ..core.items import Point
from ..core.key import Part, Strands
from ..stitches.kinds import STITCHES, strokes
from .carrying import MOST_CROSSES, USUAL_SIDE, Cloth, Habit
from .forest import Floats, Ints
from .joining import Joined, join, mean
from .runs import NeedleCells, areas, runs

KNOT = 12.7  # mm for a knot of two wraps, half an inch; common practice, no single source
WRAPS = 2
Needle = tuple[Strands, ...]
MOST_AT_ONCE = 1_000_000  # cells whose needles are looked at together, unless of one needle
LARGEST = 2_000  # cells from piece to piece on one grid


@dataclass(frozen=True)
class Take:
    """What a stitch takes.

    front: on the face. back: on the back in a row of its kind, with the way to the next.
    last: how much of `back` the last stitch of a row does not take.
    """

    front: float
    back: float
    last: float

    def __add__(self, other: Take) -> Take:
        """Return what both take, worked one after the other in one cell."""
        return Take(self.front + other.front, self.back + other.back, min(self.last, other.last))


def take(part: Part, width: float, height: float, method: Method) -> Take:
    """Return what a stitch of a cell takes; width and height of its cross in mm.

    On the front the sum of its strokes. On the back the way from where each goes down to where
    the next comes up, and on to the first of the stitch beside it. Crosses in rows go out in half
    crosses and come back in upper legs, from each to the same of the next cell: always straight
    down (or up) behind the fabric, (2 n - 1) h on the back of a row of n (T. de Dillmont,
    Encyclopedia of Needlework, at fig. 253). With each finished it is h within the cross, then d
    to the next (School Sewing, paragraph 124).
    """
    needle = strokes(part)

    def long(start: Point, end: Point, along: int = 0) -> float:
        return math.hypot((end[0] + along - start[0]) * width, (end[1] - start[1]) * height)

    front = sum(long(each.up, each.down) for each in needle)
    match method:
        case Method.ROWS if STITCHES[part.kind].rows:
            out, home = needle
            last = long(home.down, home.up, -1)
            return Take(front, long(out.down, out.up, 1) + last, last)
        case Method.ROWS | Method.EACH:
            within = sum(long(one.down, other.up) for one, other in pairwise(needle))
            last = long(needle[-1].down, needle[0].up, 1)
            return Take(front, within + last, last)
        case _:
            assert_never(method)


@dataclass(frozen=True, eq=False)
class Stint:
    """Areas that one needle works one after the other. Lengths in mm.

    front, back: of all its stitches. entries: how much of these each key line takes, by index.
    stitched, carry, anew, step: of each area, as `thread.cut` takes them.
    """

    needle: Needle
    front: float
    back: float
    entries: Mapping[int, float]
    stitched: Floats
    carry: Floats
    anew: Floats
    step: Floats


def needle_of(needle: Sequence[Strands]) -> Needle:
    """Return a needle such that the same threads in any order are the same."""
    return tuple(sorted(needle, key=lambda each: (each.thread.label, each.strands)))


@dataclass(frozen=True, eq=False)
class CellGrid:
    """One grid of cells to work.

    cell: side of a cell in crosses of the chart. strands: in the needle, None for the key's.
    """

    grid: IndexGrid
    covered: NDArray[np.bool_]
    cell: float
    strands: int | None = None


def sheets(worked: WorkedChart) -> list[CellGrid]:
    """Return the grids of a chart: its own, and one for pieces alike that lie on one lattice.

    Pieces very far apart get grids of their own, so that none grows without bounds.
    """
    covered = worked.grid != 0
    lattices: dict[tuple[float | None, ...], list[Piece]] = {}
    for piece in worked.pieces:
        at = piece.x / piece.cell, piece.y / piece.cell
        # Thirds of a cross are not exact, so what is left of a cell is rounded.
        off = (round(each % 1, 3) % 1 for each in at)
        tile = (round(each) // LARGEST for each in at)
        lattices.setdefault((piece.cell, piece.strands, *off, *tile), []).append(piece)
        _cover(covered, piece)
    over = worked.design.ground.fabric.over
    for lot in worked.counted:
        middle = np.floor((lot.strokes.up + lot.strokes.down) / (2 * over)).astype(np.int64)
        columns, rows = np.clip(middle, 0, (covered.shape[1] - 1, covered.shape[0] - 1)).T
        covered[rows, columns] = True
    grids = [CellGrid(worked.grid, covered, 1.0)]
    grids.extend(_lattice(pieces, covered) for pieces in lattices.values())
    return grids


def _cover(covered: NDArray[np.bool_], piece: Piece) -> None:
    y, x = np.nonzero(piece.grid)
    rows = np.floor(piece.y + (y + 0.5) * piece.cell).astype(np.int64)
    columns = np.floor(piece.x + (x + 0.5) * piece.cell).astype(np.int64)
    inside = (rows >= 0) & (rows < covered.shape[0]) & (columns >= 0)
    inside &= columns < covered.shape[1]
    covered[rows[inside], columns[inside]] = True


def _lattice(pieces: Sequence[Piece], chart: NDArray[np.bool_]) -> CellGrid:
    """Lay pieces of one lattice, all with as many strands, on one grid."""
    cell = pieces[0].cell
    left, top = min(each.x for each in pieces), min(each.y for each in pieces)
    columns = [round((each.x - left) / cell) for each in pieces]
    rows = [round((each.y - top) / cell) for each in pieces]
    grid = np.zeros(
        (
            max(at + each.grid.shape[0] for at, each in zip(rows, pieces, strict=True)),
            max(at + each.grid.shape[1] for at, each in zip(columns, pieces, strict=True)),
        ),
        dtype=np.uint16,
    )
    for row, column, each in zip(rows, columns, pieces, strict=True):
        spot = grid[row : row + each.grid.shape[0], column : column + each.grid.shape[1]]
        np.copyto(spot, each.grid, where=each.grid != 0)
    down = np.floor(top + (np.arange(grid.shape[0]) + 0.5) * cell).astype(np.int64)
    across = np.floor(left + (np.arange(grid.shape[1]) + 0.5) * cell).astype(np.int64)
    down = np.clip(down, 0, chart.shape[0] - 1)
    across = np.clip(across, 0, chart.shape[1] - 1)
    return CellGrid(grid, chart[np.ix_(down, across)] | (grid != 0), cell, pieces[0].strands)


@dataclass(frozen=True, eq=False)
class _Tables:
    """What each key line takes, by layer (a needle of that line) and index."""

    needles: Sequence[Needle]  # numbered from 1
    needle: NDArray[np.uint16]
    front: Floats
    back: Floats
    last: Floats


def _tables(
    worked: WorkedChart, used: Sequence[int], size: tuple[float, float], strands: int | None
) -> _Tables:
    working = worked.design.working
    needles: list[Needle] = []
    numbers: dict[Needle, int] = {}
    lines: dict[int, dict[int, Take]] = {}
    for index in used:
        takes: dict[int, Take] = {}
        for part in worked.entry(index, strands).parts:
            needle = needle_of(part.needle)
            if needle not in numbers:
                needles.append(needle)
                numbers[needle] = len(needles)
            number = numbers[needle]
            method = working.of(each.thread for each in needle).method
            this = take(part, *size, method)
            takes[number] = takes[number] + this if number in takes else this
        lines[index] = takes
    layers = max((len(takes) for takes in lines.values()), default=0)
    shape = layers, len(worked.design.key) + 1
    number_of = np.zeros(shape, dtype=np.uint16)
    front, back, last = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    for index, takes in lines.items():
        for layer, (number, this) in enumerate(takes.items()):
            number_of[layer, index] = number
            front[layer, index] = this.front
            back[layer, index] = this.back
            last[layer, index] = this.last
    return _Tables(needles, number_of, front, back, last)


@dataclass(frozen=True, eq=False)
class SheetWork:
    """How one grid is worked, on whatever fabric.

    used: its key lines. counts: of their cells. cells, index, layer_of: the cells, with the key
    line and the layer of each. shares: numbers of needles, their cells, the area of each cell, and
    how areas are joined.
    """

    sheet: CellGrid
    used: Sequence[int]
    counts: Ints
    cells: NeedleCells
    index: NDArray[np.uint16]
    layer_of: NDArray[np.uint8]
    shares: Sequence[tuple[range, slice, Sequence[Joined]]]


def work(worked: WorkedChart, sheet: CellGrid, *, joined: bool = True) -> SheetWork | None:
    """Find the order in which one grid is worked, as on cloth of 16 crosses to the inch.

    It is the same on any other, so that amounts change gently with the fabric. Not joined, areas
    follow each other as they come, and nothing is carried.
    """
    counts = np.bincount(sheet.grid.ravel(), minlength=len(worked.design.key) + 1)
    used = [int(each) for each in np.flatnonzero(counts[1:]) + 1]
    if not used:
        return None
    size = USUAL_SIDE * sheet.cell, USUAL_SIDE * sheet.cell
    tables = _tables(worked, used, size, sheet.strands)
    habit = Habit.of(worked.design.working, *size)
    cells, index, layer_of = _cells(sheet, tables)
    cloth = Cloth.of(sheet.covered)
    shares = []
    for numbers, part in _shares(cells.needle):
        some = NeedleCells(cells.needle[part], cells.place[part], cells.pitch)
        layers = [np.flatnonzero(layer_of[part] == layer) for layer in range(len(tables.needle))]
        along = runs(some)
        area = np.repeat(areas(along, cells.pitch, *size)[0], along.count)
        ways = join(some, area, cloth, layers, habit) if joined else []
        shares.append((numbers, part, ways))
    return SheetWork(sheet, used, counts, cells, index, layer_of, shares)


def cell_stints(worked: WorkedChart, fabric: Fabric, found: SheetWork) -> list[Stint]:
    """Return what each needle works on one grid."""
    sheet = found.sheet
    size = fabric.cross_width * sheet.cell, fabric.cross_height * sheet.cell
    tables = _tables(worked, found.used, size, sheet.strands)
    habit = Habit.of(worked.design.working, *size)
    cells = found.cells
    stints = []
    for numbers, part, joined in found.shares:
        some = NeedleCells(cells.needle[part], cells.place[part], cells.pitch)
        ways = _ways(some, found.index[part], found.layer_of[part], tables, joined, habit)
        for number in numbers:
            entries: dict[int, float] = {}
            for layer, each in np.argwhere(tables.needle == number).tolist():
                line = int(worked.line_of[each])
                length = float(found.counts[each] * (tables.front + tables.back)[layer, each])
                entries[line] = entries.get(line, 0.0) + length
            stints.append(ways.of(number, tables.needles[number - 1], entries))
    return stints


def _shares(needle: NDArray[np.uint16]) -> Iterator[tuple[range, slice]]:
    """Yield numbers of needles, and their cells, that are looked at together.

    needle: of each cell, rising. No thread goes from one needle's cells to another's, and each
    cell needs some 400 bytes while they are joined.
    """
    bounds = np.searchsorted(needle, np.arange(1, int(needle[-1]) + 2)).tolist()
    first = 0
    for last in range(1, len(bounds)):
        following = bounds[min(last + 1, len(bounds) - 1)]
        if last == len(bounds) - 1 or following - bounds[first] > MOST_AT_ONCE:
            yield range(first + 1, last + 1), slice(bounds[first], bounds[last])
            first = last


@dataclass(frozen=True, eq=False)
class _Ways:
    """What some needles work. front, back: of each needle, by number.

    needle, stitched, carry, anew, step: of each area, in the order in which they are worked.
    """

    front: Floats
    back: Floats
    needle: Ints
    stitched: Floats
    carry: Floats
    anew: Floats
    step: Floats

    def of(self, number: int, needle: Needle, entries: Mapping[int, float]) -> Stint:
        """Return what one needle works."""
        part = slice(*np.searchsorted(self.needle, (number, number + 1)))
        anew = self.anew[part].copy()
        anew[:1] = 1  # whatever came before, it is begun
        return Stint(
            needle,
            float(self.front[number]),
            float(self.back[number]),
            entries,
            self.stitched[part],
            self.carry[part],
            anew,
            self.step[part],
        )


def _ways(
    cells: NeedleCells,
    index: NDArray[np.uint16],
    layer_of: NDArray[np.uint8],
    tables: _Tables,
    joined: Sequence[Joined],
    habit: Habit,
) -> _Ways:
    """Return what the needles of some cells work; index, layer_of: of each cell."""
    stretch = runs(cells)
    area_of_run, join_at, join_length = areas(stretch, cells.pitch, habit.width, habit.height)
    back = np.add.reduceat(tables.back[layer_of, index], stretch.first)
    final = stretch.first + stretch.count - 1
    back -= tables.last[layer_of[final], index[final]]
    np.add.at(back, join_at, join_length)
    front = np.add.reduceat(tables.front[layer_of, index], stretch.first)
    many = int(area_of_run.max()) + 1
    needle_run = cells.needle[stretch.first].astype(np.int64)
    stitched = np.bincount(area_of_run, front + back, minlength=many).astype(np.float64)
    step = np.maximum.reduceat((tables.front + tables.back)[layer_of, index], stretch.first)
    longest = np.zeros(many)
    np.maximum.at(longest, area_of_run, step)
    needle_area = np.zeros(many, dtype=np.int64)
    needle_area[area_of_run] = needle_run

    order = joined[0].order if joined else np.arange(many)
    carry, anew = mean(joined, needle_area, habit) if joined else (np.zeros(many), np.zeros(many))
    return _Ways(
        np.bincount(needle_run, front).astype(np.float64),
        np.bincount(needle_run, back).astype(np.float64),
        needle_area[order],
        stitched[order],
        carry,
        anew,
        longest[order],
    )


def _cells(
    sheet: CellGrid, tables: _Tables
) -> tuple[NeedleCells, NDArray[np.uint16], NDArray[np.uint8]]:
    """Return the cells of a grid, their key lines, and their layers."""
    pitch = sheet.grid.shape[1] + MOST_CROSSES + 2
    flat = np.flatnonzero(sheet.grid)
    lines = sheet.grid.ravel()[flat]
    place = flat + flat // sheet.grid.shape[1] * (pitch - sheet.grid.shape[1])
    needles, places, indices, layer_of = [], [], [], []
    for layer, row in enumerate(tables.needle):
        needle = row[lines]
        there = np.flatnonzero(needle)
        needles.append(needle[there])
        places.append(place[there])
        indices.append(lines[there])
        layer_of.append(np.full(len(there), layer, dtype=np.uint8))
    needle, spots = np.concatenate(needles), np.concatenate(places)
    index, layers = np.concatenate(indices), np.concatenate(layer_of)
    # Places of one layer rise already, so a stable sort by needle is enough for a single one.
    order = np.argsort(needle, kind="stable") if len(needles) == 1 else np.lexsort((spots, needle))
    return NeedleCells(needle[order], spots[order], pitch), index[order], layers[order]
