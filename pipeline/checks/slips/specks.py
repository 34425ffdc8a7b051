"""Lone crosses and holes in fields of one thread."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass

import numpy as np

from .handdrawn import BARE_CELL, CodeGrid, DrawnSheet
from .moves import Ints
from .squares import MarkedCells, widened

MOST_KINDS = 3  # of lone crosses in a drawing: where there are more, it is shaded by them
MOST_DEEP = 6  # lone crosses deep in fields: where there are more, they are stars or rain
MOST_HOLES = 100  # where there are more, they are a texture
MOST_HUB = 5  # cells high and wide, of a patch whose middle is a hub though it is square
FAR = 24  # cells on each side of a hole in which its field is looked over
MOST_NEAR = 3  # of its own kind within two cells of a lone cross: more, and it belongs to them


@dataclass(frozen=True, eq=False)
class _Lone:
    """Cells alone in their field. field: what all eight around each of them hold."""

    row: Ints
    column: Ints
    value: Ints
    field: Ints


def specks(sheet: DrawnSheet) -> list[tuple[int, int]]:
    """Return the cells (row, column of the sheet) that are alone of their kind in a field.

    What lies so twice is meant: an eye, a berry, a window. So is what lies in the very middle of a
    patch, as the hole of a ring does, and a hole in a field that is marked with more, or dashes.
    """
    cells = sheet.cells
    lone = _lone(cells)
    if not lone.row.size:
        return []
    once = _crosses_once(cells)
    kinds: dict[int, set[tuple[int, int]]] = defaultdict(set)  # by drawing
    alone: list[tuple[bool, bool, tuple[int, int]]] = []
    places = zip(
        *(each.tolist() for each in (lone.row, lone.column, lone.value, lone.field)), strict=True
    )
    looks = _looks(cells, lone)
    for row, column, value, field in places:
        if value == BARE_CELL:
            if not looks or looks[_look(cells, row, column)] > 1:
                continue
        elif (value, field) not in once:
            continue
        kinds[int(sheet.number[row, column])].add((value, field))
        around = cells[max(0, row - 2) : row + 3, max(0, column - 2) : column + 3]
        # Alone among twenty-four, not among eight only?
        deep = around.size == 25 and len(np.unique(around)) == 2 and _count(around, value) == 1
        clear = _goes_on(cells, (row, column), field) and (
            value == BARE_CELL or _count(around, value) - 1 <= MOST_NEAR
        )
        if (deep or clear) and not _belongs(cells, (row, column), field):
            alone.append((deep, clear, (row, column)))
    stars = sum(deep for deep, _, _ in alone) > MOST_DEEP
    shaded = {number for number, several in kinds.items() if len(several) > MOST_KINDS}
    return [
        place
        for deep, clear, place in alone
        if (clear and int(sheet.number[place]) not in shaded) or (deep and not stars)
    ]


def _looks(cells: CodeGrid, lone: _Lone) -> Counter[bytes]:
    """Return how often the surroundings of each hole come up, whichever way they lie.

    Nothing where the holes are a texture.
    """
    holes = np.flatnonzero(lone.value == BARE_CELL)
    if len(holes) > MOST_HOLES:
        return Counter()
    return Counter(
        _look(cells, row, column)
        for row, column in zip(lone.row[holes].tolist(), lone.column[holes].tolist(), strict=True)
    )


def _look(cells: CodeGrid, row: int, column: int) -> bytes:
    around = np.zeros((5, 5), cells.dtype)
    seen = cells[max(0, row - 2) : row + 3, max(0, column - 2) : column + 3]
    top, left = max(0, 2 - row), max(0, 2 - column)
    around[top : top + seen.shape[0], left : left + seen.shape[1]] = np.maximum(seen, BARE_CELL)
    ways = (np.rot90(each, turns) for each in (around, around[::-1]) for turns in range(4))
    return min(way.tobytes() for way in ways)


def _belongs(cells: CodeGrid, at: tuple[int, int], field: int) -> bool:
    """Tell whether a cell is the hub of the patch around it, or one of several marks on it.

    A hub is the very middle of a patch that is small or round, with no cells in its corners. Marks
    are other holes, and dashes one cell high or wide.
    """
    top, left = max(0, at[0] - FAR), max(0, at[1] - FAR)
    near = cells[top : at[0] + FAR + 1, left : at[1] + FAR + 1]
    row, column = at[0] - top, at[1] - left
    patch = _joined(near == field, (row, column))
    rows, columns = (np.flatnonzero(patch.any(axis=axis)) for axis in (1, 0))
    ends = not (patch[[0, -1]].any() or patch[:, [0, -1]].any())
    middle = rows[0] + rows[-1] == 2 * row and columns[0] + columns[-1] == 2 * column
    small = max(len(rows), len(columns)) <= MOST_HUB
    if ends and middle and (small or not patch[np.ix_(rows[[0, -1]], columns[[0, -1]])].any()):
        return True
    if cells[at] != BARE_CELL:
        return False
    bare = near == BARE_CELL
    bare[row, column] = False
    return _has_dash(bare, patch) or _has_dash(bare.T, patch.T)


def _goes_on(cells: CodeGrid, at: tuple[int, int], field: int) -> bool:
    """Tell whether a field goes on, two cells wide and long, beyond the eight around a cell.

    Else these are a ring of thin strokes: the counter of a letter, an eye.
    """
    row, column = at
    top, left = max(0, row - 3), max(0, column - 3)
    filled = cells[top : row + 4, left : column + 4] == field
    filled[row - 1 - top : row + 2 - top, column - 1 - left : column + 2 - left] = False
    thick = filled[1:, 1:] & filled[1:, :-1] & filled[:-1, 1:] & filled[:-1, :-1]
    # Beside one of the four sides.
    down, across = row - top, column - left
    sides = (
        thick[down - 1 : down + 1, max(0, across - 3) : across - 1],
        thick[down - 1 : down + 1, across + 2 :],
        thick[max(0, down - 3) : down - 1, across - 1 : across + 1],
        thick[down + 2 :, across - 1 : across + 1],
    )
    return any(side.any() for side in sides)


def _joined(filled: MarkedCells, at: tuple[int, int]) -> MarkedCells:
    """Return what is filled and joined to what surrounds a cell."""
    joined = np.zeros_like(filled)
    joined[at] = True
    many = 0
    while many != (many := int(np.count_nonzero(joined))):
        joined |= widened(joined) & filled
    joined[at] = False
    return joined


def _has_dash(bare: MarkedCells, field: MarkedCells) -> bool:
    """Tell whether a row holds bare cells with a field above, below and at both ends of them."""
    between = np.zeros_like(bare)
    between[1:-1] = field[:-2] & field[2:]
    for row, column in np.argwhere(bare[:, 1:] & field[:, :-1]).tolist():
        start = end = column + 1
        while end < bare.shape[1] and bare[row, end]:
            end += 1
        if end == bare.shape[1] or not field[row, end]:
            continue
        if between[row, start - 1 : end + 1].all():
            return True
    return False


def _count(cells: CodeGrid, value: int) -> int:
    return int(np.count_nonzero(cells == value))


def _lone(cells: CodeGrid) -> _Lone:
    """Return the cells whose eight neighbours all hold one other stitch."""
    field = cells[:-2, :-2]
    lone = (field > BARE_CELL) & (cells[1:-1, 1:-1] != field)
    height, width = field.shape
    for down, across in ((0, 1), (0, 2), (1, 0), (1, 2), (2, 0), (2, 1), (2, 2)):
        lone &= cells[down : down + height, across : across + width] == field
    row, column = (each + 1 for each in np.nonzero(lone))
    value = cells[row, column].astype(np.int64)
    return _Lone(row, column, value, cells[row, column - 1].astype(np.int64))


def _crosses_once(cells: CodeGrid) -> set[tuple[int, int]]:
    """Return which stitches stand by themselves in which other just once, as they are drawn.

    By itself is what has none of its own beside it, and the other on its four sides: the glint at
    the rim of a ball is like that in the midst of another. A stitch that comes up nowhere else is
    an eye, and no slip.
    """
    middle, field = cells[1:-1, 1:-1], cells[:-2, 1:-1]
    alone = (middle > BARE_CELL) & (field > BARE_CELL) & (middle != field)
    for side in (cells[2:, 1:-1], cells[1:-1, :-2], cells[1:-1, 2:]):
        alone &= side == field
    for corner in (cells[:-2, :-2], cells[:-2, 2:], cells[2:, :-2], cells[2:, 2:]):
        alone &= corner != middle
    kinds, many = np.unique(
        np.stack([middle[alone], field[alone]]).astype(np.int64), axis=1, return_counts=True
    )
    drawn = np.bincount(cells.ravel())
    once = kinds[:, (many == 1) & (drawn[kinds[0]] > 1)]
    return {(value, field) for value, field in once.T.tolist()}
