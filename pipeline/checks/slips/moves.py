"""Moves of a grid onto what looks like it, and which cells differ from where one carries them.

Every two windows that look alike speak for one move. A repeat, a mirror image or a figure drawn
again has many windows that speak for the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .handdrawn import AFTER, BACK, MATRICES, NOTHING, CodeGrid, DrawnSheet
from .looks import RADIUS, Hashes, Windows

LIVELY = 12  # of 40 pairs of neighbours that differ, in a window that may speak for a move
LEAST_VOTES = 4  # windows that speak for a move
MOST_MOVES = 1000  # those with the most votes are followed
MOST_WINDOWS = 200_000  # of those that look like another
LEAST_SHIFT = 4  # cells: a slope or a texture looks like itself a step further on

Ints = NDArray[np.int64]
_BITS = 18
_HALF = 1 << 20  # more than any row or column, even after a turn


@dataclass(frozen=True)
class Move:
    """Carries cell (row, column) to MATRICES[way] @ (row, column) + shift.

    top, left, bottom, right: where the windows lie that speak for it, end not included.
    """

    way: int
    shift: tuple[int, int]
    votes: int
    top: int
    left: int
    bottom: int
    right: int


def moves(seen: Windows) -> list[Move]:
    """Return the moves that windows speak for, those with the most votes first."""
    kept, look = _looking_alike(seen.look.ravel()[seen.lively])
    place = seen.lively[kept]
    way = seen.way.ravel()[place].astype(np.int64)
    # Neighbours in order, whichever way they lie, see mirror images; those that lie the same way
    # see the step of a repeat.
    one, other = (
        np.concatenate(each)
        for each in zip(_neighbours(look), _neighbours(look * len(MATRICES) + way), strict=True)
    )
    one, other = np.minimum(one, other), np.maximum(one, other)
    ways = AFTER[BACK[way[other]], way[one]]
    width = seen.look.shape[1]
    start = np.stack(np.divmod(place[one], width), axis=1)
    end = np.stack(np.divmod(place[other], width), axis=1)
    shift = end - np.einsum("nij,nj->ni", MATRICES[ways], start)
    return _counted(ways, shift, start)


def _looking_alike(looks: Hashes) -> tuple[Ints, Ints]:
    """Return which windows share their look with another, and the number of each one's look."""
    in_order = np.sort(looks)
    same = in_order[1:] == in_order[:-1]
    several = np.unique(in_order[1:][same])
    part = -(-int(np.count_nonzero(same)) // MOST_WINDOWS)
    if part > 1:
        # A hash is as good as a die: whole groups are left out, and every move keeps its share.
        several = several[several % np.uint64(part) == 0]
    if not several.size:
        return np.empty(0, np.int64), np.empty(0, np.int64)
    # Most windows of a picture are told from all others by a few bits.
    known = np.zeros(1 << _BITS, np.bool_)
    known[several >> np.uint64(64 - _BITS)] = True
    maybe = np.flatnonzero(known[looks >> np.uint64(64 - _BITS)])
    number = np.searchsorted(several, looks[maybe]).clip(max=several.size - 1)
    sure = several[number] == looks[maybe]
    return maybe[sure], number[sure]


def _neighbours(group: Ints) -> tuple[Ints, Ints]:
    """Return each two members of a group that follow one another, and the first with the last."""
    order = np.argsort(group, kind="stable")
    same = group[order[1:]] == group[order[:-1]]
    ends = np.flatnonzero(np.concatenate([[True], ~same, [True]]))
    first, last = ends[:-1], ends[1:] - 1
    several = last - first >= 2
    return (
        np.concatenate([order[:-1][same], order[first[several]]]),
        np.concatenate([order[1:][same], order[last[several]]]),
    )


def _counted(ways: Ints, shift: Ints, start: Ints) -> list[Move]:
    far = (ways != 0) | (np.abs(shift).max(axis=1, initial=0) >= LEAST_SHIFT)
    ways, shift, start = ways[far], shift[far], start[far]
    code = (ways * 2 * _HALF + shift[:, 0] + _HALF) * 2 * _HALF + shift[:, 1] + _HALF
    _, first, which, votes = np.unique(
        code, return_index=True, return_inverse=True, return_counts=True
    )
    low = np.full((len(votes), 2), _HALF)
    high = np.zeros((len(votes), 2), np.int64)
    np.minimum.at(low, which, start)
    np.maximum.at(high, which, start)
    order = np.argsort(-votes, kind="stable")[:MOST_MOVES]
    return [
        Move(
            int(ways[first[each]]),
            (int(shift[first[each], 0]), int(shift[first[each], 1])),
            int(votes[each]),
            max(0, int(low[each, 0]) - RADIUS),
            max(0, int(low[each, 1]) - RADIUS),
            int(high[each, 0]) + RADIUS + 1,
            int(high[each, 1]) + RADIUS + 1,
        )
        for each in order.tolist()
        if votes[each] >= LEAST_VOTES
    ]


BEYOND = 3  # cells outside the windows that speak for a move in which a slip may lie
FAR_BEYOND = 8  # cells in which several that differ may lie
MOST_COMPARED = 30_000_000  # cells of all moves together
MOST_PAIRS = 4_000  # of each kind; a move with more than is left of that is a texture's
CLUSTER_VOTES = 24  # for a move that is trusted where more than one cell differs
_ROOM = 4  # cells around the first of several that differ, in which few may
_FEW = 20

NO_CELLS = np.empty((0, 2), np.int64)


@dataclass(frozen=True, eq=False)
class Pairs:
    """Cells that differ from their like. cell, twin: (n, 2). way, votes: (n,) of the move."""

    cell: Ints
    twin: Ints
    way: Ints
    votes: Ints


def differing(sheet: DrawnSheet, likely: Sequence[Move]) -> tuple[Pairs, Pairs]:
    """Return the cells that differ alone under any of these moves, and the first of several."""
    alone: list[tuple[Ints, Move]] = []
    several: list[tuple[Ints, Move]] = []
    compared = 0
    for move in likely:
        top, bottom = _span(sheet, move, 0, (move.top, move.bottom))
        left, right = _span(sheet, move, 1, (move.left, move.right))
        if bottom - top < 3 or right - left < 3:
            continue
        compared += (bottom - top) * (right - left)
        if compared > MOST_COMPARED:
            break
        differ = _differ(sheet, move, (top, left, bottom, right))
        for kept, cells in (
            (alone, _alone(differ)),
            (several, _first_of_few(differ) if move.votes >= CLUSTER_VOTES else NO_CELLS),
        ):
            if len(cells):
                kept.append((cells + np.array([top, left]), move))
    return _paired(sheet, alone), _paired(sheet, several)


def _paired(sheet: DrawnSheet, by_move: Sequence[tuple[Ints, Move]]) -> Pairs:
    cells, twins = [NO_CELLS], [NO_CELLS]
    moved: list[Move] = []
    many: list[int] = []
    for cell, move in by_move:
        if sum(many) + len(cell) <= MOST_PAIRS:
            cells.append(cell)
            twins.append(cell @ MATRICES[move.way].T + move.shift)
            moved.append(move)
            many.append(len(cell))
    cell, twin = np.concatenate(cells), np.concatenate(twins)
    way = np.repeat(np.array([move.way for move in moved], np.int64), many)
    votes = np.repeat(np.array([move.votes for move in moved], np.int64), many)
    drawn = sheet.cells[cell[:, 0], cell[:, 1]] != NOTHING
    drawn &= sheet.cells[twin[:, 0], twin[:, 1]] != NOTHING
    return Pairs(cell[drawn], twin[drawn], way[drawn], votes[drawn])


def _span(sheet: DrawnSheet, move: Move, axis: int, asked: tuple[int, int]) -> tuple[int, int]:
    """Return which rows (axis 0) or columns to look at: on the sheet, and moved on it as well."""
    matrix = MATRICES[move.way]
    to = 0 if matrix[0, axis] else 1
    sign, shift, limit = int(matrix[to, axis]), move.shift[to], sheet.cells.shape[to]
    low, high = (-shift, limit - shift) if sign > 0 else (shift - limit + 1, shift + 1)
    beyond = 1 + (FAR_BEYOND if move.votes >= CLUSTER_VOTES else BEYOND)
    start = max(0, low, asked[0] - beyond)
    return start, min(sheet.cells.shape[axis], high, asked[1] + beyond)


def _differ(sheet: DrawnSheet, move: Move, area: tuple[int, int, int, int]) -> NDArray[np.bool_]:
    """Return which cells of an area differ from where they are carried."""
    top, left, bottom, right = area
    matrix = MATRICES[move.way]
    corners = np.array([[top, left], [bottom - 1, right - 1]]) @ matrix.T + move.shift
    (first_row, first_column), (last_row, last_column) = np.sort(corners, axis=0).tolist()
    there = sheet.cells[first_row : last_row + 1, first_column : last_column + 1]
    if matrix[0, 0] == 0:
        there = there.T
    down, across = matrix.sum(axis=0).tolist()  # 1, or -1 where it runs backwards
    own: CodeGrid = sheet.cells[top:bottom, left:right]
    if sheet.leans[move.way]:
        own = sheet.images[move.way][own]
    differ: NDArray[np.bool_] = own != there[::down, ::across]
    return differ


_AROUND = tuple((down, across) for down in (0, -1, 1) for across in (-1, 1, 0) if down or across)


def _alone(differ: NDArray[np.bool_]) -> Ints:
    """Return the cells that differ while the eight around them do not."""
    row, column = np.nonzero(differ[1:-1, 1:-1])
    # Where much differs, little is looked at: each step leaves only what passed the one before.
    for down, across in _AROUND:
        if not row.size:
            return NO_CELLS
        kept = ~differ[row + 1 + down, column + 1 + across]
        row, column = row[kept], column[kept]
    return np.stack([row + 1, column + 1], axis=1)


def _first_of_few(differ: NDArray[np.bool_]) -> Ints:
    """Return cells that differ, the first of those joined to them, where few differ around."""
    first = differ[1:-1, 1:-1] & ~differ[:-2, 1:-1] & ~differ[1:-1, :-2]
    first &= ~(differ[:-2, :-2] | differ[:-2, 2:])
    row, column = np.nonzero(first)
    if not row.size:
        return NO_CELLS
    above = np.zeros((differ.shape[0] + 1, differ.shape[1] + 1), np.int32)
    np.cumsum(np.cumsum(differ, axis=0, dtype=np.int32), axis=1, out=above[1:, 1:])
    top, left = (np.maximum(each + 1 - _ROOM, 0) for each in (row, column))
    bottom, right = (
        np.minimum(each + 2 + _ROOM, side)
        for each, side in zip((row, column), differ.shape, strict=True)
    )
    many = above[bottom, right] - above[top, right] - above[bottom, left] + above[top, left]
    few = (many > 1) & (many <= _FEW)
    return np.stack([row[few] + 1, column[few] + 1], axis=1)
