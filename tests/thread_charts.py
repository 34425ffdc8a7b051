"""Worked charts for the tests of the thread estimate, and what one needle takes in them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from linenleaf.compose.worked import Piece, WorkedChart, WorkedKnot, WorkedLine
from linenleaf.core.ground import Fabric, Working
from linenleaf.core.key import KeyEntry
from linenleaf.count.thread import ThreadUse, estimate
from numpy.typing import ArrayLike

from .charts import KEY, design

AT_16 = Fabric("linen", 32, 32, 2)
AT_14 = Fabric("aida", 14, 14, 1, block=True)
SIDE = 1.5875  # mm, at 16 crosses per inch
USUAL = Working()
ENDLESS = Working(needleful=1e9, tail=0, reserve=0)  # no waste of any kind


def chart(
    grid: ArrayLike,
    *,
    key: Sequence[KeyEntry] = KEY,
    working: Working = USUAL,
    pieces: tuple[Piece, ...] = (),
    lines: tuple[WorkedLine, ...] = (),
    knots: tuple[WorkedKnot, ...] = (),
) -> WorkedChart:
    """A worked chart from key indices."""
    cells = np.asarray(grid, dtype=np.uint16)
    made = design((cells.shape[1], cells.shape[0]), key=key, working=working)
    owner = np.where(cells > 0, 0, -1).astype(np.int32)
    return WorkedChart(made, cells, owner, pieces, lines, knots, ())


def crosses(places: Iterable[tuple[int, int]], margin: int = 0) -> np.ndarray:
    """A grid with crosses of the first key line at x, y."""
    spots = list(places)
    width = max(x for x, _ in spots) + 1 + margin
    height = max(y for _, y in spots) + 1 + margin
    grid = np.zeros((height, width), dtype=np.uint16)
    for x, y in spots:
        grid[y, x] = 1
    return grid


def one(worked: WorkedChart, fabric: Fabric = AT_16) -> ThreadUse:
    """What the only thread of a chart takes."""
    (use,) = estimate(worked, fabric)
    return use


def needle(grid: ArrayLike, fabric: Fabric = AT_16, working: Working = USUAL) -> ThreadUse:
    """What a grid of the first key line takes."""
    return one(chart(grid, working=working), fabric)
