"""View models of what to buy: fabric, needle, threads, and the table of sizes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .count import BeadCount, Counts
from .model import Fabric
from .size import Size, fabrics, size, unworkable
from .thread import ThreadUse, estimate
from .worked import WorkedChart

# Tapestry needle sizes by crosses per inch; common practice, no single source.
_NEEDLES = ((11.0, 22), (15.0, 24), (19.0, 26))
_FINEST = 28
# Strands for full crosses by crosses per inch; common practice, tables differ.
_STRANDS = ((9.0, 3), (17.0, 2))
_FEWEST = 1


@dataclass(frozen=True)
class Supply:
    """Everything to have at hand."""

    size: Size
    colour_name: str
    needle: int
    beads: tuple[BeadCount, ...]
    needs: tuple[str, ...]
    threads: tuple[ThreadUse, ...]


@dataclass(frozen=True)
class SizeRow:
    """One fabric of the size table. pieces: whether all pieces can be worked on it."""

    size: Size
    strands: int
    skeins: int
    pieces: bool


def needle_size(fabric: Fabric) -> int:
    """Return the size of tapestry needle that suits a fabric."""
    return _by_fineness(fabric, _NEEDLES, _FINEST)


def usual_strands(fabric: Fabric) -> int:
    """Return the usual number of strands for a full cross on a fabric."""
    return _by_fineness(fabric, _STRANDS, _FEWEST)


def _by_fineness(fabric: Fabric, steps: Sequence[tuple[float, int]], finest: int) -> int:
    per_inch = max(fabric.per_inch_x, fabric.per_inch_y)
    return next((each for most, each in steps if per_inch <= most), finest)


def supply(worked: WorkedChart, uses: tuple[ThreadUse, ...], counts: Counts) -> Supply:
    """Return what to buy for the fabric of the model."""
    ground = worked.design.ground
    return Supply(
        size(worked, ground.fabric),
        ground.colour_name,
        needle_size(ground.fabric),
        counts.beads,
        worked.design.booklet.needs,
        uses,
    )


def size_rows(worked: WorkedChart, uses: tuple[ThreadUse, ...]) -> tuple[SizeRow, ...]:
    """Return the size table: the fabric of the model first.

    uses: the thread needed on the fabric of the model.
    """
    own, *others = fabrics(worked)
    rows = [SizeRow(size(worked, own), _strands(worked), _skeins(uses), True)]
    for fabric in others:
        rows.append(
            SizeRow(
                size(worked, fabric),
                usual_strands(fabric),
                _skeins(estimate(worked, fabric)),
                not unworkable(worked, fabric),
            )
        )
    return tuple(rows)


def _strands(worked: WorkedChart) -> int:
    """Return how many strands most crosses are worked with."""
    strands = {
        index: sum(each.strands for each in entry.parts[0].needle)
        for index, entry in enumerate(worked.design.key, 1)
        if entry.is_cell
    }
    counts = np.bincount(worked.grid.ravel(), minlength=len(worked.design.key) + 1)
    found: dict[int, int] = {}
    for index, each in strands.items():
        found[each] = found.get(each, 0) + int(counts[index])
    return max(found, key=lambda each: found[each], default=usual_strands(_fabric(worked)))


def _fabric(worked: WorkedChart) -> Fabric:
    return worked.design.ground.fabric


def _skeins(uses: Sequence[ThreadUse]) -> int:
    return sum(each.buy for each in uses)
