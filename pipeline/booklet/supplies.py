"""View models of what to buy: fabric, needle, threads, and the table of sizes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..compose.copies import main_strands, restrand
from ..compose.worked import WorkedChart
from ..core.ground import Fabric
from ..core.key import Kind
from ..count.count import BeadCount, Counts
from ..count.size import Size, fabrics, pierced, size, unworkable
from ..count.thread import ThreadUse, estimate
from ..i18n.trade import SKEIN

# Tapestry needle sizes by crosses per inch; common practice, no single source.
_NEEDLES = ((11.0, 22), (15.0, 24), (19.0, 26))
_FINEST = 28
# Strands for full crosses by crosses per inch; common practice, tables differ.
_STRANDS = ((9.0, 3), (17.0, 2))
_FEWEST = 1


@dataclass(frozen=True)
class Supply:
    """Everything to have at hand.

    needle: the size of tapestry needle for the fabric; finer: those for what goes over fewer
    threads, if that takes others. sharp: whether some stitch needs the fabric pierced. withdrawn:
    whether any threads of the fabric are.
    """

    size: Size
    colour_name: str
    needle: int
    finer: tuple[int, ...]
    sharp: bool
    beads: tuple[BeadCount, ...]
    needs: tuple[str, ...]
    threads: tuple[ThreadUse, ...]
    withdrawn: bool = False

    @property
    def buy(self) -> int:
        """Whole put-ups of all threads."""
        return sum(each.buy for each in self.threads)

    @property
    def skeins_alone(self) -> bool:
        """Whether all threads are sold in skeins."""
        return all(each.thread.put_up == SKEIN for each in self.threads)

    @property
    def sold_alike(self) -> bool:
        """Whether all threads are sold in the same put-up."""
        threads = [each.thread for each in self.threads]
        return len({(e.put_up, e.metres, e.strands, e.kind) for e in threads}) < 2


@dataclass(frozen=True)
class SizeRow:
    """One fabric of the size table.

    strands: in the needle for most crosses. uses: what each thread takes on this fabric. pieces:
    whether all pieces can be worked on it. pierced: kinds of stitch for which it has no hole.
    differing: what is bought in another number than for the fabric of the model.
    """

    size: Size
    strands: int
    uses: tuple[ThreadUse, ...]
    pieces: bool
    pierced: frozenset[Kind]
    differing: tuple[ThreadUse, ...] = ()

    @property
    def bought(self) -> tuple[tuple[str, int], ...]:
        """What is bought in another number, in words, so that fabrics alike are told together."""
        return tuple((each.thread.label, each.buy) for each in self.differing)

    @property
    def needle(self) -> int:
        """The size of tapestry needle that suits the fabric."""
        return needle_size(self.size.fabric)

    @property
    def skeins(self) -> int:
        """Whole put-ups of all threads to buy."""
        return sum(each.buy for each in self.uses)


def needle_size(fabric: Fabric) -> int:
    """Return the size of tapestry needle that suits a fabric."""
    return _by_fineness(fabric, _NEEDLES, _FINEST)


def needles(worked: WorkedChart, fabric: Fabric) -> tuple[int, ...]:
    """Return the sizes of tapestry needles for a fabric, and for what goes over fewer threads."""
    overs = {fabric.over, *(each.over for each in worked.pieces if each.over < fabric.over)}
    return tuple(sorted({needle_size(replace(fabric, over=each)) for each in overs}))


def usual_strands(fabric: Fabric) -> int:
    """Return the usual number of strands for a full cross on a fabric."""
    return _by_fineness(fabric, _STRANDS, _FEWEST)


def _by_fineness(fabric: Fabric, steps: Sequence[tuple[float, int]], finest: int) -> int:
    return next((each for most, each in steps if _per_inch(fabric) <= most), finest)


def _per_inch(fabric: Fabric) -> float:
    return max(fabric.per_inch_x, fabric.per_inch_y)


def supply(worked: WorkedChart, uses: tuple[ThreadUse, ...], counts: Counts) -> Supply:
    """Return what to buy for the fabric of the model."""
    ground = worked.design.ground
    return Supply(
        size(worked, ground.fabric),
        ground.colour_name,
        needle_size(ground.fabric),
        tuple(e for e in needles(worked, ground.fabric) if e != needle_size(ground.fabric)),
        bool(pierced(worked, ground.fabric)),
        counts.beads,
        worked.design.booklet.needs,
        uses,
        bool(worked.gaps),
    )


def size_rows(worked: WorkedChart, uses: tuple[ThreadUse, ...]) -> tuple[SizeRow, ...]:
    """Return the size table: the fabric of the model first.

    uses: the thread needed on the fabric of the model.
    """
    own, *others = fabrics(worked)
    strands = main_strands(worked) or usual_strands(own)
    rows = [_size_row(worked, own, strands, uses)]
    bought = {each.thread: each.buy for each in uses}
    for fabric in others:
        row = size_row(worked, fabric, strands_on(worked, fabric))
        differing = tuple(each for each in row.uses if each.buy != bought.get(each.thread))
        rows.append(replace(row, differing=differing))
    return tuple(rows)


def size_row(worked: WorkedChart, fabric: Fabric, strands: int) -> SizeRow:
    """Return the row of one fabric, with so many strands for most crosses."""
    return _size_row(worked, fabric, strands, estimate(restrand(worked, strands), fabric))


def _size_row(
    worked: WorkedChart, fabric: Fabric, strands: int, uses: tuple[ThreadUse, ...]
) -> SizeRow:
    kinds = frozenset(kind for _, kind in pierced(worked, fabric))
    return SizeRow(size(worked, fabric), strands, uses, not unworkable(worked, fabric), kinds)


def strands_on(worked: WorkedChart, fabric: Fabric) -> int:
    """Return how many strands most crosses take on another fabric.

    As many as the designer chose where the crosses are as large as hers; on a finer fabric no
    more than is usual there, if that is fewer, and on a coarser one no fewer.
    """
    own = worked.design.ground.fabric
    strands, usual = main_strands(worked), usual_strands(fabric)
    if strands is None:
        return usual
    if restrand(worked, strands + 1).design.key == worked.design.key:
        return strands  # none of the threads divides
    finer = _per_inch(fabric) - _per_inch(own)
    if finer > 0:
        return min(strands, usual)
    return max(strands, usual) if finer < 0 else strands
