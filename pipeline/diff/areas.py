"""Changed cells in areas that a person can find, with what changed in each."""

from __future__ import annotations

import numpy as np

from ..count.forest import Ints
from .canvas import Canvas
from .differences import Area, Stitches
from .labelling import Mask, boxes, label

NEAR = 3  # cells from one changed cell to the next of the same area
MOST_AREAS = 100  # a longer list helps nobody: areas of one block of the chart become one
BLOCK = 16  # cells, the side of a block to begin with
LONGEST_TABLE = 4_000_000  # entries; counting in a table is faster than sorting


def areas(canvas: Canvas, mask: Mask, most: int = MOST_AREAS) -> tuple[Area, ...]:
    """Return the marked cells of a canvas in areas, from top to bottom and left to right.

    Cells at most NEAR apart are of one area. Where that makes more than `most`, those of one
    block of the chart are told together, the blocks doubled in size until they are few enough.
    """
    x, y, area = label(mask, NEAR)
    if len(area) and int(area.max()) >= most:
        area = in_blocks(boxes(x, y, area), most)[area]
    return _described(canvas, x, y, area)


def in_blocks(around: Ints, most: int) -> Ints:
    """Return for each box the number of its block, such that there are at most so many.

    around: x0, y0, x1, y1 of each (boxes, 4). Blocks count from 0 in reading order.
    """
    middle = (around[:, :2] + around[:, 2:]) // 2
    side = BLOCK
    while True:
        wide = int(middle[:, 0].max()) // side + 1
        blocks, number = np.unique(
            middle[:, 1] // side * wide + middle[:, 0] // side, return_inverse=True
        )
        if len(blocks) <= most:
            return number.ravel().astype(np.int64)
        side *= 2


def stitches(canvas: Canvas, x: Ints, y: Ints) -> tuple[Stitches, ...]:
    """Return what some cells of a canvas held before and after, most cells first."""
    whole = _described(canvas, x, y, np.zeros_like(x))
    return whole[0].stitches if whole else ()


def _described(canvas: Canvas, x: Ints, y: Ints, area: Ints) -> tuple[Area, ...]:
    if not len(area):
        return ()
    wide = len(canvas.pairs.new) + 1
    what = canvas.old[y, x].astype(np.int64) * wide + canvas.new[y, x]
    kinds = wide * (len(canvas.pairs.old) + 1)
    codes, numbers = _counted(area * kinds + what, (int(area.max()) + 1) * kinds)
    told: dict[int, list[Stitches]] = {}
    for code, number in zip(codes.tolist(), numbers.tolist(), strict=True):
        which, pair = divmod(code, kinds)
        one, other = divmod(pair, wide)
        told.setdefault(which, []).append(Stitches(one, other, number))
    cells = np.stack([x + canvas.left, y + canvas.top], axis=1)
    ends = np.array([0, len(cells)])
    if len(told) > 1:
        order = np.argsort(area, kind="stable")
        cells = cells[order]
        ends = np.searchsorted(area[order], np.arange(len(told) + 1))
    shift = np.array([canvas.left, canvas.top] * 2)
    return tuple(
        Area(
            tuple(box),
            tuple(sorted(told[which], key=lambda each: (-each.number, each.old, each.new))),
            cells[ends[which] : ends[which + 1]],
        )
        for which, box in enumerate((boxes(x, y, area) + shift).tolist())
    )


def _counted(codes: Ints, most: int) -> tuple[Ints, Ints]:
    """Return the codes below `most` that occur, rising, and how often."""
    if most > LONGEST_TABLE:
        found, numbers = np.unique(codes, return_counts=True)
        return found, numbers
    counted = np.bincount(codes, minlength=most)
    found = np.flatnonzero(counted)
    return found, counted[found]
