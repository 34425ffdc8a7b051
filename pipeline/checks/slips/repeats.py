"""Whether a cell comes up elsewhere just as it is, with its figure around it.

What comes up twice is hardly a slip, however near it is to something else: so an exact repeat
outranks a near match. Only what is joined to the cell is asked for, never what happens to stand
beside it, so that neither another letter nor another row changes what is said.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .handdrawn import BARE_CELL, MATRICES, DrawnSheet
from .looks import RADIUS, Windows
from .moves import Ints
from .squares import widened

REACH = 4  # cells on each side of a cell in which its figure is looked at

_SIDE = 2 * REACH + 1
_STEPS = np.argwhere(np.ones((_SIDE, _SIDE))) - REACH
_STEPS = _STEPS[np.argsort(np.abs(_STEPS).max(axis=1), kind="stable")]  # nearest first

Cell = tuple[int, int]  # row and column on the sheet


class Repeats:
    """Finds where a cell and the figure around it come up again."""

    def __init__(self, sheet: DrawnSheet, seen: Windows) -> None:
        """Take the sheet and the windows of its cells."""
        self._sheet = sheet
        self._seen = seen
        # Beyond a drawing the fabric is bare.
        self._padded = np.pad(np.maximum(sheet.cells, BARE_CELL), REACH, constant_values=BARE_CELL)
        self._known: dict[Cell, Ints] = {}

    def more_of(self, cells: Sequence[Cell], apart: Sequence[Cell] = ()) -> bool:
        """Tell whether the first of some cells comes up elsewhere, its figure the same around it.

        What lies beside any of the cells does not count: a part that is symmetric is like itself.
        Nor does what lies beside those in `apart`: a part one row off is like its like, one row on.
        """
        places = self._places(cells[0])
        low, high = np.min(cells, axis=0) - RADIUS, np.max(cells, axis=0) + RADIUS
        places = places[((places < low) | (places > high)).any(axis=1)]
        for each in apart:
            places = places[(np.abs(places - each) > RADIUS).any(axis=1)]
        return bool(len(places))

    def looks_so(self, cell: Cell) -> bool:
        """Tell whether all that is next to a cell comes up elsewhere just so."""
        look = self._seen.look[cell]
        if not look:
            return False
        places = np.argwhere(self._seen.look == look)
        return bool((np.abs(places - cell) > RADIUS).any())

    def _places(self, cell: Cell) -> Ints:
        """Return where the figure around a cell comes up, the cell's own place among them."""
        if cell not in self._known:
            self._known[cell] = self._found(cell)
        return self._known[cell]

    def _found(self, cell: Cell) -> Ints:
        row, column = cell
        own = self._padded[row : row + _SIDE, column : column + _SIDE]
        asked = _with_its_figure(own > BARE_CELL)
        if asked is None:
            return np.empty((0, 2), np.int64)
        steps = _STEPS[asked[tuple((_STEPS + REACH).T)]]
        values = own[tuple((steps + REACH).T)]
        pitch = self._padded.shape[1]
        flat = self._padded.ravel()
        inner = self._padded[REACH:-REACH, REACH:-REACH]
        found: list[Ints] = []
        for way, matrix in enumerate(MATRICES):
            wanted = self._sheet.images[way][values]
            offsets = steps @ matrix.T @ (pitch, 1)
            rows, columns = np.nonzero(inner == wanted[0])
            places = (rows + REACH) * pitch + columns + REACH
            for offset, value in zip(offsets[1:].tolist(), wanted[1:].tolist(), strict=True):
                places = places[flat[places + offset] == value]
                if not places.size:
                    break
            found.append(places)
        places = np.unique(np.concatenate(found))
        return np.stack(np.divmod(places, pitch), axis=1) - REACH


def _with_its_figure(stitched: NDArray[np.bool_]) -> NDArray[np.bool_] | None:
    """Return the middle of a square, all joined to it, and what touches that; None without any."""
    figure = np.zeros_like(stitched)
    figure[REACH, REACH] = True
    many = -1
    while many != (many := int(np.count_nonzero(figure))):
        around = widened(figure)
        figure |= around & stitched
    return None if many == 1 else widened(figure)
