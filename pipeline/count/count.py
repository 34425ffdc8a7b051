"""How many stitches of what kind: exact, by key line and by thread.

What a replacing motif covers is no longer in the worked chart and so does not count.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ..compose.worked import WorkedChart
from ..core.counted import Counted
from ..core.ground import Fabric
from ..core.key import KeyEntry, Kind, Thread
from ..stitches.kinds import STITCHES


@dataclass(frozen=True)
class EntryCount:
    """What is worked of one key line.

    index: of the key, from 1. cells: crosses (or part crosses) of the chart's own size.
    other: crosses of another size, by the threads each spans (1 for over one).
    stitches: back and straight stitches. length: of those, in sides of a cross of the chart.
    points: knots or beads. apart: of the pieces for which other strands are stated than those of
    the key line: the threads a cross spans, the strands, and how many crosses.
    longest: the longest back or straight stitch, in sides of a cross of the chart. counted:
    stitches that take threads of their own. turned: some of them lie mirrored or turned.
    """

    index: int
    entry: KeyEntry
    cells: int
    other: tuple[tuple[int, int], ...]
    stitches: int
    length: float
    points: int
    apart: tuple[tuple[int, int, int], ...] = ()
    longest: float = 0.0
    counted: int = 0
    turned: bool = False

    @property
    def number(self) -> int:
        """How many stitches in all, whatever they are."""
        crosses = self.cells + sum(many for _, many in self.other)
        return crosses + self.counted + self.stitches + self.points


@dataclass(frozen=True)
class KindCount:
    """How many stitches of one kind are worked with one thread; over: the threads each spans.

    length: for back and straight stitch, in sides of a cross of the chart; otherwise 0. stitch:
    the counted one that it is, of which `over` says how many threads it is wide.
    """

    kind: Kind
    over: int
    number: int
    length: float
    stitch: Counted | None = None


@dataclass(frozen=True)
class ThreadCount:
    """What is worked with one thread."""

    thread: Thread
    kinds: tuple[KindCount, ...]

    @property
    def number(self) -> int:
        """How many stitches in all."""
        return sum(each.number for each in self.kinds)


@dataclass(frozen=True)
class BeadCount:
    """How many beads of one colour. A bead is no thread, though the key names it like one."""

    bead: Thread
    number: int


@dataclass(frozen=True)
class Counts:
    """Everything counted. entries: the key lines in use, in the order of the key."""

    entries: tuple[EntryCount, ...]
    threads: tuple[ThreadCount, ...]
    beads: tuple[BeadCount, ...] = ()

    @property
    def crosses(self) -> int:
        """Worked cells of any size; a cell of two part stitches is one."""
        return sum(each.cells + sum(many for _, many in each.other) for each in self.entries)

    @property
    def counted(self) -> int:
        """Stitches that take threads of their own, each whole one, whatever lies in it."""
        return sum(each.counted for each in self.entries)

    @property
    def line_stitches(self) -> int:
        """Back and straight stitches."""
        return sum(each.stitches for each in self.entries)

    @property
    def knots(self) -> int:
        """Knots, without beads."""
        return sum(each.points for each in self.entries) - sum(each.number for each in self.beads)


def count(worked: WorkedChart) -> Counts:
    """Count a worked chart."""
    many = len(worked.design.key) + 1
    over = worked.design.ground.fabric.over
    cells = np.bincount(worked.grid.ravel(), minlength=many)
    other: list[Counter[int]] = [Counter() for _ in range(many)]
    apart: list[Counter[tuple[int, int]]] = [Counter() for _ in range(many)]
    for piece in worked.pieces:
        in_piece = np.bincount(piece.grid.ravel(), minlength=many)
        if piece.strands is not None:
            for number in (np.flatnonzero(in_piece[1:]) + 1).tolist():
                if worked.entry(number, piece.strands) != worked.entry(number):
                    apart[number][piece.over, piece.strands] += int(in_piece[number])
        if piece.over == over:
            cells = cells + in_piece
        else:
            for index in np.flatnonzero(in_piece):
                other[index][piece.over] += int(in_piece[index])
    stitched = worked.stitched
    line_index = np.array([line.index for line in worked.lines], dtype=np.intp)
    index_of = line_index[stitched.along.line]
    stitches = np.zeros(many, dtype=np.int64)
    np.add.at(stitches, index_of, stitched.many)
    length = np.bincount(index_of, stitched.along.length, minlength=many)
    longest = np.zeros(many)
    ends, of = stitched.ends()
    np.maximum.at(longest, line_index[of], np.hypot(*(ends[:, 1] - ends[:, 0]).T))
    points = Counter(knot.index for knot in worked.knots)
    counted: Counter[int] = Counter()
    for stand in worked.stands:
        counted[stand.index] += len(stand.at)
        if stand.strands is not None:
            apart[stand.index][stand.stitch.over[0], stand.strands] += len(stand.at)
    turned: set[int] = set()
    for way in np.flatnonzero(worked.line_of != np.arange(many)).tolist():
        line = int(worked.line_of[way])
        if cells[way] or other[way]:
            turned.add(line)
        cells[line] = cells[line] + cells[way]
        other[line] += other[way]
        apart[line] += apart[way]
    entries = tuple(
        EntryCount(
            index,
            entry,
            int(cells[index]),
            tuple(sorted(other[index].items())),
            int(stitches[index]),
            float(length[index]),
            points[index],
            tuple((*which, number) for which, number in sorted(apart[index].items())),
            float(longest[index]),
            counted[index],
            index in turned,
        )
        for index, entry in enumerate(worked.design.key, 1)
        if not entry.turned_from
    )
    used = tuple(each for each in entries if each.number)
    return Counts(used, _by_thread(used, worked.design.ground.fabric), _beads(used))


_Worked = tuple[Kind, int, Counted | None]


def _by_thread(entries: Iterable[EntryCount], fabric: Fabric) -> tuple[ThreadCount, ...]:
    numbers: dict[Thread, Counter[_Worked]] = {}
    lengths: dict[Thread, Counter[_Worked]] = {}
    for each in entries:
        for part in each.entry.parts:
            if STITCHES[part.kind].bead:
                continue
            for thread in dict.fromkeys(strands.thread for strands in part.needle):
                kinds = numbers.setdefault(thread, Counter())
                over = fabric.over if part.stitch is None else part.stitch.over[0]
                own = part.kind, over, part.stitch
                kinds[own] += each.cells + each.counted + each.stitches + each.points
                for over, many in each.other:
                    kinds[part.kind, over, part.stitch] += many
                if each.length:
                    lengths.setdefault(thread, Counter())[own] += each.length  # type: ignore[assignment]
    return tuple(
        ThreadCount(
            thread,
            tuple(
                KindCount(kind, over, number, lengths.get(thread, Counter())[worked], stitch)
                for worked, number in kinds.items()
                for kind, over, stitch in (worked,)
                if number
            ),
        )
        for thread, kinds in numbers.items()
    )


def _beads(entries: Iterable[EntryCount]) -> tuple[BeadCount, ...]:
    numbers: Counter[Thread] = Counter()
    for each in entries:
        part = each.entry.parts[0]
        if STITCHES[part.kind].bead:
            for bead in dict.fromkeys(strands.thread for strands in part.needle):
                numbers[bead] += each.points
    return tuple(BeadCount(bead, number) for bead, number in numbers.items())
