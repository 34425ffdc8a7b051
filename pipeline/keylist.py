"""View models of the key: cells, lines, knots and beads, and what other colourways change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from .model import Colourway, Design, KeyEntry, Part, Strands

SIDE_BY_SIDE = 3  # other colourways in one table


@dataclass(frozen=True)
class ThreadLine:
    """One thread of a key line. part: the stitch it begins, None for one more in the needle."""

    label: str
    name: str
    colour: str
    strands: int
    part: Part | None


@dataclass(frozen=True)
class Amount:
    """What a key line takes: crosses, or crosses long, or knots; metres of thread; skeins."""

    count: float
    metres: float
    skeins: float


@dataclass(frozen=True)
class KeyRow:
    """One line of the printed key. address: of the drawing of its symbol, line or knot."""

    index: int
    symbol: str
    address: str
    threads: tuple[ThreadLine, ...]
    amount: Amount
    note: str


@dataclass(frozen=True)
class Change:
    """A key line that differs between colourways: its threads as charted, then in each other."""

    address: str
    symbol: str
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


def key(design: Design, amounts: Mapping[int, Amount]) -> Key:
    """Return the key of the lines in use, with what each takes."""
    used = tuple(amounts)
    rows = [
        KeyRow(index, entry.symbol, address(index), thread_lines(entry), amounts[index], entry.note)
        for index in used
        for entry in (design.key[index - 1],)
    ]
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
        ThreadLine(
            each.thread.label,
            each.thread.name,
            each.thread.colour,
            each.strands,
            part if place == 0 else None,
        )
        for place, each in enumerate(needle)
    ]


def _side_by_side(design: Design, used: Sequence[int], ways: tuple[Colourway, ...]) -> Colourways:
    changed = {change.symbol for way in ways for change in way.changes}
    changes = []
    for index in used:
        entry = design.key[index - 1]
        if entry.symbol not in changed:
            continue
        choices = [thread_lines(entry)]
        for way in ways:
            needles = next(
                (each.needles for each in way.changes if each.symbol == entry.symbol),
                tuple(part.needle for part in entry.parts),
            )
            choices.append(tuple(line for needle in needles for line in _needle(needle, None)))
        changes.append(Change(address(index), entry.symbol, tuple(choices)))
    return Colourways(ways, tuple(changes))


def short_labels(design: Design, used: Sequence[int]) -> dict[int, str]:
    """Return what the short key of a chart page prints beside each symbol.

    That is the code of the thread; the range is named too when the key draws on several, and the
    name stands for a colour without a code.
    """
    ranges = {
        each.thread.range
        for index in used
        for part in design.key[index - 1].parts
        for each in part.needle
    }
    labels = {}
    for index in used:
        threads = [each.thread for part in design.key[index - 1].parts for each in part.needle]
        words = [
            thread.label if len(ranges) > 1 or not thread.code else thread.code
            for thread in dict.fromkeys(threads)
        ]
        labels[index] = " + ".join(words)
    return labels
