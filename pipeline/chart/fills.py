"""Grids of cells as few large rectangles, and as runs of text, without a loop over cells."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Boxes = NDArray[np.float64]  # (n, 4): x, y, width, height


def rectangles(values: NDArray[np.integer]) -> tuple[Ints, Ints]:
    """Return the cells that are not 0 as rectangles of equal value.

    values: (rows, columns). Returns the rectangles (n, 4) as x, y, width, height, and their
    values (n,), sorted by value. Equal cells side by side are joined, then equal runs that lie
    exactly one below the other.
    """
    rows, columns = values.shape
    if not values.size:
        return np.empty((0, 4), np.int64), np.empty(0, np.int64)
    starts = np.empty((rows, columns), bool)
    starts[:, 0] = True
    np.not_equal(values[:, 1:], values[:, :-1], out=starts[:, 1:])
    begin = np.flatnonzero(starts)
    end = np.append(begin[1:], rows * columns)
    value = values.ravel()[begin].astype(np.int64)
    kept = value != 0
    begin, end, value = begin[kept], end[kept], value[kept]
    y, x = np.divmod(begin, columns)
    width = end - begin
    order = np.lexsort((y, width, x, value))
    x, y, width, value = x[order], y[order], width[order], value[order]
    fresh = np.ones(len(x), bool)
    if len(x) > 1:
        fresh[1:] = (
            (value[1:] != value[:-1])
            | (x[1:] != x[:-1])
            | (width[1:] != width[:-1])
            | (y[1:] != y[:-1] + 1)
        )
    first = np.flatnonzero(fresh)
    height = np.diff(np.append(first, len(x)))
    boxes = np.stack([x[first], y[first], width[first], height], axis=1)
    return boxes, value[first]


def by_value(boxes: Ints, values: Ints) -> Iterator[tuple[int, Ints]]:
    """Yield each value and its rectangles, from what `rectangles` returns."""
    edges = np.flatnonzero(np.diff(values)) + 1
    for part, start in zip(np.split(boxes, edges), [0, *edges.tolist()], strict=True):
        if len(part):
            yield int(values[start]), part


def box_path(boxes: Ints | Boxes) -> str:
    """Return rectangles (n, 4) as one SVG path."""
    x, y, width, height = boxes.T
    numbers = np.stack([x, y, width, height, -width], axis=1)
    if np.issubdtype(numbers.dtype, np.integer):
        return "M%d %dh%dv%dh%dz" * len(numbers) % tuple(numbers.ravel().tolist())
    return "M%.4g %.4gh%.4gv%.4gh%.4gz" * len(numbers) % tuple(numbers.ravel().tolist())


def mark_path(cells: Ints, start: tuple[float, float], rest: str) -> str:
    """Return the same small shape in each of the cells (n, 2), x and y, as one SVG path.

    start: where the shape begins within a cell. rest: its path from there, relative.
    """
    points = (cells + np.array(start)).ravel().tolist()
    return f"M%g %g{rest}" * len(cells) % tuple(points)
