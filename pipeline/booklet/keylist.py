"""View models of the key: cells, lines, knots and beads, and what other colourways change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ..colour.overdyed import shades
from ..compose.worked import with_strands
from ..core.key import KeyEntry, Part, Strands, Thread
from ..core.model import Design
from ..count.count import Counts, EntryCount
from ..count.thread import EntryUse, ThreadUse
from ..stitches.kinds import STITCHES, is_far

LONG = 1.5  # crosses; a stitch across one cross is 1.41 on square crosses
SIDE_BY_SIDE = 3  # other colourways in one table


@dataclass(frozen=True)
class ThreadLine:
    """One thread of a key line. part: the stitch it begins, None for one more in the needle.

    apart: strands where pieces are worked with others. turned: the stitch lies in several ways.

    metres: off the put-up; skeins: the same in put-ups. None where an earlier line of the same
    key line already tells for this thread.
    """

    thread: Thread
    strands: int
    part: Part | None
    metres: float | None = None
    skeins: float | None = None
    apart: tuple[int, ...] = ()
    turned: bool = False

    @property
    def bead(self) -> bool:
        """Whether it is no thread but a bead, of which there are no strands."""
        return self.part is not None and STITCHES[self.part.kind].bead


@dataclass(frozen=True)
class KeyRow:
    """One line of the printed key. address: of the drawing of its symbol, line or knot.

    count: stitches, or for a line its length in crosses. longest: crosses that its longest stitch
    is long, where it is a line whose stitches are not all about one cross long. far: each stretch
    of it is one stitch.
    """

    index: int
    symbol: str
    address: str
    threads: tuple[ThreadLine, ...]
    count: float
    note: str
    longest: float = 0.0
    far: bool = False


@dataclass(frozen=True)
class ThreadsByWay:
    """Key lines whose threads differ alike between colourways.

    marks: address and symbol of each line. choices: their threads in each colourway.
    """

    marks: tuple[tuple[str, str], ...]
    choices: tuple[tuple[ThreadLine, ...], ...]


@dataclass(frozen=True)
class Colourways:
    """Colourways side by side, that of this booklet first; the chart's own has no title."""

    titles: tuple[str, ...]
    changes: tuple[ThreadsByWay, ...]


@dataclass(frozen=True)
class KeyTables:
    """The whole key. apart: threads spanned by crosses with strands of their own."""

    cells: tuple[KeyRow, ...]
    lines: tuple[KeyRow, ...]
    points: tuple[KeyRow, ...]
    colourways: tuple[Colourways, ...]
    apart: tuple[int, ...] = ()

    @staticmethod
    def shades(thread: Thread) -> tuple[str, ...]:
        """Return the colours that a thread has on its way; mostly one."""
        return shades(thread)

    @property
    def parts(self) -> tuple[Part, ...]:
        """The stitches of all key lines in use."""
        rows = (*self.cells, *self.lines, *self.points)
        return tuple(each.part for row in rows for each in row.threads if each.part is not None)

    @property
    def counted(self) -> bool:
        """Whether any sign stands for a stitch that takes threads of its own."""
        return any(each.part and each.part.stitch for row in self.cells for each in row.threads)

    def symbol(self, index: int) -> str:
        """Return the symbol or word of a key line in use."""
        rows = (*self.cells, *self.lines, *self.points)
        return next(row.symbol for row in rows if row.index == index)

    @property
    def by_thread(self) -> Mapping[Thread, tuple[KeyRow, ...]]:
        """The key lines that each thread is used for, in the order of the key; no beads."""
        lines: dict[Thread, list[KeyRow]] = {}
        for row in (*self.cells, *self.lines, *self.points):
            for thread in dict.fromkeys(each.thread for each in row.threads if not each.bead):
                lines.setdefault(thread, []).append(row)
        return {thread: tuple(rows) for thread, rows in lines.items()}


def address(index: int) -> str:
    """Return the address of the drawing of a key line."""
    return f"sample:{index}"


def key(
    charted: Design, counts: Counts, uses: Sequence[ThreadUse], colourway: str | None = None
) -> KeyTables:
    """Return the key of the lines in use, with what each takes.

    charted: the design with the threads of its own key. counts, uses: of what is stitched, in the
    threads of the colourway, where one is named.
    """
    taken = {(use.thread, each.index): each for use in uses for each in use.entries}
    rows = [
        KeyRow(
            each.index,
            each.entry.symbol,
            address(each.index),
            _with_amounts(_stranded(each), each.index, taken),
            each.length if each.entry.is_line else each.number,
            each.entry.note,
            each.longest if each.longest > LONG else 0.0,
            is_far(each.entry.parts[0]),
        )
        for each in counts.entries
    ]
    entries = charted.key
    return KeyTables(
        tuple(row for row in rows if entries[row.index - 1].is_cell),
        tuple(row for row in rows if entries[row.index - 1].is_line),
        tuple(row for row in rows if entries[row.index - 1].is_point),
        _side_by_side(charted, [row.index for row in rows], colourway),
        tuple(
            sorted({over for each in counts.entries if _both(each) for over, _, _ in each.apart})
        ),
    )


