"""Finding patterns that stand in a grid but for one cell."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from .handdrawn import Codes


class Pattern:
    """A small grid to look for, with how often it holds each code."""

    def __init__(self, codes: Codes) -> None:
        """Count its cells once, since it is looked for in many grids."""
        self.codes = codes
        self.counts = _counted(codes)


class Finder:
    """Looks in one grid."""

    def __init__(self, codes: Codes) -> None:
        """Take the grid."""
        self._codes = codes
        self._places: dict[int, NDArray[np.int64]] = {}
        self._counts = _counted(codes)

    def nearly(self, pattern: Pattern) -> list[tuple[int, int]]:
        """Return the places (row, column) of a pattern of which exactly one cell differs."""
        height, width = pattern.codes.shape
        if height > self._codes.shape[0] or width > self._codes.shape[1]:
            return []
        lacking = 0
        for code, many in pattern.counts.items():
            lacking += max(0, many - self._counts.get(code, 0))
            if lacking > 1:
                return []  # most patterns go here: the cells for them are not there at all
        found: set[tuple[int, int]] = set()
        # With one cell wrong, one of two halves is there whole.
        for top, bottom in ((0, height // 2), (height // 2, height)):
            for row, column in self._whole(pattern.codes, top, bottom):
                there = self._codes[row : row + height, column : column + width]
                if np.count_nonzero(there != pattern.codes) == 1:
                    found.add((row, column))
        return sorted(found)

    def _whole(self, pattern: Codes, top: int, bottom: int) -> Iterator[tuple[int, int]]:
        """Yield where the rows of a pattern from top to bottom are there whole."""
        cells = [
            (row, column, code)
            for row in range(top, bottom)
            for column, code in enumerate(pattern[row].tolist())
        ]
        if not cells:
            return
        # The rarest code leaves the fewest places to look at.
        cells.sort(key=lambda cell: self._counts.get(cell[2], 0))
        height, width = self._codes.shape
        down, across, code = cells[0]
        rows, columns = np.divmod(self._of(code), width)
        rows, columns = rows - down, columns - across
        inside = (rows >= 0) & (columns >= 0)
        inside &= (rows <= height - pattern.shape[0]) & (columns <= width - pattern.shape[1])
        rows, columns = rows[inside], columns[inside]
        for down, across, code in cells[1:]:
            if not rows.size:
                return
            same = self._codes[rows + down, columns + across] == code
            rows, columns = rows[same], columns[same]
        yield from zip(rows.tolist(), columns.tolist(), strict=True)

    def _of(self, code: int) -> NDArray[np.int64]:
        if code not in self._places:
            self._places[code] = np.flatnonzero(self._codes == code)
        return self._places[code]


def _counted(codes: Codes) -> dict[int, int]:
    kinds, counts = np.unique(codes, return_counts=True)
    return dict(zip(kinds.tolist(), counts.tolist(), strict=True))
