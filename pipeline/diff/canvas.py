"""Two grids laid on each other, and where their cells differ."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import IndexGrid
from .alignment import Offset
from .keypairs import KeyPairs, differs
from .labelling import Mask

_Cell = TypeVar("_Cell", bound=np.generic)

Rectangle = tuple[int, int, int, int]  # x0, y0, x1, y1 on the canvas

NOBODY = -1  # the owner of a bare cell


@dataclass(frozen=True, eq=False)
class Canvas:
    """An old grid shifted onto a new one, both made as large as both together.

    left, top: the column and row of the new chart at which the canvas begins, 0 or less.
    old_left, old_top: the same of the old chart. old_part, new_part: where each chart lies on it.
    """

    pairs: KeyPairs
    old: IndexGrid
    new: IndexGrid
    left: int
    top: int
    old_left: int
    old_top: int
    old_part: Rectangle
    new_part: Rectangle

    @cached_property
    def table(self) -> NDArray[np.bool_]:
        """Whether a cell counts as changed, by old and new index."""
        return differs(self.pairs)

    @cached_property
    def changed(self) -> Mask:
        """Where the cells differ."""
        if self.pairs.in_place:
            return np.not_equal(self.old, self.new)
        # One flat look-up is twice as fast as one by old and new index.
        wide = self.table.shape[1]
        where = self.old.astype(np.int32)
        where *= wide
        where += self.new
        found: Mask = self.table.ravel()[where]
        return found

    def edges(self) -> tuple[list[Rectangle], list[Rectangle]]:
        """Return the parts of the canvas that only the old chart has, and only the new one."""
        return _without(self.old_part, self.new_part), _without(self.new_part, self.old_part)


def lay(pairs: KeyPairs, old: IndexGrid, new: IndexGrid, shift: Offset) -> Canvas:
    """Lay two grids on each other; shift: where the old one's corner comes to lie on the new."""
    x, y = shift
    left, top = min(0, x), min(0, y)
    shape = (
        max(new.shape[0], y + old.shape[0]) - top,
        max(new.shape[1], x + old.shape[1]) - left,
    )
    return Canvas(
        pairs,
        _spread(old, shape, x - left, y - top, 0),
        _spread(new, shape, -left, -top, 0),
        left,
        top,
        left - x,
        top - y,
        (x - left, y - top, x - left + old.shape[1], y - top + old.shape[0]),
        (-left, -top, -left + new.shape[1], -top + new.shape[0]),
    )


def _without(part: Rectangle, other: Rectangle) -> list[Rectangle]:
    """Return what of one rectangle lies outside another: above, below, left and right of it."""
    x0, y0, x1, y1 = part
    left, top = max(x0, other[0]), max(y0, other[1])
    right, bottom = min(x1, other[2]), min(y1, other[3])
    if left >= right or top >= bottom:
        return [part]
    around = [
        (x0, y0, x1, top),
        (x0, bottom, x1, y1),
        (x0, top, left, bottom),
        (right, top, x1, bottom),
    ]
    return [each for each in around if each[0] < each[2] and each[1] < each[3]]


def _spread(
    cells: NDArray[_Cell], shape: tuple[int, ...], x: int, y: int, empty: int
) -> NDArray[_Cell]:
    if cells.shape == shape:
        return cells
    spread = np.full(shape, empty, dtype=cells.dtype)
    spread[y : y + cells.shape[0], x : x + cells.shape[1]] = cells
    return spread
