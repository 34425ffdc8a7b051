"""Everything that a report tells of a chart, gathered once."""

from __future__ import annotations

from dataclasses import dataclass

from ..booklet.supplies import SizeRow, size_row, size_rows, strands_on
from ..compose.worked import WorkedChart
from ..core.ground import Fabric
from ..core.key import Thread
from ..count.count import Counts, ThreadCount, count
from ..count.thread import ThreadUse, estimate
from ..stitches.kinds import STITCHES


@dataclass(frozen=True)
class Facts:
    """A chart on one fabric.

    sizes: the table of sizes, the fabric that the other figures are for first. supposed: whether
    that fabric, or its strands, were asked for in place of those of the chart.
    """

    worked: WorkedChart
    counts: Counts
    sizes: tuple[SizeRow, ...]
    supposed: bool = False

    @property
    def uses(self) -> tuple[ThreadUse, ...]:
        """What each thread takes."""
        return self.sizes[0].uses

    @property
    def bought(self) -> dict[Thread, int]:
        """Whole put-ups to buy of each thread."""
        return {use.thread: use.buy for use in self.uses}

    @property
    def threads(self) -> list[tuple[ThreadCount, ThreadUse]]:
        """Counts and uses of each thread, in the order of the uses."""
        counted = {each.thread: each for each in self.counts.threads}
        return [(counted[use.thread], use) for use in self.uses]

    def symbols(self, thread: Thread, *, beads: bool = False) -> str:
        """Return the symbols and words of the key lines in use that name a thread, or a bead."""
        return " ".join(
            each.entry.symbol
            for each in self.counts.entries
            if STITCHES[each.entry.parts[0].kind].bead is beads
            and any(thread == one.thread for part in each.entry.parts for one in part.needle)
        )


def gather(worked: WorkedChart, fabric: Fabric | None = None, strands: int | None = None) -> Facts:
    """Gather the facts of a chart on its own fabric, or on another.

    fabric, strands: to suppose, in place of those of the chart. With a fabric alone the strands
    are those that the table of sizes would state for it.
    """
    own = worked.design.ground.fabric
    rows = size_rows(worked, estimate(worked, own))
    if fabric is None and strands is None:
        return Facts(worked, count(worked), rows)
    fabric = own if fabric is None else fabric
    strands = strands_on(worked, fabric) if strands is None else strands
    others = [row for row in rows if (row.size.fabric, row.strands) != (fabric, strands)]
    first = size_row(worked, fabric, strands)
    return Facts(worked, count(worked), (first, *others), supposed=True)
