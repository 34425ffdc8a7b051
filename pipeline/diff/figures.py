"""Figures of a chart that is one grid which moved: found by their cells alone.

A figure is what stands out of its surroundings: cells that hang together, straight or slanting,
on bare fabric or in a field of one colour.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..core.model import Point
from .areas import NEAR, boxes, label
from .canvas import Canvas, Classes, Mask
from .changes import Moved, Sort, Spot, Turn
from .matching import by_votes

FEWEST = 4  # cells of a figure: fewer are alike by chance
LARGEST = 0.25  # of the chart: what is larger is no figure but a ground
MOST = 0.25  # of all cells; where more have changed, figures are not looked for
GROUNDS = 3  # kinds of ground looked at, those most often found where cells changed


@dataclass(frozen=True, eq=False)
class Figure:
    """A figure that moved.

    cells: (many, 2) its columns and rows before. by: how far it went. ground: what it stands on.
    """

    cells: NDArray[np.int64]
    by: tuple[int, int]
    ground: int


@dataclass(frozen=True, eq=False)
class _Seen:
    """A figure of one chart: its cells, what is the same for the same looks, its corner."""

    cells: NDArray[np.int64]
    alike: Hashable
    place: Point


def moved_figures(old: Classes, new: Classes, changed: Mask) -> tuple[list[Figure], Mask]:
    """Return the figures that moved among changed cells, and the changes that this explains.

    old, new: what is stitched, of one size. changed: the cells to be explained.
    """
    moved: list[Figure] = []
    done = np.zeros_like(changed)
    if np.count_nonzero(changed) > MOST * changed.size:
        return moved, done  # another chart
    rows, columns = (np.flatnonzero(changed.any(axis=axis)).tolist() for axis in (1, 0))
    if not rows:
        return moved, done
    # Of a figure that moved the cells along all its sides have changed, so it lies in between.
    top, left = max(rows[0] - 1, 0), max(columns[0] - 1, 0)
    view = np.s_[top : rows[-1] + 2, left : columns[-1] + 2]
    before, after, wanted = old[view], new[view], changed[view]
    within = columns[0] - left, rows[0] - top, columns[-1] + 1 - left, rows[-1] + 1 - top
    for ground in _grounds(before, after, wanted):
        rest = wanted & ~done[view]
        if not _may_have_moved(before[rest], after[rest], ground):
            continue
        figures, others = (
            _figures(each, ground, rest, within, old.size) for each in (before, after)
        )
        pairs = by_votes(
            [(each.alike, each.place) for each in figures],
            [(each.alike, each.place) for each in others],
        )
        moved += [
            Figure(figures[one].cells + np.array([left, top]), (int(by[0]), int(by[1])), ground)
            for one, _, by in pairs
            if by != (0, 0)
        ]
        if moved:
            done = changed & _explained(old, new, moved)
    return moved, done


def _may_have_moved(old: Classes, new: Classes, ground: int) -> bool:
    """Tell whether enough of the same left the ground and came to lie on it.

    old, new: what changed cells held. A figure of FEWEST cells that moved by one still leaves two
    bare and covers two others.
    """
    left, came = old[new == ground], new[old == ground]
    if not len(left) or not len(came):
        return False
    kinds = int(max(left.max(), came.max())) + 1
    alike = np.minimum(np.bincount(left, minlength=kinds), np.bincount(came, minlength=kinds))
    return int(alike.sum()) >= FEWEST // 2


def _explained(old: Classes, new: Classes, figures: Sequence[Figure]) -> Mask:
    """Return the cells that hold what they should when the figures are moved."""
    played = old.copy()
    for each in figures:
        x, y = each.cells.T
        played[y, x] = each.ground
    for each in figures:
        x, y = each.cells.T
        played[y + each.by[1], x + each.by[0]] = old[y, x]
    return np.asarray(played == new)


def _grounds(old: Classes, new: Classes, changed: Mask) -> list[int]:
    values = np.concatenate([old[changed], new[changed]])
    kinds, many = np.unique(values, return_counts=True)
    return [int(kinds[at]) for at in np.argsort(-many, kind="stable")[:GROUNDS]]


def _figures(
    grid: Classes, ground: int, changed: Mask, within: tuple[int, int, int, int], whole: int
) -> list[_Seen]:
    """Return the figures on one ground that hold a changed cell, with what they look like."""
    x, y, number = label(grid != ground)
    if not len(number):
        return []
    sizes = np.bincount(number)
    wanted = np.bincount(number, changed[y, x]) > 0
    wanted &= (sizes >= FEWEST) & (sizes <= LARGEST * whole)
    keep = wanted[number]
    if not keep.any():
        return []
    x, y = x[keep], y[keep]
    _, number = np.unique(number[keep], return_inverse=True)
    order = np.argsort(number, kind="stable")
    ends = np.append(np.flatnonzero(np.diff(number[order], prepend=-1)), len(order))
    seen = []
    for at, (left, top, right, bottom) in enumerate(boxes(x, y, number).tolist()):
        if left < within[0] or top < within[1] or right > within[2] or bottom > within[3]:
            continue
        mine = order[ends[at] : ends[at + 1]]
        cells = np.stack([x[mine], y[mine]], axis=1)
        looks = (cells - (left, top)).tobytes(), grid[y[mine], x[mine]].tobytes()
        seen.append(_Seen(cells, looks, (left, top)))
    return seen


def moved_together(
    figures: Sequence[Figure], canvas: Canvas, shape: tuple[int, ...]
) -> list[Moved]:
    """Return figures that moved, those that went the same way as one."""
    by_step: dict[tuple[int, int], list[Figure]] = {}
    for figure in figures:
        by_step.setdefault(figure.by, []).append(figure)
    moves = []
    for step, together in by_step.items():
        mask = np.zeros(shape, dtype=bool)
        for figure in together:
            mask[figure.cells[:, 1], figure.cells[:, 0]] = True
        arrived = np.roll(mask, (step[1], step[0]), (0, 1))
        bare = (canvas.new == 0) | arrived
        x, y, group = label(mask, 2 * NEAR)
        spots = []
        for number, box in enumerate(boxes(x, y, group).tolist()):
            mine = group == number
            old = _moved_box(box, canvas.old_left, canvas.old_top)
            new = _moved_box(box, canvas.left + step[0], canvas.top + step[1])
            free = bool(bare[y[mine], x[mine]].all())
            spots.append(Spot(old, new, int(mine.sum()), free))
        moves.append(Moved(Sort.GRID, "", step, Turn.NOT, 0, tuple(spots)))
    return moves


def _moved_box(box: Sequence[int], x: int, y: int) -> tuple[int, int, int, int]:
    return box[0] + x, box[1] + y, box[2] + x, box[3] + y
