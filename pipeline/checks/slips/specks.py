"""Lone crosses and holes in fields of one thread."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np

from ...compose.worked import WorkedChart
from ...core.model import BARE
from .handdrawn import BARE_CELL, CodeGrid, DrawnSheet
from .moves import Ints

MOST_KINDS = 3  # of lone crosses: where there are more, the fields are shaded by them
MOST_DEEP = 6  # lone crosses deep in fields: where there are more, they are stars or rain
LEAST_FIELD = 11  # of the 24 cells around a lone cross that hold what the 8 beside it hold
MOST_NEAR = 3  # of its own kind within two cells of a lone cross: more, and it belongs to them

_Kind = tuple[str, str, str]  # the drawing, of a hole; the symbol; the field's


@dataclass(frozen=True, eq=False)
class _Lone:
    """Cells alone in their field. field: what all eight around each of them hold."""

    row: Ints
    column: Ints
    value: Ints
    field: Ints


def specks(sheet: DrawnSheet, worked: WorkedChart) -> list[tuple[int, int]]:
    """Return the cells (row, column of the sheet) that are alone of their kind in a field.

    What lies so twice is meant: an eye, a berry, a window. So is what a ring holds.
    """
    lone = _lone(sheet.cells, BARE_CELL)
    if not lone.row.size:
        return []
    once = _kinds_once(sheet, lone, worked)
    kinds: set[tuple[str, str]] = set()
    alone: list[tuple[bool, bool, tuple[int, int]]] = []
    places = zip(
        *(each.tolist() for each in (lone.row, lone.column, lone.value, lone.field)), strict=True
    )
    for row, column, value, field in places:
        kind = _kind(sheet, row, column)
        if kind not in once:
            continue
        kinds.add(kind[1:])
        around = sheet.cells[max(0, row - 2) : row + 3, max(0, column - 2) : column + 3]
        # Alone among twenty-four, not among eight only?
        deep = around.size == 25 and len(np.unique(around)) == 2 and _count(around, value) == 1
        if _in_a_ring(sheet.cells, (row, column), field):
            continue
        clear = _count(around, field) >= LEAST_FIELD and (
            value == BARE_CELL or _count(around, value) - 1 <= MOST_NEAR
        )
        if deep or clear:
            alone.append((deep, clear, (row, column)))
    stars = sum(deep for deep, _, _ in alone) > MOST_DEEP
    shaded = len(kinds) > MOST_KINDS
    return [place for deep, clear, place in alone if (clear and not shaded) or (deep and not stars)]


def _in_a_ring(cells: CodeGrid, at: tuple[int, int], field: int) -> bool:
    """Tell whether a field ends close by, and is the same on all sides: a ring, an eye, a berry."""
    row, column = at
    around = cells[max(0, row - 3) : row + 4, max(0, column - 3) : column + 4] == field
    if around.shape != (7, 7):
        return False
    ends = not (around[[0, -1]].any() or around[:, [0, -1]].any())
    return ends and bool((around == np.rot90(around)).all() and (around == around[::-1]).all())


def _count(cells: CodeGrid, value: int) -> int:
    return int(np.count_nonzero(cells == value))


def _lone(cells: CodeGrid, bare: int) -> _Lone:
    """Return the cells whose eight neighbours all hold one other stitch."""
    field = cells[:-2, :-2]
    lone = (field > bare) & (cells[1:-1, 1:-1] != field)
    height, width = field.shape
    for down, across in ((0, 1), (0, 2), (1, 0), (1, 2), (2, 0), (2, 1), (2, 2)):
        lone &= cells[down : down + height, across : across + width] == field
    row, column = (each + 1 for each in np.nonzero(lone))
    value = cells[row, column].astype(np.int64)
    return _Lone(row, column, value, cells[row, column - 1].astype(np.int64))


def _kinds_once(sheet: DrawnSheet, lone: _Lone, worked: WorkedChart) -> set[_Kind]:
    """Return which symbols lie alone in a field of which other just once.

    Crosses are counted in the whole chart as it is worked: a motif with an eye that is placed twice
    has two. A stitch that comes up nowhere else is an eye, too, and no slip.
    """
    symbols = [BARE, *(entry.symbol for entry in worked.design.key)]
    used = np.zeros(len(symbols), np.int64)
    often: Counter[_Kind] = Counter()
    for grid in (worked.grid, *(piece.grid for piece in worked.pieces)):
        used += np.bincount(grid.ravel(), minlength=len(symbols))
        if min(grid.shape) < 3:
            continue
        here = _lone(grid, 0)
        pairs = zip(here.value.tolist(), here.field.tolist(), strict=True)
        often.update(("", symbols[value], symbols[field]) for value, field in pairs if value)
    drawn: Counter[_Kind] = Counter()
    places = (lone.row, lone.column, lone.field)
    for row, column, field in zip(*(each.tolist() for each in places), strict=True):
        if not _in_a_ring(sheet.cells, (row, column), field):
            drawn[_kind(sheet, row, column)] += 1
    several = {symbol for symbol, many in zip(symbols, used.tolist(), strict=True) if many > 1}
    several.add(BARE)
    return {
        kind
        for kind, many in drawn.items()
        if kind[1] in several and (many if kind[0] else often[kind]) <= 1
    }


def _kind(sheet: DrawnSheet, row: int, column: int) -> _Kind:
    """Return of what kind a cell alone in its field is.

    A cross is of the same kind wherever it is drawn; a hole is of the drawing that it is in, since
    nobody leaves one out for the sake of another.
    """
    drawn, cell = sheet.find(row, column)
    symbol, field = drawn.symbol(*cell), drawn.symbol(cell[0], cell[1] - 1)
    return drawn.name if symbol == BARE else "", symbol, field
