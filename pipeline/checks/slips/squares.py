"""Squares around cells that differ, held against those of their like; followed further for few.

A square has a row of bits for each of its rows, so that a figure is followed through thousands of
squares at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .handdrawn import BARE_CELL, MATRICES, CodeGrid, DrawnSheet
from .moves import Ints, Pairs

REACH = 8  # cells on each side of the middle of a square
SIDE = 2 * REACH + 1

Rows = NDArray[np.uint32]  # (..., SIDE), one bit for each column

_STEPS = np.arange(-REACH, REACH + 1)
_BITS = np.uint32(1) << np.arange(SIDE, dtype=np.uint32)


@dataclass(frozen=True, eq=False)
class Squares:
    """Squares around cells.

    own, there: (n, SIDE, SIDE) what stands around each cell, turned as its twin is, and around the
    twin. alike: stitches that are the same in both; differ: what is not.
    """

    own: CodeGrid
    there: CodeGrid
    alike: Rows
    differ: Rows


def squares(sheet: DrawnSheet, pairs: Pairs) -> Squares:
    """Return the squares around the cells of these pairs."""
    # With so much around it that every square is whole. Beyond a drawing the fabric is bare: a
    # figure that ends at the edge is no other than one that ends within.
    padded = np.pad(np.maximum(sheet.cells, BARE_CELL), REACH, constant_values=BARE_CELL)
    pitch = padded.shape[1]
    steps = np.stack(np.meshgrid(_STEPS, _STEPS, indexing="ij"), axis=-1).reshape(-1, 2)
    turned = steps @ MATRICES.transpose(0, 2, 1) @ (pitch, 1)
    cell_at, twin_at = ((each + REACH) @ (pitch, 1) for each in (pairs.cell, pairs.twin))
    own = padded.ravel().take(cell_at[:, None] + turned[0])
    there = padded.ravel().take(twin_at[:, None] + turned[pairs.way])
    if any(sheet.leans):
        own = sheet.images[pairs.way[:, None], own]
    shape = len(cell_at), SIDE, SIDE
    own, there = own.reshape(shape), there.reshape(shape)
    same = own == there
    return Squares(own, there, _bits(same & (own > BARE_CELL)), _bits(~same))


def _bits(marks: NDArray[np.bool_]) -> Rows:
    """Return squares of marks as rows of bits, the first column as the lowest."""
    whole = np.zeros((len(marks), SIDE, 4), np.uint8)
    packed = np.packbits(marks, axis=-1, bitorder="little")
    whole[..., : packed.shape[-1]] = packed
    return whole.view("<u4")[..., 0].astype(np.uint32)


def part_of(rows: tuple[int, int], columns: tuple[int, int]) -> Rows:
    """Return a part of the square, from so many rows and columns off its middle to so many."""
    across = _BITS[(columns[0] <= _STEPS) & (columns[1] >= _STEPS)].sum(dtype=np.uint32)
    return np.where((rows[0] <= _STEPS) & (rows[1] >= _STEPS), across, np.uint32(0))


FULL = (-REACH, REACH)
ALL = part_of(FULL, FULL)
RIM = ALL & ~part_of((-REACH + 1, REACH - 1), (-REACH + 1, REACH - 1))
TOUCHING = part_of((-1, 1), (-1, 1))
MIDDLE = part_of((0, 0), (0, 0))


def bit_at(steps: Ints) -> Rows:
    """Return squares with one bit each, at (n, 2) rows and columns off the middle, within reach."""
    marks = np.zeros((len(steps), SIDE), np.uint32)
    marks[np.arange(len(steps)), REACH + steps[:, 0]] = _BITS[REACH + steps[:, 1]]
    return marks


def spread(marks: Rows) -> Rows:
    """Return marks with the eight cells around each of them."""
    both = marks | marks << np.uint32(1) | marks >> np.uint32(1)
    rows: Rows = both.copy()
    rows[:, 1:] |= both[:, :-1]
    rows[:, :-1] |= both[:, 1:]
    return rows


def many(marks: Rows) -> Ints:
    """Return how many cells each square has marked."""
    count: Ints = np.bitwise_count(marks).sum(axis=1, dtype=np.int64)
    return count


def marked_in(marks: Rows) -> NDArray[np.bool_]:
    """Return squares (n, SIDE, SIDE) of what is marked."""
    return (marks[:, :, None] & _BITS) > 0


def places(marks: Rows) -> Ints:
    """Return the rows and columns, off the middle, that one square (SIDE,) has marked."""
    offsets: Ints = np.argwhere(marks[:, None] & _BITS) - REACH
    return offsets


FAR = 24  # cells on each side of the middle
QUIET = 10  # cells around a figure in which nothing differs, and no more is asked
MOST_FOLLOWED = 60  # of each kind, those with the most votes

MarkedCells = NDArray[np.bool_]

_NEXT = np.arange(-FAR, FAR + 1)
_SQUARE = np.stack(np.meshgrid(_NEXT, _NEXT, indexing="ij"), axis=-1)


@dataclass(frozen=True, eq=False)
class Followed:
    """What a cell and its figure are, as far as FAR.

    own, there: what stands around the cell, turned as its twin is, and around the twin. marked:
    which of it differs, joined to the cell; figure: how many stitches beside that are the same.
    """

    own: CodeGrid
    there: CodeGrid
    marked: MarkedCells
    figure: int


def followed(
    sheet: DrawnSheet, pair: tuple[Ints, Ints, int], least: int, most: int
) -> Followed | None:
    """Follow what differs and the figure around it; None where it does not end.

    pair: the cell, its twin, and how that lies. least: stitches of a figure that is large enough,
    so that it is not followed to its end. most: cells that may differ.
    """
    cell, twin, way = pair
    own = _around(sheet, cell, _SQUARE)
    there = _around(sheet, twin, _SQUARE @ MATRICES[way].T)
    if sheet.leans[way]:
        own = sheet.images[way][own]
    same = own == there
    alike, differ = same & (own > BARE_CELL), ~same
    marked = np.zeros_like(same)
    marked[FAR, FAR] = True
    figure = np.zeros_like(same)
    many, size, quiet = 1, 0, 0
    while quiet < QUIET or size < least:
        around = widened(marked | figure)
        marked, figure = (marked | around & differ), around & alike
        more, grown = int(np.count_nonzero(marked)), int(np.count_nonzero(figure))
        if more > most or (marked[[0, -1]].any() or marked[:, [0, -1]].any()):
            return None
        if more == many and grown == size:
            break
        quiet = quiet + 1 if more == many else 0
        many, size = more, grown
    return Followed(own, there, marked, size)


def differing_far(sheet: DrawnSheet, pair: tuple[Ints, Ints, int]) -> int:
    """Return how many cells differ in and beside the figure around a cell, as far as FAR."""
    cell, twin, way = pair
    own = _around(sheet, cell, _SQUARE)
    there = _around(sheet, twin, _SQUARE @ MATRICES[way].T)
    if sheet.leans[way]:
        own = sheet.images[way][own]
    differ = own != there
    joined = np.zeros_like(differ)
    joined[FAR, FAR] = True
    most = differ | (own > BARE_CELL)
    many = 0
    while many != (many := int(np.count_nonzero(joined))):
        joined |= widened(joined) & most
    return int(np.count_nonzero(joined & differ))


def _around(sheet: DrawnSheet, middle: Ints, steps: Ints) -> CodeGrid:
    row, column = np.moveaxis(middle + steps, -1, 0)
    height, width = sheet.cells.shape
    on = (row >= 0) & (row < height) & (column >= 0) & (column < width)
    cells = sheet.cells[row.clip(0, height - 1), column.clip(0, width - 1)]
    cells_around: CodeGrid = np.where(on, np.maximum(cells, BARE_CELL), np.uint16(BARE_CELL))
    return cells_around


def widened(marks: MarkedCells) -> MarkedCells:
    """Return marks with the eight cells around each of them."""
    across = marks.copy()
    across[:, 1:] |= marks[:, :-1]
    across[:, :-1] |= marks[:, 1:]
    both = across.copy()
    both[1:] |= across[:-1]
    both[:-1] |= across[1:]
    return both
