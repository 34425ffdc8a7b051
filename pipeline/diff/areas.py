"""Changed cells in areas that a person can find, with what changed in each."""

from __future__ import annotations

import numpy as np

from ..count.forest import Ints, spanning_forest
from .canvas import Canvas, Mask
from .changes import Area, Stitches

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
        kept, numbers = np.unique(codes, return_counts=True)
        return kept, numbers
    counted = np.bincount(codes, minlength=most)
    kept = np.flatnonzero(counted)
    return kept, counted[kept]


# --- cells that lie together ----------------------------------------------------------------------


def label(mask: Mask, reach: int = 1) -> tuple[Ints, Ints, Ints]:
    """Return x, y and the area of each marked cell, in reading order.

    Cells are of one area when steps of at most `reach` cells, straight or slanting, lead from
    one to the other over marked cells. Areas count from 0 in the order of their first cells.
    Neighbours along a row are joined to runs first, so that the work is by runs, not by cells.
    """
    rows, columns = mask.shape
    # One look along the flat array is several times as fast as looking for both places.
    flat = np.flatnonzero(mask)
    y, x = np.divmod(flat, columns) if columns else (flat, flat)
    if not flat.size:
        return x, y, x
    begins = np.ones(len(flat), dtype=bool)
    begins[1:] = (y[1:] != y[:-1]) | (x[1:] - x[:-1] > reach)
    first = np.flatnonzero(begins)
    last = np.append(first[1:], len(flat)) - 1
    # Places on one long line, the rows so far apart on it that no run reaches the next row.
    pitch = columns + 2 * reach + 1
    start, end, row = x[first] + reach, x[last] + reach, y[first]
    starts, ends = row * pitch + start, row * pitch + end
    left: list[Ints] = []
    right: list[Ints] = []
    for up in range(1, min(reach, rows - 1) + 1):
        above = (row - up) * pitch
        low = np.searchsorted(ends, above + start - reach, "left")
        high = np.searchsorted(starts, above + end + reach, "right")
        many = np.maximum(high - low, 0)
        this = np.repeat(np.arange(len(first)), many)
        step = np.arange(len(this)) - np.repeat(np.cumsum(many) - many, many)
        left.append(this)
        right.append(low[this] + step)
    joined, other = (np.concatenate(each) if each else flat[:0] for each in (left, right))
    tree, _ = spanning_forest(len(first), joined, other)
    _, where, area = np.unique(tree, return_index=True, return_inverse=True)
    number = np.empty_like(where)
    number[np.argsort(where)] = np.arange(len(where))
    return x, y, np.repeat(number[area.ravel()], last - first + 1)


def boxes(x: Ints, y: Ints, area: Ints) -> Ints:
    """Return x0, y0, x1, y1 of each area (areas, 4), on grid lines: the right and lower after it.

    x, y, area: as `label` gives them.
    """
    if not len(area):
        return np.empty((0, 4), dtype=np.int64)
    if not area.any():
        return np.array([[x.min(), y.min(), x.max() + 1, y.max() + 1]], dtype=np.int64)
    order = np.argsort(area, kind="stable")
    begin = np.flatnonzero(np.diff(area[order], prepend=-1))
    return np.stack(
        [
            np.minimum.reduceat(x[order], begin),
            np.minimum.reduceat(y[order], begin),
            np.maximum.reduceat(x[order], begin) + 1,
            np.maximum.reduceat(y[order], begin) + 1,
        ],
        axis=1,
    )
