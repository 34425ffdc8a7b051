"""Two grids laid on each other: how far one was shifted, and where their cells differ.

The offset x, y is where the top left corner of the old grid lies on the new one: that at which
both agree best.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import IndexGrid
from ..core.items import Point
from .keys import KeyPairs, differs

_Cell = TypeVar("_Cell", bound=np.generic)

Mask = NDArray[np.bool_]
Classes = NDArray[np.integer[Any]]  # what is stitched in each cell, 0 for bare
Offset = tuple[int, int]
Rectangle = tuple[int, int, int, int]  # a box of whole cells, on the canvas

NOBODY = -1  # the owner of a bare cell
LIKE = 0.95  # share of the stitches that agree where no shift is looked for
SHIFTED = 0.6  # share that has to agree before a chart counts as shifted
FEWER = 0.25  # and of the differences between cells that both have, at most this share is left
PEAKS = 6  # offsets tried of those at which the grids seem to agree
WEIGHTS = 11  # seed; any would do, but the same chart must always give the same answer


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
        differ: Mask = self.table.ravel()[where]
        return differ

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
    return [box for box in around if box[0] < box[2] and box[1] < box[3]]


def _spread(
    cells: NDArray[_Cell], shape: tuple[int, ...], x: int, y: int, empty: int
) -> NDArray[_Cell]:
    if cells.shape == shape:
        return cells
    spread = np.full(shape, empty, dtype=cells.dtype)
    spread[y : y + cells.shape[0], x : x + cells.shape[1]] = cells
    return spread


# --- shifts ---------------------------------------------------------------------------------------


def agreement(old: Classes, new: Classes, offset: Offset) -> tuple[int, int]:
    """Return how many stitches are the same, and how many cells differ, with the old grid shifted.

    Only cells that both grids have are compared.
    """
    x, y = offset
    top, left = max(y, 0), max(x, 0)
    bottom = min(y + old.shape[0], new.shape[0])
    right = min(x + old.shape[1], new.shape[1])
    if top >= bottom or left >= right:
        return 0, 0
    before = old[top - y : bottom - y, left - x : right - x]
    after = new[top:bottom, left:right]
    alike = before == after
    differ = alike.size - int(np.count_nonzero(alike))
    alike &= before != 0
    return int(np.count_nonzero(alike)), differ


def align(old: Classes, new: Classes) -> Offset:
    """Return how far the whole chart was shifted: (0, 0) unless a shift explains far more."""
    stitched = min(int(np.count_nonzero(old)), int(np.count_nonzero(new)))
    same, differ = agreement(old, new, (0, 0))
    if not stitched or not differ or (old.shape == new.shape and same >= LIKE * stitched):
        return 0, 0
    best: tuple[int, Offset] = (differ, (0, 0))
    for offset in _likely(old, new):
        more, rest = agreement(old, new, offset)
        if more >= SHIFTED * stitched and rest <= FEWER * differ:
            best = min(best, (rest, offset), key=lambda each: (each[0], _far(each[1])))
            if more >= LIKE * stitched:
                break
    return best[1]


def _far(offset: Point) -> float:
    return abs(offset[0]) + abs(offset[1])


def _likely(old: Classes, new: Classes) -> Iterator[Offset]:
    """Give offsets to try: those that a change of size makes likely, then those found by search."""
    down = new.shape[0] - old.shape[0]
    across = new.shape[1] - old.shape[1]
    steps_x = dict.fromkeys((0, across, across // 2))
    steps_y = dict.fromkeys((0, down, down // 2))
    yield from (each for each in itertools.product(steps_x, steps_y) if each != (0, 0))
    yield from _peaks(old, new)


def _peaks(old: Classes, new: Classes) -> list[Offset]:
    """Return the offsets at which the grids correlate best, every stitch weighted by chance.

    With such weights cells that hold the same add up and others cancel out. The correlation is
    that of the convolution theorem, over a torus; so each peak stands for up to four offsets.
    """
    rows = _smooth(max(old.shape[0], new.shape[0]))
    columns = _smooth(max(old.shape[1], new.shape[1]))
    weights = np.random.default_rng(WEIGHTS).standard_normal(
        int(max(old.max(), new.max())) + 1, dtype=np.float32
    )
    weights[0] = 0
    size = rows, columns
    before, after = (np.fft.rfft2(weights[each], size) for each in (old, new))
    agreeing = np.fft.irfft2(after * before.conj(), size)
    many = min(PEAKS, agreeing.size)
    highest = np.argpartition(agreeing, -many, axis=None)[-many:]
    offsets: dict[Offset, None] = {}
    for at in highest[np.argsort(-agreeing.ravel()[highest], kind="stable")].tolist():
        y, x = divmod(at, columns)
        wrapped = itertools.product((x, x - columns), (y, y - rows))
        offsets |= dict.fromkeys(sorted(wrapped, key=_far))
    return list(offsets)


def _smooth(length: int) -> int:
    """Return the next number that is a product of twos, threes and fives: quick to transform."""
    while True:
        rest = length
        for factor in (2, 3, 5):
            while rest % factor == 0:
                rest //= factor
        if rest == 1:
            return length
        length += 1
