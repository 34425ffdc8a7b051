"""The same stitches with another number of strands in the needle."""

from __future__ import annotations

from dataclasses import replace
from weakref import WeakKeyDictionary

import numpy as np

from ..compose.needled import in_needle, shared
from ..compose.worked import WorkedChart
from ..core.model import KeyEntry

# The same chart for the same wish, so that what is found out about it need not be found again.
_KEPT: WeakKeyDictionary[WorkedChart, dict[int, WorkedChart]] = WeakKeyDictionary()


def main_strands(worked: WorkedChart) -> int | None:
    """Return how many strands most crosses are worked with; None when there are no crosses."""
    key = worked.design.key
    found: dict[int, int] = {}
    pieces = ((piece.grid, piece.strands) for piece in worked.pieces)
    for grid, stated in ((worked.grid, None), *pieces):
        counts = np.bincount(grid.ravel(), minlength=len(key) + 1)
        for index in range(1, len(key) + 1):
            entry = worked.entry(index, stated)
            if entry.is_cell:
                strands = in_needle(entry.parts[0])
                found[strands] = found.get(strands, 0) + int(counts[index])
    crosses = {strands: number for strands, number in found.items() if number}
    return max(crosses, key=lambda each: (crosses[each], -each), default=None)


def restrand(worked: WorkedChart, strands: int) -> WorkedChart:
    """Return the chart with so many strands where most crosses have their usual number.

    Only stitches of cells change, and of them only those worked with the number of strands of
    most crosses: a half cross that was thinner on purpose, lines and knots stay as they are. The
    threads of a blend share the strands as before, at least one of each. Pieces whose strands are
    stated keep them.
    """
    usual = main_strands(worked)
    if usual is None or usual == strands:
        return worked
    kept = _KEPT.setdefault(worked, {})
    if strands not in kept:
        design = worked.design
        key = [_entry(entry, usual, strands) if entry.is_cell else entry for entry in design.key]
        kept[strands] = replace(worked, design=replace(design, key=tuple(key)))
    return kept[strands]


def _entry(entry: KeyEntry, usual: int, strands: int) -> KeyEntry:
    return replace(
        entry,
        parts=tuple(
            replace(part, needle=shared(part.needle, strands)) if in_needle(part) == usual else part
            for part in entry.parts
        ),
    )
