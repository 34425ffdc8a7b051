"""View models of what to buy: fabric, needle, threads, and the table of sizes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .count import Counts
from .keylist import Amount
from .model import Fabric, Kind
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
    beads: bool
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
    kinds = {part.kind for each in counts.entries for part in each.entry.parts}
    return Supply(
        size(worked, ground.fabric),
        ground.colour_name,
        needle_size(ground.fabric),
        Kind.BEAD in kinds,
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


def amounts(counts: Counts, uses: Sequence[ThreadUse]) -> dict[int, Amount]:
    """Return what each key line in use takes, by its index."""
    return {
        each.index: Amount(
            each.length if each.entry.is_line else each.number, 1.0, 0.5
        )
        for each in counts.entries
    }


def _strands(worked: WorkedChart) -> int:
    return 2


def _skeins(uses: Sequence[ThreadUse]) -> int:
    return sum(each.buy for each in uses)
