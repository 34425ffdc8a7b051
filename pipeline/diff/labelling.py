"""Cells that lie together: which area each of some cells of a grid belongs to."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..count.forest import Ints, spanning_forest

Mask = NDArray[np.bool_]


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