def _both(counted: EntryCount) -> bool:
    """Whether some crosses have the strands of the key line, and some those of a piece."""
    return len(counted.apart) > 1 or any(many < counted.number for _, _, many in counted.apart)


def _stranded(counted: EntryCount) -> tuple[ThreadLine, ...]:
    """Return the threads of a key line, with the strands of pieces that have others."""
    ways = [thread_lines(with_strands(counted.entry, strands)) for _, strands, _ in counted.apart]
    if ways and not _both(counted):
        return tuple(replace(line, turned=counted.turned) for line in ways[0])
    return tuple(
        replace(
            own,
            apart=tuple(dict.fromkeys(way[place].strands for way in ways)),
            turned=counted.turned,
        )
        for place, own in enumerate(thread_lines(counted.entry))
    )


def thread_lines(entry: KeyEntry) -> tuple[ThreadLine, ...]:
    """Return the threads of a key line, part by part."""
    return tuple(line for part in entry.parts for line in _needle(part.needle, part))


def _needle(needle: Sequence[Strands], part: Part | None) -> list[ThreadLine]:
    return [
        ThreadLine(each.thread, each.strands, part if place == 0 else None)
        for place, each in enumerate(needle)
    ]


def _with_amounts(
    lines: Sequence[ThreadLine], index: int, taken: Mapping[tuple[Thread, int], EntryUse]
) -> tuple[ThreadLine, ...]:
    told: set[Thread] = set()
    with_amounts = []
    for line in lines:
        use = taken.get((line.thread, index))
        if use is None or line.thread in told:
            with_amounts.append(line)
            continue
        told.add(line.thread)
        metres = use.strand_metres / line.thread.strands
        with_amounts.append(replace(line, metres=metres, skeins=use.skeins))
    return tuple(with_amounts)


_WayNeedles = tuple[str, Mapping[str, tuple[tuple[Strands, ...], ...]]]  # title, needles by symbol


def _side_by_side(
    charted: Design, used: Sequence[int], colourway: str | None
) -> tuple[Colourways, ...]:
    """Return all colourways but this one beside this one, a few to a table."""
    ways: list[_WayNeedles] = [("", {})]
    this = ways[0]
    for each in charted.colourways:
        way = (each.title or each.name, {change.symbol: change.needles for change in each.changes})
        ways.append(way)
        if each.name == colourway:
            this = way
    others = [way for way in ways if way is not this]
    return tuple(
        _table(charted, used, [this, *others[at : at + SIDE_BY_SIDE]])
        for at in range(0, len(others), SIDE_BY_SIDE)
    )


def _table(charted: Design, used: Sequence[int], ways: Sequence[_WayNeedles]) -> Colourways:
    alike: dict[tuple[tuple[ThreadLine, ...], ...], list[tuple[str, str]]] = {}
    for index in used:
        entry = charted.key[index - 1]
        own = tuple(part.needle for part in entry.parts)
        choices = tuple(
            tuple(
                ThreadLine(each.thread, 0, None)
                for needle in needles.get(entry.symbol, own)
                for each in needle
            )
            for _, needles in ways
        )
        if len(set(choices)) > 1:
            alike.setdefault(choices, []).append((address(index), entry.symbol))
    return Colourways(
        tuple(title for title, _ in ways),
        tuple(ThreadsByWay(tuple(marks), choices) for choices, marks in alike.items()),
    )


def short_labels(design: Design, used: Sequence[int], *, names: bool) -> dict[int, str]:
    """Return what the short key of a chart page prints beside each symbol.

    That is the code of the thread; the range is named too when the key draws on several, and the
    name stands for a colour without a code. names: whether the name follows the code.
    """
    entries = {index: design.key[index - 1] for index in used}
    ranges = {each.range for entry in entries.values() for each in _threads(entry) if each.code}
    labels = {}
    for index, entry in entries.items():
        words = []
        for thread in _threads(entry):
            code = thread.label if len(ranges) > 1 or not thread.code else thread.code
            words.append(f"{code} {thread.name}" if names and thread.code else code)
        labels[index] = " + ".join(words)
    return labels


def _threads(entry: KeyEntry) -> tuple[Thread, ...]:
    threads = (each.thread for part in entry.parts for each in part.needle)
    return tuple(dict.fromkeys(threads))
