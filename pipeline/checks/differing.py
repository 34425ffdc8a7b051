"""Single cells that differ where a move carries all around them onto its like."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .moves import Move, Numbers
from .sheet import BARE_CELL, NOTHING, Cells, Sheet
from .ways import MATRICES

REACH = 8  # cells around one that differs which are held against those around its like
BEYOND = 3  # cells outside the windows that speak for a move in which a slip may lie
PARTLY = 0.5  # what a part of a figure counts against a whole one
MANY_VOTES = 100  # for a move by which much of the piece is made, such as the step of a border
SOME_VOTES = 24  # for a move that a figure is trusted to which goes on beyond reach
MOST_COMPARED = 30_000_000  # cells of all moves together
MOST_SUSPECTS = 4_000
_NO_CELLS = np.empty((0, 2), np.int64)

Rows = NDArray[np.uint32]  # (..., 2 REACH + 1): a square around a cell, one bit for each column


@dataclass(frozen=True, eq=False)
class Suspects:
    """Pairs of cells of which one differs from what the other would make of it.

    cell, twin: (n, 2) row and column. way: (n,) how the twin lies. alike: (n,) stitches around the
    cell, joined to one another, that are as they are around the twin while nothing beside them
    differs, zero where something does. partly: (n,) how much of that is so where one looks less far
    or away from one side, and what it counts.
    """

    cell: Numbers
    twin: Numbers
    way: Numbers
    alike: Numbers
    partly: NDArray[np.float64]


def suspects(sheet: Sheet, found: Sequence[Move]) -> Suspects:
    """Return the cells that differ alone under any of these moves."""
    cells, twins, ways = [_NO_CELLS], [_NO_CELLS], [_NO_CELLS[:, 0]]
    votes = [_NO_CELLS[:, 0]]
    compared = many = 0
    for move in found:
        if compared > MOST_COMPARED or many > MOST_SUSPECTS:
            break
        cell, twin, area = _alone(sheet, move)
        compared += area
        many += len(cell)
        if len(cell):
            cells.append(cell)
            twins.append(twin)
            ways.append(np.full(len(cell), move.way))
            votes.append(np.full(len(cell), move.votes))
    cell, twin, way = np.concatenate(cells), np.concatenate(twins), np.concatenate(ways)
    alike, differ = _squares(sheet, cell, twin, way)
    whole, ends = _figure(alike, differ, _ALL)
    spoken_for = np.concatenate(votes)
    whole[~ends & (spoken_for < SOME_VOTES)] = 0
    partly = np.zeros(len(cell))
    rest = np.flatnonzero((whole == 0) & (spoken_for >= MANY_VOTES))
    for part in _PARTS:
        figure, _ = _figure(alike[rest], differ[rest], part)
        partly[rest] = np.maximum(partly[rest], figure * PARTLY)
    kept = (whole > 0) | (partly > 0)
    return Suspects(*(each[kept] for each in (cell, twin, way, whole, partly)))


def _alone(sheet: Sheet, move: Move) -> tuple[Numbers, Numbers, int]:
    """Return cells that differ from their like while the eight around them do not.

    The third value is how many cells were compared.
    """
    matrix = MATRICES[move.way]
    top, bottom = _span(sheet, move, 0, (move.top, move.bottom))
    left, right = _span(sheet, move, 1, (move.left, move.right))
    if bottom - top < 3 or right - left < 3:
        return _NO_CELLS, _NO_CELLS, 0
    corners = np.array([[top, left], [bottom - 1, right - 1]]) @ matrix.T + move.shift
    (first_row, first_column), (last_row, last_column) = np.sort(corners, axis=0).tolist()
    there = sheet.cells[first_row : last_row + 1, first_column : last_column + 1]
    if matrix[0, 0] == 0:
        there = there.T
    down, across = matrix.sum(axis=0).tolist()  # 1, or -1 where it runs backwards
    own = sheet.cells[top:bottom, left:right]
    differ = _seen(sheet, own, move.way) != there[::down, ::across]
    row, column = np.nonzero(differ[1:-1, 1:-1])
    # Where much differs, little is looked at: each step leaves only what passed the one before.
    for down, across in _AROUND:
        if not row.size:
            break
        kept = ~differ[row + 1 + down, column + 1 + across]
        row, column = row[kept], column[kept]
    if not row.size:
        return _NO_CELLS, _NO_CELLS, differ.size
    cell = np.stack([row + top + 1, column + left + 1], axis=1)
    twin = cell @ matrix.T + move.shift
    drawn = sheet.cells[cell[:, 0], cell[:, 1]] != NOTHING
    drawn &= sheet.cells[twin[:, 0], twin[:, 1]] != NOTHING
    return cell[drawn], twin[drawn], differ.size


_AROUND = tuple((down, across) for down in (0, -1, 1) for across in (-1, 1, 0) if down or across)


def _span(sheet: Sheet, move: Move, axis: int, asked: tuple[int, int]) -> tuple[int, int]:
    """Return which rows (axis 0) or columns to look at: on the sheet, and moved on it as well."""
    matrix = MATRICES[move.way]
    to = 0 if matrix[0, axis] else 1
    sign, shift, limit = int(matrix[to, axis]), move.shift[to], sheet.cells.shape[to]
    low, high = (-shift, limit - shift) if sign > 0 else (shift - limit + 1, shift + 1)
    start = max(0, low, asked[0] - BEYOND - 1)
    return start, min(sheet.cells.shape[axis], high, asked[1] + BEYOND + 1)


def _seen(sheet: Sheet, cells: Cells, way: int) -> Cells:
    """Return cells as they are seen once turned: what leans one way may lean another."""
    return sheet.images[way][cells] if sheet.leans[way] else cells


def _squares(sheet: Sheet, cell: Numbers, twin: Numbers, way: Numbers) -> tuple[Rows, Rows]:
    """Return where stitches around each cell are as around its twin, and where they are not."""
    # With so much of nothing around it that every square is whole.
    padded = np.pad(sheet.cells, REACH)
    pitch = padded.shape[1]
    steps = np.stack(np.meshgrid(_STEPS, _STEPS, indexing="ij"), axis=-1).reshape(-1, 2)
    turned = steps @ MATRICES.transpose(0, 2, 1) @ (pitch, 1)
    cell_at, twin_at = ((each + REACH) @ (pitch, 1) for each in (cell, twin))
    own = padded.ravel().take(cell_at[:, None] + turned[0])
    there = padded.ravel().take(twin_at[:, None] + turned[way])
    if any(sheet.leans):
        own = sheet.images[way[:, None], own]
    shape = len(cell), len(_STEPS), len(_STEPS)
    differ = (own != there).reshape(shape)
    # The cell itself is known to differ, and its twin as well where that lies near.
    differ[:, REACH, REACH] = False
    apart = twin - cell
    near = np.flatnonzero((np.abs(apart) <= REACH).all(axis=1))
    differ[near, REACH + apart[near, 0], REACH + apart[near, 1]] = False
    alike = ((own == there) & (own > BARE_CELL)).reshape(shape)
    return alike @ _BITS, differ @ _BITS


_STEPS = np.arange(-REACH, REACH + 1)
_BITS = np.uint32(1) << np.arange(len(_STEPS), dtype=np.uint32)


def _part(rows: tuple[int, int], columns: tuple[int, int]) -> Rows:
    """Return a part of the square, from so many rows and columns off its middle to so many."""
    across = _BITS[(columns[0] <= _STEPS) & (columns[1] >= _STEPS)].sum(dtype=np.uint32)
    return np.where((rows[0] <= _STEPS) & (rows[1] >= _STEPS), across, np.uint32(0))


_FULL = (-REACH, REACH)
_ALL = _part(_FULL, _FULL)
_RIM = _ALL & ~_part((-REACH + 1, REACH - 1), (-REACH + 1, REACH - 1))
_TOUCHING = _part((-1, 1), (-1, 1))
# Another figure may stand near, or the one in question on some ground: so one looks less far, or
# away from it.
_PARTS = (
    _part((-5, 5), (-5, 5)),
    _part((-4, 4), (-4, 4)),
    _part((-REACH, 1), _FULL),
    _part((-1, REACH), _FULL),
    _part(_FULL, (-REACH, 1)),
    _part(_FULL, (-1, REACH)),
    _part((-1, 1), _FULL),
    _part(_FULL, (-1, 1)),
)


def _figure(alike: Rows, differ: Rows, part: Rows) -> tuple[Numbers, NDArray[np.bool_]]:
    """Return how many stitches a part of the figure around each cell has; zero if any differs.

    The second value tells whether the figure ends within reach.
    """
    alike, differ = alike & part, differ & part
    figure = alike & _TOUCHING
    size = np.zeros(len(figure), np.int64)
    ends = np.ones(len(figure), np.bool_)
    left = np.arange(len(figure))
    while left.size:
        around = _spread(figure)
        # As soon as one cell differs no more is asked.
        sound = ((around & differ[left]) == 0).all(axis=1)
        size[left[~sound]] = 0
        left, figure = left[sound], (around & alike[left])[sound]
        ends[left] = ~(figure & _RIM).any(axis=1)
        grown = np.bitwise_count(figure).sum(axis=1, dtype=np.int64)
        growing = grown > size[left]
        size[left] = grown
        left, figure = left[growing], figure[growing]
    return size, ends


def _spread(marks: Rows) -> Rows:
    """Return marks with the eight cells around each of them, in each of many squares."""
    both = marks | marks << np.uint32(1) | marks >> np.uint32(1)
    rows = both.copy()
    rows[:, 1:] |= both[:, :-1]
    rows[:, :-1] |= both[:, 1:]
    return rows
