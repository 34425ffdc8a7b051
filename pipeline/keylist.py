"""View models of the key: cells, lines, knots and beads, and what other colourways change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from .count import Counts
from .model import Colourway, Design, KeyEntry, Part, Strands, Thread
from .thread import EntryUse, ThreadUse

SIDE_BY_SIDE = 3  # other colourways in one table


@dataclass(frozen=True)
class ThreadLine:
    """One thread of a key line. part: the stitch it begins, None for one more in the needle.

    metres: off the put-up; skeins: the same in put-ups. None where an earlier line of the same
    key line already tells for this thread.
    """

    thread: Thread
    strands: int
    part: Part | None
    metres: float | None = None
    skeins: float | None = None


@dataclass(frozen=True)
class KeyRow:
    """One line of the printed key. address: of the drawing of its symbol, line or knot.

    count: stitches, or for a line its length in crosses.
    """

    index: int
    symbol: str
    address: str
    threads: tuple[ThreadLine, ...]
    count: float
    note: str


@dataclass(frozen=True)
class Change:
    """Key lines whose threads differ alike between colourways.

    marks: address and symbol of each line. choices: its threads as charted, then in each other.
    """

    marks: tuple[tuple[str, str], ...]
    choices: tuple[tuple[ThreadLine, ...], ...]


@dataclass(frozen=True)
class Colourways:
    """Some colourways side by side."""

    ways: tuple[Colourway, ...]
    changes: tuple[Change, ...]


@dataclass(frozen=True)
class Key:
    """The whole key."""

    cells: tuple[KeyRow, ...]
    lines: tuple[KeyRow, ...]
    points: tuple[KeyRow, ...]
    colourways: tuple[Colourways, ...]

    def symbol(self, index: int) -> str:
        """Return the symbol or word of a key line in use."""
        rows = (*self.cells, *self.lines, *self.points)
        return next(row.symbol for row in rows if row.index == index)


def address(index: int) -> str:
    """Return the address of the drawing of a key line."""
    return f"sample:{index}"


def key(design: Design, counts: Counts, uses: Sequence[ThreadUse]) -> Key:
    """Return the key of the lines in use, with what each takes."""
    taken = {(use.thread, each.index): each for use in uses for each in use.entries}
    rows = [
        KeyRow(
            each.index,
            each.entry.symbol,
            address(each.index),
            _with_amounts(thread_lines(each.entry), each.index, taken),
            each.length if each.entry.is_line else each.number,
            each.entry.note,
        )
        for each in counts.entries
    ]
    used = [row.index for row in rows]
    entries = design.key
    return Key(
        tuple(row for row in rows if entries[row.index - 1].is_cell),
        tuple(row for row in rows if entries[row.index - 1].is_line),
        tuple(row for row in rows if entries[row.index - 1].is_point),
        tuple(
            _side_by_side(design, used, design.colourways[at : at + SIDE_BY_SIDE])
            for at in range(0, len(design.colourways), SIDE_BY_SIDE)
        ),
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
    found = []
    for line in lines:
        use = taken.get((line.thread, index))
        if use is None or line.thread in told:
            found.append(line)
            continue
        told.add(line.thread)
        metres = use.strand_metres / line.thread.strands
        found.append(replace(line, metres=metres, skeins=use.skeins))
    return tuple(found)


def _side_by_side(design: Design, used: Sequence[int], ways: tuple[Colourway, ...]) -> Colourways:
    changed = {change.symbol for way in ways for change in way.changes}
    alike: dict[tuple[tuple[ThreadLine, ...], ...], list[tuple[str, str]]] = {}
    for index in used:
        entry = design.key[index - 1]
        if entry.symbol not in changed:
            continue
        needles = [tuple(part.needle for part in entry.parts)]
        for way in ways:
            found = (each.needles for each in way.changes if each.symbol == entry.symbol)
            needles.append(next(found, needles[0]))
        choices = tuple(
            tuple(ThreadLine(each.thread, 0, None) for needle in way for each in needle)
            for way in needles
        )
        alike.setdefault(choices, []).append((address(index), entry.symbol))
    changes = [Change(tuple(marks), choices) for choices, marks in alike.items()]
    return Colourways(ways, tuple(changes))


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
    found = (each.thread for part in entry.parts for each in part.needle)
    return tuple(dict.fromkeys(found))
