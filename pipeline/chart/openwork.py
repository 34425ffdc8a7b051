"""Withdrawn threads on the chart: the gap, and the threads that are left standing in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..compose.openwork import left_standing
from ..compose.worked import WorkedChart
from ..core.items import Box

WIDTH = 0.42  # of a thread that is left standing, as a share of its room

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class DrawnGap:
    """A gap in cells of the view: its ground, the threads that stand in it, and their width."""

    ground: str
    strands: str
    width: float


class Gaps:
    """The gaps of a chart, ready to be looked up; places in crosses."""

    def __init__(self, worked: WorkedChart) -> None:
        """Reckon what stands in each."""
        over = worked.design.ground.fabric.over
        self._width = WIDTH / over
        self._gaps = [
            (np.array(gap.box) / over, left_standing(worked, gap) / over) for gap in worked.gaps
        ]

    def drawn(self, view: Box) -> tuple[DrawnGap, ...]:
        """Return what of each gap is in view."""
        found = []
        x, y = view[:2]
        for box, ends in self._gaps:
            x0, y0 = np.maximum(box[:2], view[:2]).tolist()
            x1, y1 = np.minimum(box[2:], view[2:]).tolist()
            if x0 < x1 and y0 < y1:
                ground = f"M{x0 - x:.6g} {y0 - y:.6g}H{x1 - x:.6g}V{y1 - y:.6g}H{x0 - x:.6g}z"
                found.append(DrawnGap(ground, _path(_clipped(ends, view), view), self._width))
        return tuple(found)


def _path(ends: Floats, view: Box) -> str:
    return strands_path(ends - np.array([view[0], view[1]] * 2))


def strands_path(ends: Floats) -> str:
    """Return pieces of thread, (m, 4), as the data of a path."""
    return "M%.6g %.6gL%.6g %.6g" * len(ends) % tuple(ends.ravel().tolist())


def _clipped(ends: Floats, view: Sequence[float]) -> Floats:
    """Return what of some pieces of thread lies in view."""
    start, run = ends[:, :2], ends[:, 2:] - ends[:, :2]
    low, high = np.zeros(len(ends)), np.ones(len(ends))
    for axis in (0, 1):
        moves = run[:, axis] != 0
        safe = np.where(moves, run[:, axis], 1.0)
        to_low = (view[axis] - start[:, axis]) / safe
        to_high = (view[axis + 2] - start[:, axis]) / safe
        inside = (start[:, axis] >= view[axis]) & (start[:, axis] <= view[axis + 2])
        first, last = np.minimum(to_low, to_high), np.maximum(to_low, to_high)
        low = np.maximum(low, np.where(moves, first, np.where(inside, 0.0, 1.0)))
        high = np.minimum(high, np.where(moves, last, np.where(inside, 1.0, 0.0)))
    seen = low < high
    begin, end = start + run * low[:, None], start + run * high[:, None]
    return np.concatenate([begin, end], axis=1)[seen]
