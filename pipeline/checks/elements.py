"""Lines cut into their shortest steps, so that the same line drawn two ways looks the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedLine

MOST_STEPS = 4_000_000  # of all lines of a chart: 128 MB at the very worst


@dataclass(frozen=True, eq=False)
class Steps:
    """Steps from hole to hole.

    ends: (n, 4) x0, y0, x1, y1 of each step in units, the lesser end first. line: (n,) which
    line each belongs to. unit: how many to a cross.
    """

    ends: NDArray[np.int64]
    line: NDArray[np.int64]
    unit: int


def steps(lines: Sequence[WorkedLine], over: int) -> Steps | None:
    """Cut lines at every place where they meet a corner of the grid of half threads.

    Returns None where there would be too many.
    """
    unit = 2 * over  # half threads: a block may be pierced in its middle
    segments = [line.points for line in lines]
    if not segments:
        return Steps(np.empty((0, 4), dtype=np.int64), np.empty(0, dtype=np.int64), unit)
    counts = np.array([len(each) - 1 for each in segments])
    start = np.concatenate([each[:-1] for each in segments])
    end = np.concatenate([each[1:] for each in segments])
    owner = np.repeat(np.arange(len(segments)), counts)
    first = np.rint(start * unit).astype(np.int64)
    whole = np.rint(end * unit).astype(np.int64) - first
    number = np.gcd(np.abs(whole[:, 0]), np.abs(whole[:, 1]))
    total = int(number.sum())
    if total > MOST_STEPS:
        return None
    each_step = np.repeat(whole // np.maximum(number, 1)[:, None], number, axis=0)
    before = np.concatenate([[0], np.cumsum(number)[:-1]])
    position = np.arange(total) - np.repeat(before, number)
    low = np.repeat(first, number, axis=0) + each_step * position[:, None]
    high = low + each_step
    turned = (low[:, 0] > high[:, 0]) | ((low[:, 0] == high[:, 0]) & (low[:, 1] > high[:, 1]))
    ends = np.concatenate(
        [np.where(turned[:, None], high, low), np.where(turned[:, None], low, high)], axis=1
    )
    return Steps(ends, np.repeat(owner, number), unit)
