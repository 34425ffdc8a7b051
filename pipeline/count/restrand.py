"""The same stitches with another number of strands in the needle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from weakref import WeakKeyDictionary

import numpy as np

from ..compose.worked import WorkedChart
from ..core.model import KeyEntry, Part, Strands

# The same chart for the same wish, so that what is found out about it need not be found again.
_KEPT: WeakKeyDictionary[WorkedChart, dict[int, WorkedChart]] = WeakKeyDictionary()


def main_strands(worked: WorkedChart) -> int | None:
    """Return how many strands most crosses are worked with; None when there are no crosses."""
    key = worked.design.key
    found: dict[int, int] = {}
    for grid in (worked.grid, *(piece.grid for piece in worked.pieces)):
        counts = np.bincount(grid.ravel(), minlength=len(key) + 1)
        for index, entry in enumerate(key, 1):
            if entry.is_cell:
                strands = in_needle(entry.parts[0])
                found[strands] = found.get(strands, 0) + int(counts[index])
    crosses = {strands: number for strands, number in found.items() if number}
    return max(crosses, key=lambda each: (crosses[each], -each), default=None)


def in_needle(part: Part) -> int:
    """Return how many strands are in the needle for a stitch."""
    return sum(each.strands for each in part.needle)


def restrand(worked: WorkedChart, strands: int) -> WorkedChart:
    """Return the chart with so many strands where most crosses have their usual number.

    Only stitches of cells change, and of them only those worked with the number of strands of
    most crosses: a half cross that was thinner on purpose, lines and knots stay as they are. The
    threads of a blend share the strands as before, at least one of each.
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


def shared(needle: Sequence[Strands], strands: int) -> tuple[Strands, ...]:
    """Return the threads of a needle with so many strands in all, in about the same shares.

    Each keeps one at the least, so that there may be more than asked for. What cannot be shared
    out evenly goes to the largest remainders, then to the first named.
    """
    whole = sum(each.strands for each in needle)
    exact = [each.strands * strands / whole for each in needle]
    given = [max(1, int(each)) for each in exact]
    order = sorted(range(len(needle)), key=lambda at: (given[at] - exact[at], at))
    for at in order[: max(0, strands - sum(given))]:
        given[at] += 1
    while sum(given) > max(strands, len(given)):
        # Those below one strand took theirs from what the others were to have.
        several = [at for at in range(len(given)) if given[at] > 1]
        largest = max(several, key=lambda at: (given[at] - exact[at], -at))
        given[largest] -= 1
    return tuple(replace(each, strands=many) for each, many in zip(needle, given, strict=True))
