"""Whole bands that a chart has a row or a column off from the photograph.

Every row of the photograph is tried against the chart moved by one row or column each way. The
likeliest way through all rows (A. J. Viterbi, "Error bounds for convolutional codes and an
asymptotically optimum decoding algorithm", IEEE Transactions on Information Theory 13(2), 1967,
260-269) changes from one move to another only where that explains much more, so that what is found
are bands with their first and last row. Columns likewise.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .colours import Cells, picked
from .evidence import Evidence
from .placing import Floats

STEPS = tuple((right, down) for down in (-1, 0, 1) for right in (-1, 0, 1))
_STILL = STEPS.index((0, 0))
_CHANGE = 150.0  # squared distance that a change from one move to another has to bring
_FEWEST = 3  # rows of a band
_AGAINST = 0.25  # of what speaks for a band that may speak against it: else it is a figure's step


@dataclass(frozen=True)
class BandOff:
    """Rows (or columns) from first to last of the photograph, and the step they lie off."""

    rows: bool
    first: int
    last: int
    step: tuple[int, int]
    evidence: float


def moved(cells: NDArray[np.generic], step: tuple[int, int]) -> NDArray[np.generic]:
    """Return cells that lie off by a step of columns and rows; the edge is repeated."""
    right, down = step
    height, width = cells.shape
    rows = np.clip(np.arange(height) - down, 0, height - 1)
    columns = np.clip(np.arange(width) - right, 0, width - 1)
    return cells[rows[:, None], columns]


def bands_off(
    evidence: Evidence, cells: Cells, plain: NDArray[np.bool_]
) -> tuple[tuple[BandOff, ...], Cells, NDArray[np.bool_]]:
    """Return the bands that lie off, and the chart with them where the photograph has them.

    Rows are looked at first; only where none are off, columns.
    """
    costs = np.stack([_cost(evidence, cells, plain, step) for step in STEPS])
    for rows in (True, False):
        found = _bands(costs if rows else costs.swapaxes(1, 2), rows)
        if found:
            right, still = cells.copy(), plain.copy()
            for band in found:
                span = slice(band.first, band.last + 1)
                where = (span, slice(None)) if rows else (slice(None), span)
                right[where] = moved(cells, band.step)[where]
                still[where] = moved(plain, band.step)[where]
            return found, right, still
    return (), cells, plain


def _cost(
    evidence: Evidence, cells: Cells, plain: NDArray[np.bool_], step: tuple[int, int]
) -> Floats:
    """Return what each cell costs with the chart moved, less what it costs as it is."""
    both = plain & np.asarray(moved(plain, step), dtype=np.bool_)
    there = np.asarray(moved(cells, step), dtype=np.int32)
    changed: Floats = np.where(
        both, picked(evidence.rough, there) - picked(evidence.rough, cells), 0.0
    )
    return changed


def _bands(cell_costs: Floats, rows: bool) -> tuple[BandOff, ...]:
    """Return the bands of the likeliest way; cell_costs (steps, rows, columns)."""
    costs = cell_costs.sum(axis=2)
    way = _likeliest(costs)
    bands = []
    starts = np.flatnonzero(np.diff(way, prepend=-1))
    for first, end in zip(starts.tolist(), [*starts[1:].tolist(), len(way)], strict=True):
        number = int(way[first])
        if number == _STILL or end - first < _FEWEST:
            continue
        cells = cell_costs[number, first:end]
        speaks, against = -float(cells[cells < 0].sum()), float(cells[cells > 0].sum())
        if against < _AGAINST * speaks:
            bands.append(BandOff(rows, first, end - 1, STEPS[number], (speaks - against) / 2))
    return tuple(bands)


def _likeliest(costs: Floats) -> NDArray[np.intp]:
    """Return the move of each row; costs (steps, rows)."""
    steps, many = costs.shape
    # To begin off is as good a change as any other.
    total = costs[:, 0] + np.where(np.arange(steps) == _STILL, 0.0, _CHANGE / 2)
    before = np.zeros((many, steps), dtype=np.intp)
    for row in range(1, many):
        cheapest = int(total.argmin())
        stay = total <= total[cheapest] + _CHANGE
        before[row] = np.where(stay, np.arange(steps), cheapest)
        total = np.where(stay, total, total[cheapest] + _CHANGE) + costs[:, row]
    way = np.empty(many, dtype=np.intp)
    way[-1] = int(total.argmin())
    for row in range(many - 1, 0, -1):
        way[row - 1] = before[row, way[row]]
    return way
