"""A grid of cells that is brought in: what each cell asks for, before threads are chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..core.model import Thread
from ..resolve.settings import LARGEST_AREA, LARGEST_SIDE

IndexCells = NDArray[np.int32]  # (height, width): 0 bare, else an index counted from 1

LARGEST = f"a chart has at most {LARGEST_SIDE:,} crosses each way, and {LARGEST_AREA:,} in all"


def too_large(width: int, height: int) -> bool:
    """Return whether so many cells are more than a chart holds."""
    return max(width, height) > LARGEST_SIDE or width * height > LARGEST_AREA


@dataclass(frozen=True)
class Wanted:
    """What cells ask for: a colour `#rrggbb`, or a thread by name, and perhaps a symbol."""

    colour: str
    thread: Thread | None = None
    symbol: str = ""


@dataclass(frozen=True, eq=False)
class Cells:
    """A grid of indices into `wanted`, counted from 1; 0 is bare fabric."""

    grid: IndexCells
    wanted: tuple[Wanted, ...]

    @property
    def counts(self) -> NDArray[np.int64]:
        """How many cells ask for each of `wanted`."""
        return np.bincount(self.grid.ravel(), minlength=len(self.wanted) + 1)[1:]


def joined(grid: IndexCells, groups: Sequence[int] | NDArray[np.int64]) -> IndexCells:
    """Return a grid in which index `i` has become `groups[i - 1] + 1`, and bare stays bare."""
    table = np.concatenate(([0], np.asarray(groups, dtype=np.int64) + 1)).astype(np.int32)
    return table[grid]
