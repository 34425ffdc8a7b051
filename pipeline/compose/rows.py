"""Rows of characters to grids of key indices, a whole grid at a time."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ..core.model import BARE, KeyEntry, Swap
from .worked import IndexGrid

UNKNOWN = np.uint16(0xFFFF)  # stands in a grid for a character that no key line explains


class RowTable:
    """The key's cell symbols as a table from code point to key index."""

    def __init__(self, key: Sequence[KeyEntry], swap: Swap = ()) -> None:
        """Take the symbols of all cell lines, some of them swapped for others.

        A symbol that is swapped away need not be in the key: it may come with a motif of
        another file.
        """
        indices: dict[str, int] = {}
        for index, entry in enumerate(key, 1):
            if entry.is_cell and len(entry.symbol) == 1:
                indices.setdefault(entry.symbol, index)
        indices |= {old: indices[new] for old, new in swap if len(old) == 1 and new in indices}
        indices[BARE] = 0
        codes = {ord(symbol): index for symbol, index in indices.items()}
        # One more place than the highest symbol, for every character beyond it.
        self._table: NDArray[np.uint16] = np.full(max(codes) + 2, UNKNOWN, dtype=np.uint16)
        self._table[list(codes)] = list(codes.values())

    def grid(self, rows: Sequence[str]) -> IndexGrid:
        """Return the grid (rows, columns) of rows of one width; UNKNOWN where no line fits."""
        text = "".join(rows).encode("utf-32-le", "surrogatepass")
        codes = np.frombuffer(text, dtype="<u4")
        cells: IndexGrid = self._table.take(codes, mode="clip")
        return cells.reshape(len(rows), -1)
