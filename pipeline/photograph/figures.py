"""Figures of one thread that a chart has a row or column off from the photograph.

Every connected figure is tried at the four places beside its own. What it leaves becomes as the
cells around it, or bare; what it covers is covered. How much likelier the photograph is so, on
average over the cells that change, times the root of their number, ranks it: many cells that gain a
little count like few that gain much.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import find_objects, label

from .colours import Cells
from .evidence import Evidence

_BESIDE = ((1, 0), (-1, 0), (0, 1), (0, -1))
_FEWEST, _MOST = 2, 400  # cells of a figure; larger ones are grounds, which have no place
_LEAST_RANK = 12.0
_LEAST_GAIN = 3.0  # squared distance on average of the cells that change
_FITS = 12.0  # squared distance, on average, that a figure in its new place costs at most


@dataclass(frozen=True, eq=False)
class FigureOff:
    """A figure: column and row of its cells (n, 2), its thread, and the step it lies off.

    changed: the cells (n, 2) whose thread would change. rank: see the module. gain: in all.
    """

    cells: Cells
    thread: int
    step: tuple[int, int]
    changed: Cells
    becomes: NDArray[np.int32]
    rank: float
    gain: float


def figures_off(
    evidence: Evidence, cells: Cells, plain: NDArray[np.bool_]
) -> tuple[FigureOff, ...]:
    """Return the figures that fit better beside their place, the surest first."""
    off = []
    for figure in _figures(cells, plain):
        best = None
        for step in _BESIDE:
            tried = _tried(evidence, cells, plain, figure, step)
            if tried is not None and (best is None or tried.rank > best.rank):
                best = tried
        if best is not None:
            off.append(best)
    return tuple(sorted(off, key=lambda each: -each.rank))


def _figures(cells: Cells, plain: NDArray[np.bool_]) -> Iterator[NDArray[np.intp]]:
    """Give the cells (n, 2), row and column, of each connected figure of one thread."""
    for thread in np.unique(cells[plain & (cells > 0)]).tolist():
        joined, _ = label(plain & (cells == thread), structure=np.ones((3, 3)))
        for number, box in enumerate(find_objects(joined), start=1):
            at = np.argwhere(joined[box] == number)
            if _FEWEST <= len(at) <= _MOST:
                yield at + np.array([box[0].start, box[1].start])


def _tried(
    evidence: Evidence,
    cells: Cells,
    plain: NDArray[np.bool_],
    figure: NDArray[np.intp],
    step: tuple[int, int],
) -> FigureOff | None:
    height, width = cells.shape
    thread = int(cells[tuple(figure[0])])
    there = figure + step[::-1]
    inside = ((there >= 0) & (there < (height, width))).all(axis=1)
    if not inside.all():
        return None
    numbers = figure[:, 0] * width + figure[:, 1]
    covered = there[:, 0] * width + there[:, 1]
    left = np.setdiff1d(numbers, covered)
    taken = np.setdiff1d(covered, numbers)
    flat_plain, flat = plain.ravel(), cells.ravel()
    taken = taken[flat_plain[taken]]
    if not len(left) or not len(taken):
        return None
    # What is left is as what lies behind it; bare where that is the figure itself.
    back = left - step[1] * width - step[0]
    row, column = left // width - step[1], left % width - step[0]
    behind = np.zeros(len(left), dtype=np.int32)
    known = (row >= 0) & (row < height) & (column >= 0) & (column < width)
    behind[known] = flat[back[known]]
    behind[behind == thread] = 0
    changed = np.concatenate([left, taken])
    cost = evidence.cost.reshape(-1, evidence.cost.shape[-1])
    as_charted = cost[changed, flat[changed]]
    as_moved = np.concatenate([np.minimum(cost[left, behind], cost[left, 0]), cost[taken, thread]])
    gain = as_charted - as_moved
    mean = float(gain.mean())
    rank = mean * len(changed) ** 0.5
    # Both what it leaves and what it covers have to speak for it: else it is larger or smaller.
    both = min(float(gain[: len(left)].mean()), float(gain[len(left) :].mean()))
    if rank < _LEAST_RANK or both < _LEAST_GAIN or float(as_moved.mean()) > _FITS:
        return None
    becomes = np.concatenate([behind, np.full(len(taken), thread, np.int32)])
    return FigureOff(
        _columns_and_rows(numbers, width),
        thread,
        step,
        _columns_and_rows(changed, width),
        becomes,
        rank,
        float(gain.sum()),
    )


def _columns_and_rows(numbers: NDArray[np.intp], width: int) -> Cells:
    return np.stack([numbers % width, numbers // width], axis=-1).astype(np.int32)
