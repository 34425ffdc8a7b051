"""Whether a whole chart was shifted: the offset at which two grids agree best.

The offset x, y is where the top left corner of the old grid lies on the new one.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..core.model import Point

Classes = NDArray[np.integer[Any]]  # what is stitched in each cell, 0 for bare
Offset = tuple[int, int]

LIKE = 0.95  # share of the stitches that agree where no shift is looked for
SHIFTED = 0.6  # share that has to agree before a chart counts as shifted
FEWER = 0.25  # and of the differences between cells that both have, at most this share is left
PEAKS = 6  # offsets tried of those at which the grids seem to agree
WEIGHTS = 11  # seed; any would do, but the same chart must always give the same answer


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
    found = np.fft.irfft2(after * before.conj(), size)
    many = min(PEAKS, found.size)
    highest = np.argpartition(found, -many, axis=None)[-many:]
    offsets: dict[Offset, None] = {}
    for at in highest[np.argsort(-found.ravel()[highest], kind="stable")].tolist():
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
