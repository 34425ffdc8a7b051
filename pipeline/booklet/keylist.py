"""View models of the key: cells, lines, knots and beads, and what other colourways change."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ..colour.overdyed import shades
from ..compose.worked import with_strands
from ..core.key import KeyEntry, Part, Strands, Thread
from ..core.model import Design
from ..count.count import Counts, EntryCount
from ..i18n.trade import stitch
from ..i18n.wording import wording
from ..stitches.kinds import STITCHES, is_far

LONG = 1.5  # crosses; a stitch across one cross is 1.41 on square crosses
SIDE_BY_SIDE = 3  # other colourways in one table


@dataclass(frozen=True)
class ThreadLine:
    """One thread of a key line. part: the stitch it begins, None for one more in the needle.

    apart: strands where pieces are worked with others. turned: the stitch lies in several ways.
    """

    thread: Thread
    strands: int
    part: Part | None
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
    of it is one stitch. wide: its drawing takes more than a cell.
    """

    index: int
    symbol: str
    address: str
    threads: tuple[ThreadLine, ...]
    count: float
    note: str
    longest: float = 0.0
    far: bool = False
    wide: bool = False


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


def key(charted: Design, counts: Counts, colourway: str | None = None) -> KeyTables:
    """Return the key of the lines in use, with how much is stitched of each.

    charted: the design with the threads of its own key. counts: of what is stitched, in the
    threads of the colourway, where one is named.
    """
    rows = [
        KeyRow(
            each.index,
            each.entry.symbol,
            address(each.index),
            _stranded(each),
            each.length if each.entry.is_line else each.number,
            each.entry.note,
            each.longest if each.longest > LONG else 0.0,
            is_far(each.entry.parts[0]),
            each.entry.is_wide,
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


@dataclass(frozen=True)
class Labels:
    """The words of short keys, by key line.

    brief: those that leave out one stitch, of which usual tells once for all of them.
    """

    words: Mapping[int, str]
    brief: Mapping[int, str] = field(default_factory=dict)
    usual: str = ""


def short_labels(design: Design, used: Sequence[int], *, names: bool) -> Labels:
    """Return what the short key of a chart page prints beside each symbol.

    That is code and name of each thread, and the stitch; in brief, not that stitch which most lines
    of the key have. The range is named too when the key draws on several. names: whether names and
    stitches are told; without them, codes alone.
    """
    entries = {index: design.key[index - 1] for index in used}
    ranges = {each.range for entry in entries.values() for each in _threads(entry) if each.code}
    words = wording(design.booklet.language)

    def named(thread: Thread) -> str:
        code = thread.label if len(ranges) > 1 or not thread.code else thread.code
        return f"{code} {thread.name}" if names and thread.code else code

    if not names:
        return Labels(
            {index: _joined(map(named, _threads(entry))) for index, entry in entries.items()}
        )
    told = {
        index: [
            (
                " + ".join(dict.fromkeys(named(each.thread) for each in part.needle)),
                stitch(words, part, brief=True),
            )
            for part in entry.parts
        ]
        for index, entry in entries.items()
    }
    kinds = Counter(kind for parts in told.values() for _, kind in parts)
    usual = max(kinds, key=lambda kind: kinds[kind], default="")
    return Labels(
        {
            index: _joined(f"{needle}, {kind}" for needle, kind in each)
            for index, each in told.items()
        },
        {
            index: _joined(
                needle if kind == usual else f"{needle}, {kind}" for needle, kind in each
            )
            for index, each in told.items()
            if usual in (kind for _, kind in each)
        },
        words.gettext("Where no stitch is named: %(stitch)s", stitch=usual),
    )


def _joined(parts: Iterable[str]) -> str:
    return " + ".join(dict.fromkeys(parts))


def _threads(entry: KeyEntry) -> tuple[Thread, ...]:
    threads = (each.thread for part in entry.parts for each in part.needle)
    return tuple(dict.fromkeys(threads))
