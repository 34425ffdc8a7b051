"""Lines cut into their shortest steps, so that the same line drawn two ways looks the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedLine
from ..stitches.lines import stretches

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
    along = stretches([line.points for line in lines], over)
    total = int(along.number.sum())
    if total > MOST_STEPS:
        return None
    of = np.repeat(np.arange(len(along.number)), along.number)
    before = np.cumsum(along.number) - along.number
    position = np.arange(total) - before[of]
    low = along.first[of] + along.step[of] * position[:, None]
    high = low + along.step[of]
    turned = (low[:, 0] > high[:, 0]) | ((low[:, 0] == high[:, 0]) & (low[:, 1] > high[:, 1]))
    ends = np.where(turned[:, None], np.hstack([high, low]), np.hstack([low, high]))
    return Steps(ends, along.line[of], along.unit)
