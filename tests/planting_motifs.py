"""Slips of the pen planted in the source as it is written: in its motifs and alphabets.

A motif is written once, however often it is placed, so a slip in it has only the motif itself to
stand against: its symmetry, stated or not, and its fields.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from linenleaf.checks.slips.handdrawn import codes_of
from linenleaf.compose.worked import WorkedChart
from linenleaf.core.items import BARE, Border, Motif, Placement
from linenleaf.core.source import Source, Span
from numpy.typing import NDArray

from .planting import CATEGORIES, WAYS, field_of, wrong

ONCE = "placed once"


@dataclass(frozen=True)
class Written:
    """One character of a source that is another than it should be."""

    category: str
    source: Source
    offset: int
    symbol: str
    evidence: bool


@dataclass(frozen=True)
class _Grid:
    """One motif or letter. codes: of its characters, bare fabric as 0."""

    category: str
    codes: NDArray[np.uint32]
    spans: tuple[Span, ...]

    def evidence(self) -> NDArray[np.bool_]:
        """Where a symmetry or a field says what a cell ought to hold.

        A letter alone says nothing of itself: many are nearly symmetric, and rightly so.
        """
        found = field_of(self.codes)
        if self.category == "letter":
            return found
        number = np.arange(self.codes.size).reshape(self.codes.shape)
        for way in WAYS[1:]:
            if np.array_equal(way.grid(self.codes), self.codes):
                found |= way.grid(number) != number
        return found


def plant_written(worked: WorkedChart, many: int, seed: int) -> list[Written]:
    """So many slips of each category, in cells that are stitched or touch one that is."""
    rng = np.random.default_rng(seed)
    grids = list(_grids(worked))
    slips = []
    for category in (*CATEGORIES, ONCE):
        cells = [
            (grid, row, column)
            for grid in grids
            if category in (grid.category, "field")
            for row, column in np.argwhere(_open(grid, category)).tolist()
        ]
        for picked in np.sort(rng.choice(len(cells), min(many, len(cells)), replace=False)):
            grid, row, column = cells[picked]
            symbol = wrong(grid.codes, row, column, rng)
            span = grid.spans[row]
            slips.append(
                Written(
                    category,
                    span.source,
                    span.start + column,
                    chr(symbol) if symbol else BARE,
                    bool(grid.evidence()[row, column]),
                )
            )
    return slips


def _open(grid: _Grid, category: str) -> NDArray[np.bool_]:
    if category == "field":
        return field_of(grid.codes)
    padded = np.pad(grid.codes > 0, 1)
    height, width = grid.codes.shape
    return np.any(
        [padded[d : d + height, a : a + width] for d in (0, 1, 2) for a in (0, 1, 2)], axis=0
    )


def _grids(worked: WorkedChart) -> Iterator[_Grid]:
    design = worked.design
    for motif in design.motifs.values():
        category = _category(worked, motif)
        if category:
            yield _Grid(category, _codes(motif.rows), motif.row_spans)
    for alphabet in design.alphabets.values():
        for letter in alphabet.letters.values():
            if any(set(row) != {BARE} for row in letter.rows):
                yield _Grid("letter", _codes(letter.rows), letter.row_spans)


def _codes(rows: tuple[str, ...]) -> NDArray[np.uint32]:
    codes = codes_of(rows)
    return np.where(codes == ord(BARE), np.uint32(0), codes)


def _category(worked: WorkedChart, motif: Motif) -> str:
    """What a person would call it by its use; empty for one that is not placed."""
    once = ""
    for item in worked.design.chart.items:
        if isinstance(item, Border) and motif.name in (item.repeat, item.corner):
            return "border"
        if isinstance(item, Placement) and item.motif == motif.name:
            if item.across * item.down > 1:
                return "repeated band"
            once = "mirrored motif" if item.mirror or once or motif.symmetry else ONCE
    return once
