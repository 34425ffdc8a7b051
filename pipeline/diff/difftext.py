"""What `linenleaf diff` prints: the changes as calm text, the most important first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import unified_diff
from enum import Enum
from textwrap import wrap
from typing import assert_never

from ..i18n.trade import opening
from . import changes as kinds
from . import facts
from .changes import Change, Changes
from .particulars import Restated
from .sentences import Teller

WIDTH = 100  # columns
GLUE = "\0"  # a blank at which no line is broken
LONGEST = 64  # characters of a text shown in a line
MOST_LINES = 24  # of a changed story


class _Section(Enum):
    """A heading with what stands below it, in their order."""

    WHOLE = ""
    CROSSES = "Crosses"
    COUNTED = "Counted stitches"
    THINGS = "Motifs and texts"
    LINES = "Lines and knots"
    KEY = "Key"
    THREAD = "Thread"
    SIZE = "Size and fabric"
    WORDS = "Words"

    @property
    def has_places(self) -> bool:
        """Whether rows, columns or grid lines are named in it."""
        return self in (
            _Section.WHOLE,
            _Section.CROSSES,
            _Section.COUNTED,
            _Section.THINGS,
            _Section.LINES,
        )


def as_text(changes: Changes, titles: tuple[str, str]) -> str:
    """Return the changes for a terminal; titles: what both charts are called."""
    teller = Teller.in_terminal(changes)
    lines = [teller.change(*map(printable, titles)), ""]
    if not changes:
        lines.append(teller.gettext("No difference that can be seen on the chart or in its words."))
        lines += [line for change in changes.of(kinds.Renamed) for line in teller.told(change)]
        return "\n".join([*lines, ""])
    sections: dict[_Section, list[str]] = {section: [] for section in _Section}
    with_others = {id(each) for some in changes.of(kinds.Inserted) for each in some.moved}
    for change in changes.every:
        if id(change) in with_others:
            continue  # told in one with all that moved for the same rows
        sections[_section(change)] += _lines(teller, change)
    sections[_Section.THREAD] = _threads(teller, changes.of(kinds.Tally))
    for section, told in sections.items():
        if section is _Section.WHOLE:
            lines += [*told, *_summary(teller), ""]
        elif told:
            lines += [section.value, *(line for each in told for line in _wrapped(each)), ""]
    if any(told for section, told in sections.items() if section.has_places):
        lines += wrap(measure(teller), WIDTH)
    return "\n".join(lines).rstrip("\n") + "\n"


def _section(change: Change) -> _Section:
    match change:
        case kinds.Shifted():
            return _Section.WHOLE
        case kinds.Strip() | kinds.Area():
            return _Section.CROSSES
        case kinds.Resewn():
            return _Section.COUNTED
        case (
            kinds.Inserted()
            | kinds.Moved()
            | kinds.Redrawn()
            | kinds.Turned()
            | kinds.Added()
            | kinds.Removed()
        ):
            return _Section.THINGS
        case kinds.Reworded() | kinds.Patched() | kinds.Restranded() | kinds.Renamed():
            return _Section.THINGS
        case kinds.Stretch() | kinds.Dotted() | kinds.Strayed():
            return _Section.LINES
        case kinds.KeyChange():
            return _Section.KEY
        case kinds.Tally():
            return _Section.THREAD
        case facts.Fact():
            return _Section.SIZE
        case facts.Noted() | facts.Recoloured() | facts.Lettered() | facts.Worded():
            return _Section.WORDS
        case _:
            assert_never(change)


def _lines(teller: Teller, change: Change) -> list[str]:
    """Return the lines that tell of a change, the first one for the whole of it."""
    if isinstance(change, kinds.Shifted):
        places = "Places below are those of the new one."
        return [f"{sentence}. {places}" for sentence in map(opening, teller.told(change))]
    if isinstance(change, kinds.KeyChange):
        return [teller.key_line(change)]
    if isinstance(change, facts.Told):
        return _in_words(teller, teller.restated(change))
    whole, *parts = teller.told(change)
    return [whole, *(f"  {part}" for part in parts)]


def printable(text: str) -> str:
    """Return a name of a file without what would steer a terminal."""
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)


def _wrapped(line: str) -> list[str]:
    """Return a line within WIDTH, the rest of it set in; a table is left as it is."""
    deep = len(line) - len(line.lstrip())
    if len(line) <= WIDTH - 2 or "  " in line.strip():
        return [f"  {line}"]
    inset = " " * (deep + 2)
    # Broken where one thing ends, if that can be, and not between a number and its noun.
    solid = "; ".join(part.replace(" ", GLUE) for part in line.strip().split("; "))
    if max(map(len, solid.split("; "))) > WIDTH - deep - 8:
        solid = line.strip()
    broken = wrap(
        solid,
        WIDTH,
        initial_indent=inset,
        subsequent_indent=inset + "    ",
        break_on_hyphens=False,
    )
    return [part.replace(GLUE, " ") for part in broken]


def measure(teller: Teller) -> str:
    """Return what rows, columns and places are counted by."""
    return teller.gettext(
        "Rows and columns are counted in squares from the top left, the first and the last "
        "included. A position such as %(place)s is where two grid lines meet, by their numbers at "
        "the edges of the chart.",
        place=teller.point((20, 14)),
    )


def _summary(teller: Teller) -> Iterator[str]:
    changes = teller.changes
    numbers = {"stitched differently": 0, "added": 0, "removed": 0}
    for cells in changes.stitches:
        both = cells.old and cells.new
        numbers["stitched differently" if both else "added" if cells.new else "removed"] += (
            cells.number
        )
    many = sum(numbers.values())
    if many:
        told = ", ".join(f"{number:,} {word}" for word, number in numbers.items() if number)
        yield f"{teller.differ(many)}: {told}."
    else:
        yield "Every cross is the same." if changes.shift == (0, 0) else "No cross differs."
    gone, come = map(len, changes.sewn)
    if gone or come:
        told = ", ".join(
            f"{many:,} {word}" for many, word in ((come, "new"), (gone, "gone")) if many
        )
        yield f"Of the counted stitches, {told}."


def _threads(teller: Teller, tallies: Sequence[kinds.Tally]) -> list[str]:
    rows: list[tuple[str, ...]] = []
    for tally in tallies:
        name = teller.thread_in_full(tally.thread) + (" (beads)" if tally.bead else "")
        skeins = "" if tally.buy is None else _number(teller, *tally.buy)
        rows.append((name, _number(teller, *tally.stitches), skeins, _thread_itself(teller, tally)))
    if not rows:
        return []
    reckoned = all(tally.bought is not None for tally in tallies)
    heads = ("", "stitches", "skeins to buy" if reckoned else "", "")
    return [
        *_columns([heads, *rows]),
        *([] if reckoned else ["skeins not worked out; --thread does so"]),
    ]


def _thread_itself(teller: Teller, tally: kinds.Tally) -> str:
    """Return what changed of the thread as it is sold."""
    old, new = tally.old, tally.new
    if old is None or new is None:
        return "new" if old is None else "no longer used"
    told = [
        teller.change(*(str(getattr(thread, what)) for thread in (old, new)))
        for what in ("name", "colour", "put_up")
        if getattr(old, what) != getattr(new, what)
    ]
    if old.metres != new.metres:
        told.append(f"{teller.change(f'{old.metres:g}', f'{new.metres:g}')} m")
    if old.strands != new.strands:
        told.append(f"{teller.change(str(old.strands), str(new.strands))} strands")
    return ", ".join(told)


def _number(teller: Teller, old: int, new: int) -> str:
    return f"{new:,}" if old == new else teller.change(f"{old:,}", f"{new:,}")


def _columns(rows: Sequence[tuple[str, ...]]) -> list[str]:
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    return [
        "  ".join(
            f"{cell:{width}}" for cell, width in zip(row, widths, strict=True) if width
        ).rstrip()
        for row in rows
    ]


def _in_words(teller: Teller, restated: Restated) -> list[str]:
    """Return a text before and after; of a long one only the lines that differ."""
    texts = restated.old + restated.new
    if "\n" not in texts and len(texts) <= 2 * LONGEST:
        return [teller.replaced(restated)]
    old, new = restated.old.splitlines() or [""], restated.new.splitlines() or [""]
    changed = [
        line
        for line in unified_diff(old, new, lineterm="", n=0)
        if not line.startswith(("---", "+++", "@@")) and line[1:].strip()
    ]
    told = [f"  {line[0]} {line[1:]}" for line in changed[:MOST_LINES]]
    if len(changed) > MOST_LINES:
        told.append(f"  … and {len(changed) - MOST_LINES} more lines")
    return [f"{restated.what}:", *told]
