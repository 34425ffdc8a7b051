"""Rows of characters to grids of key indices, a whole grid at a time."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .model import BARE, KeyEntry
from .worked import IndexGrid

UNKNOWN = np.uint16(0xFFFF)  # stands in a grid for a character that no key line explains
MOST_KEY_LINES = 4096


class RowTable:
    """The key's cell symbols as a table from code point to key index."""

    def __init__(self, key: Sequence[KeyEntry]) -> None:
        """Take the symbols of all cell lines; of two equal ones the first holds."""
        self._indices: dict[int, int] = {ord(BARE): 0}
        for index, entry in enumerate(key, 1):
            if entry.is_cell and len(entry.symbol) == 1:
                self._indices.setdefault(ord(entry.symbol), index)
        # One more place than the highest symbol, for every character beyond it.
        self._table: NDArray[np.uint16] = np.full(max(self._indices) + 2, UNKNOWN, dtype=np.uint16)
        for code, index in self._indices.items():
            self._table[code] = index

    def grid(self, rows: Sequence[str]) -> IndexGrid:
        """Return the grid (rows, columns) of rows of one width; UNKNOWN where no line fits."""
        text = "".join(rows).encode("utf-32-le", "surrogatepass")
        codes = np.frombuffer(text, dtype="<u4")
        cells: IndexGrid = self._table.take(codes, mode="clip")
        return cells.reshape(len(rows), -1)
