"""How well each thread of a chart explains each cell of a photograph.

Thread colours and light are taken from the chart itself: all cells of a thread should look alike,
and nearly all of them are right. A cell beside another thread may have caught some of that: a chart
is not blamed for a colour that lies on the way to a neighbour's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .colours import Cells, Palette, distances, spread
from .light import Even, by_cells
from .placing import Floats
from .reading import Reading

FARTHEST = 60.0  # squared distance; beyond it a cell is told no worse by any thread
_FEWEST = 4  # cells of a thread from which its colour is known
_CAUGHT = 0.35  # share of a neighbour's colour that a cell may have caught
_FEW_BARE = 50  # cells of cloth, below which the spread is taken from all cells


@dataclass(frozen=True, eq=False)
class Evidence:
    """How far every cell is from every thread.

    cost: (height, width, threads + 1) squared distances, at most FARTHEST. chart_cost: (height,
    width) of the chart's own thread, with what may be caught from neighbours allowed for.
    """

    even: Even
    palette: Palette
    cost: Floats
    chart_cost: Floats

    def of(self, cells: Cells) -> Floats:
        """Return the cost (height, width) of each cell's being of the thread given."""
        return np.take_along_axis(self.cost, cells[..., None].astype(np.intp), axis=-1)[..., 0]


def gather(reading: Reading, cells: Cells, plain: NDArray[np.bool_]) -> Evidence:
    """Gather the evidence of a photograph on a chart of the same size.

    cells: thread of each. plain: the cells that are compared.
    """
    even = by_cells(reading.colours, cells, plain)
    lab = even.lab
    many = int(cells.max()) + 1
    colours = np.full((many, 3), np.nan)
    counts = np.bincount(cells[plain], minlength=many)
    for thread in np.flatnonzero(counts >= _FEWEST).tolist():
        colours[thread] = np.median(lab[plain & (cells == thread)], axis=0)
    bare = plain & (cells == 0)
    like = (
        lab[bare]
        if bare.sum() >= _FEW_BARE
        else (lab - colours[cells])[plain & (counts[cells] >= _FEWEST)]
    )
    known = ~np.isnan(colours[:, 0])
    palette = Palette(
        np.where(known[:, None], colours, 1e3), spread(like), (counts + 1) / (counts.sum() + many)
    )
    cost = np.minimum(distances(lab, palette), FARTHEST)
    return Evidence(even, palette, cost, _chart_cost(lab, cells, palette, known, cost))


def _chart_cost(
    lab: Floats, cells: Cells, palette: Palette, known: NDArray[np.bool_], cost: Floats
) -> Floats:
    """Return the cost (height, width) of the chart, a neighbour's colour in part allowed for."""
    root = np.linalg.cholesky(palette.precision)
    seen, pure = lab @ root, palette.lab @ root
    own = pure[cells]
    least = np.take_along_axis(cost, cells[..., None].astype(np.intp), axis=-1)[..., 0]
    padded = np.pad(cells, 1, mode="edge")
    height, width = cells.shape
    for down, right in ((0, 1), (2, 1), (1, 0), (1, 2), (0, 0), (0, 2), (2, 0), (2, 2)):
        beside = padded[down : down + height, right : right + width]
        way = pure[beside] - own
        length = np.square(way).sum(axis=-1)
        usable = known[beside] & known[cells] & (beside != cells)
        part = ((seen - own) * way).sum(axis=-1) / np.maximum(length, 1e-9)
        part = np.clip(part, 0, _CAUGHT)
        off = np.square(seen - own - part[..., None] * way).sum(axis=-1)
        least = np.where(usable, np.minimum(least, off), least)
    return np.minimum(least, FARTHEST)
