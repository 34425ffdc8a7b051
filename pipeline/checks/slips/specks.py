"""Lone crosses, and holes, inside a field of one thread."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...compose.worked import WorkedChart
from .laidout import BARE_CELL, Sheet

MOST_KINDS = 3  # of lone crosses: where there are more, the fields are shaded by them
MOST_DEEP = 6  # lone crosses deep in fields: where there are more, they are stars or rain
MOST_NEAR = 3  # of its own kind within two cells of a lone cross: more, and it belongs to them

Numbers = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class _Lone:
    """Cells alone in their field. field: what all eight around each of them hold."""

    row: Numbers
    column: Numbers
    value: Numbers
    field: Numbers


def specks(sheet: Sheet, worked: WorkedChart) -> list[tuple[int, int]]:
    """Return the cells (row, column of the sheet) that are alone of their kind in a field.

    What lies so twice, in the whole chart as it is worked, is meant: an eye, a berry, a window.
    """
    lone = _lone(sheet.cells, BARE_CELL)
    if not lone.row.size:
        return []
    once = _kinds_once(worked)
    kinds: set[tuple[str, str]] = set()
    found: list[tuple[bool, bool, tuple[int, int]]] = []
    places = zip(lone.row.tolist(), lone.column.tolist(), lone.value.tolist(), strict=True)
    for row, column, value in places:
        drawn, cell = sheet.find(row, column)
        kind = drawn.symbol(*cell), drawn.symbol(cell[0], cell[1] - 1)
        if kind not in once:
            continue
        kinds.add(kind)
        around = sheet.cells[row - 2 : row + 3, column - 2 : column + 3]
        # Alone among twenty-four, not among eight only?
        deep = around.size == 25 and len(np.unique(around)) == 2 and _count(around, value) == 1
        clear = value == BARE_CELL or _count(around, value) - 1 <= MOST_NEAR
        if deep or clear:
            found.append((deep, clear, (row, column)))
    stars = sum(deep for deep, _, _ in found) > MOST_DEEP
    shaded = len(kinds) > MOST_KINDS
    return [place for deep, clear, place in found if (clear and not shaded) or (deep and not stars)]


def _count(cells: NDArray[np.uint16], value: int) -> int:
    return int(np.count_nonzero(cells == value))


def _lone(cells: NDArray[np.uint16], bare: int) -> _Lone:
    """Return the cells whose eight neighbours all hold one other stitch."""
    field = cells[:-2, :-2]
    lone = (field > bare) & (cells[1:-1, 1:-1] != field)
    height, width = field.shape
    for down, across in ((0, 1), (0, 2), (1, 0), (1, 2), (2, 0), (2, 1), (2, 2)):
        lone &= cells[down : down + height, across : across + width] == field
    row, column = (each + 1 for each in np.nonzero(lone))
    value = cells[row, column].astype(np.int64)
    return _Lone(row, column, value, cells[row, column - 1].astype(np.int64))


def _kinds_once(worked: WorkedChart) -> set[tuple[str, str]]:
    """Return which symbols lie alone in a field of which other at most once in the whole chart.

    A stitch that comes up nowhere else is an eye, and no slip.
    """
    symbols = [".", *(entry.symbol for entry in worked.design.key)]
    often: dict[tuple[str, str], int] = {}
    used = np.zeros(len(symbols), np.int64)
    for grid in (worked.grid, *(piece.grid for piece in worked.pieces)):
        used += np.bincount(grid.ravel(), minlength=len(symbols))
        if min(grid.shape) < 3:
            continue
        lone = _lone(grid, 0)
        for value, field in zip(lone.value.tolist(), lone.field.tolist(), strict=True):
            kind = symbols[value], symbols[field]
            often[kind] = often.get(kind, 0) + 1
    several = {symbol for symbol, many in zip(symbols, used.tolist(), strict=True) if many > 1}
    several.add(".")
    return {
        (one, other)
        for one in several
        for other in symbols
        if one != other and often.get((one, other), 0) <= 1
    }
