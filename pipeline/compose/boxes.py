"""A growing list of rectangles that can be asked all at once which lie inside another."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


class Boxes:
    """Rectangles x0, y0, x1, y1, kept in an array that doubles as it fills."""

    def __init__(self) -> None:
        """Begin with none."""
        self._boxes: NDArray[np.float64] = np.empty((16, 4))
        self._count = 0

    def add(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """Add one rectangle."""
        if self._count == len(self._boxes):
            self._boxes = np.concatenate([self._boxes, np.empty_like(self._boxes)])
        self._boxes[self._count] = (x0, y0, x1, y1)
        self._count += 1

    def remove(self, position: int) -> None:
        """Take one out, leaving the positions of the others."""
        self._boxes[position] = np.nan  # compares false with everything

    def inside(self, x0: float, y0: float, x1: float, y1: float) -> list[int]:
        """Return the positions of those wholly inside a rectangle.

        One that lies flat along an edge of the rectangle belongs to its neighbour just as much,
        and is not counted.
        """
        boxes = self._boxes[: self._count]
        if not self._count:
            return []
        left, top, right, bottom = boxes.T
        within = (left >= x0) & (top >= y0) & (right <= x1) & (bottom <= y1)
        along_edge = (right <= x0) | (left >= x1) | (bottom <= y0) | (top >= y1)
        return [int(each) for each in np.flatnonzero(within & ~along_edge)]
