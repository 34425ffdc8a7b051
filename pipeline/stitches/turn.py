"""Mirroring and quarter turns: of grids and of points.

The eight ways to lay a rectangle are written as one left-to-right flip, or none, and then
0 to 3 quarter turns clockwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar, assert_never

import numpy as np
from numpy.typing import NDArray

from ..core.items import Mirror

_Cell = TypeVar("_Cell", bound=np.generic)


@dataclass(frozen=True)
class Turn:
    """One of the eight ways to lay a thing: flipped left to right first, then turned clockwise."""

    flip: bool = False
    quarters: int = 0  # 0 to 3

    @staticmethod
    def of(mirror: Mirror | None, turns: int = 0) -> Turn:
        """Return the turn that mirrors first and then makes so many quarter turns clockwise."""
        # Top to bottom is left to right and a half turn; both is a half turn alone.
        match mirror:
            case None:
                return Turn(False, turns % 4)
            case Mirror.LEFT_RIGHT:
                return Turn(True, turns % 4)
            case Mirror.TOP_BOTTOM:
                return Turn(True, (turns + 2) % 4)
            case Mirror.BOTH:
                return Turn(False, (turns + 2) % 4)
            case _:
                assert_never(mirror)

    def then(self, other: Turn) -> Turn:
        """Return the turn that does this one and then the other."""
        # Past a flip, a clockwise turn becomes one the other way.
        own = -self.quarters if other.flip else self.quarters
        return Turn(self.flip != other.flip, (own + other.quarters) % 4)

    def back(self) -> Turn:
        """Return the turn that undoes this one."""
        return Turn(self.flip, self.quarters if self.flip else -self.quarters % 4)

    def size(self, width: int, height: int) -> tuple[int, int]:
        """Return the width and height of a rectangle after the turn."""
        return (height, width) if self.quarters % 2 else (width, height)

    def grid(self, grid: NDArray[_Cell]) -> NDArray[_Cell]:
        """Return the cells moved to their new places; what they hold is left as it is."""
        flipped = grid[:, ::-1] if self.flip else grid
        return np.ascontiguousarray(np.rot90(flipped, -self.quarters))

    def points(
        self, points: NDArray[np.float64], width: float, height: float
    ) -> NDArray[np.float64]:
        """Return points (n, 2) of a rectangle of that size after the turn."""
        x, y = points[:, 0], points[:, 1]
        if self.flip:
            x = width - x
        for _ in range(self.quarters):
            x, y = height - y, x
            width, height = height, width
        return np.stack([x, y], axis=1)


AS_DRAWN = Turn()
