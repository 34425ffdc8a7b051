"""Blocks of a chart that lie a row or a column off from the photograph: part of a band, a motif.

For every step to a place beside it is asked which cells the photograph has rather as the chart has
them a step away. Where such cells lie close together, and hardly any speak against the step, there
is a block. One figure by itself is not: that is told as a figure.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import find_objects, label, uniform_filter

from .bands import STEPS, moved
from .colours import Cells
from .evidence import Evidence
from .placing import Floats

Box = tuple[slice, slice]

_SPEAKS = 8.0  # squared distance from which a cell speaks for or against a step
_NEAR = 7  # crosses a side of the places in which those cells are counted
_DENSE = 0.04  # share of such a place that has to speak for a step
_FEWEST = 30  # cells that speak for a block
_FIGURES = 3  # in it, at the least
_AGAINST = 0.2  # of what speaks for a block that may speak against it


@dataclass(frozen=True, eq=False)
class BlockOff:
    """Rows and columns of the photograph whose cells the chart has a step off."""

    box: Box
    step: tuple[int, int]
    evidence: float


def blocks_off(
    evidence: Evidence, cells: Cells, plain: NDArray[np.bool_]
) -> tuple[tuple[BlockOff, ...], Cells, NDArray[np.bool_]]:
    """Return the blocks that lie off, and the chart with them where the photograph has them."""
    as_it_is = evidence.of(cells)
    tried = []
    for step in STEPS:
        if step == (0, 0):
            continue
        both = plain & np.asarray(moved(plain, step), dtype=np.bool_)
        there = np.asarray(moved(cells, step), dtype=np.int32)
        gain = np.where(both, as_it_is - evidence.of(there), 0.0)
        tried += [BlockOff(box, step, worth) for box, worth in _dense(gain)]
    taken = np.zeros(cells.shape, dtype=bool)
    right, still, off = cells.copy(), plain.copy(), []
    for block in sorted(tried, key=lambda each: -each.evidence):
        if taken[block.box].any() or not _is_several(cells, block):
            continue
        taken[block.box] = True
        right[block.box] = moved(cells, block.step)[block.box]
        still[block.box] &= np.asarray(moved(plain, block.step), dtype=np.bool_)[block.box]
        off.append(block)
    return tuple(off), right, still


def _dense(gain: Floats) -> Iterator[tuple[Box, float]]:
    """Give the boxes in which cells speak for a step, and how much that is worth."""
    speaks, against = gain > _SPEAKS, gain < -_SPEAKS
    balance = uniform_filter(speaks - 2.0 * against, _NEAR, mode="constant")
    joined, _ = label(balance > _DENSE)
    for number, around in enumerate(find_objects(joined), start=1):
        rows, columns = np.nonzero((joined[around] == number) & speaks[around])
        if len(rows) < _FEWEST:
            continue
        top, left = around[0].start, around[1].start
        box = _grown(
            gain,
            slice(top + int(rows.min()), top + int(rows.max()) + 1),
            slice(left + int(columns.min()), left + int(columns.max()) + 1),
        )
        gains = gain[box]
        pro, contra = float(gains[gains > 0].sum()), -float(gains[gains < 0].sum())
        if contra < _AGAINST * pro:
            yield box, (pro - contra) / 2


def _grown(gain: Floats, rows: slice, columns: slice) -> Box:
    """Return a box with the rows and columns beside it that speak for the step, too."""
    height, width = gain.shape
    for _ in range(_NEAR // 2):
        wide, high = np.s_[rows, :], np.s_[:, columns]
        by_row, by_column = gain[high].sum(axis=1), gain[wide].sum(axis=0)
        rows, columns = (
            slice(
                span.start - int(span.start > 0 and worth[span.start - 1] > _SPEAKS),
                span.stop + int(span.stop < many and worth[span.stop] > _SPEAKS),
            )
            for span, worth, many in ((rows, by_row, height), (columns, by_column, width))
        )
    return rows, columns


def _is_several(cells: Cells, block: BlockOff) -> bool:
    """Whether a block holds several figures, each of one thread."""
    inside = np.asarray(moved(cells, block.step))[block.box]
    figures = 0
    for thread in np.unique(inside[inside > 0]).tolist():
        figures += label(inside == thread, structure=np.ones((3, 3)))[1]
    return figures >= _FIGURES
