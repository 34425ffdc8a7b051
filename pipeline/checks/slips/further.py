"""Figures followed further than the squares reach, for the few pairs where that decides."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .laidout import BARE_CELL, Cells, Sheet
from .moves import Numbers
from .orientations import MATRICES

FAR = 24  # cells on each side of the middle
QUIET = 10  # cells around a figure in which nothing differs, and no more is asked
MOST_FOLLOWED = 60  # of each kind, those with the most votes

Marks = NDArray[np.bool_]

_STEPS = np.arange(-FAR, FAR + 1)
_SQUARE = np.stack(np.meshgrid(_STEPS, _STEPS, indexing="ij"), axis=-1)


@dataclass(frozen=True, eq=False)
class Followed:
    """What a cell and its figure are, as far as FAR.

    own, there: what stands around the cell, turned as its twin is, and around the twin. marked:
    which of it differs, joined to the cell; figure: how many stitches beside that are the same.
    """

    own: Cells
    there: Cells
    marked: Marks
    figure: int


def followed(
    sheet: Sheet, pair: tuple[Numbers, Numbers, int], least: int, most: int
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
        around = _spread(marked | figure)
        marked, figure = (marked | around & differ), around & alike
        more, grown = int(np.count_nonzero(marked)), int(np.count_nonzero(figure))
        if more > most or (marked[[0, -1]].any() or marked[:, [0, -1]].any()):
            return None
        if more == many and grown == size:
            break
        quiet = quiet + 1 if more == many else 0
        many, size = more, grown
    return Followed(own, there, marked, size)


def _around(sheet: Sheet, middle: Numbers, steps: Numbers) -> Cells:
    row, column = np.moveaxis(middle + steps, -1, 0)
    height, width = sheet.cells.shape
    on = (row >= 0) & (row < height) & (column >= 0) & (column < width)
    cells = sheet.cells[row.clip(0, height - 1), column.clip(0, width - 1)]
    found: Cells = np.where(on, np.maximum(cells, BARE_CELL), np.uint16(BARE_CELL))
    return found


def _spread(marks: Marks) -> Marks:
    """Return marks with the eight cells around each of them."""
    across = marks.copy()
    across[:, 1:] |= marks[:, :-1]
    across[:, :-1] |= marks[:, 1:]
    both = across.copy()
    both[1:] |= across[:-1]
    both[:-1] |= across[1:]
    return both
