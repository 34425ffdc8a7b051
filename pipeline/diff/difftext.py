"""What `linenleaf diff` prints: the differences as calm text, the most important first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import unified_diff
from textwrap import wrap

from .differences import Differences, Tally, Worded
from .naming import TERMINAL, Signs
from .words import Teller

MEASURE = (
    "Rows and columns count from 1 at the top left, as numbered along the chart; "
    "20,14 are the grid lines themselves."
)
WIDTH = 100  # columns
GLUE = "\0"  # a blank at which no line is broken
LONGEST = 64  # characters of a text shown in a line
MOST_LINES = 24  # of a changed story


def as_text(found: Differences, titles: tuple[str, str], signs: Signs = TERMINAL) -> str:
    """Return the differences for a terminal; titles: what both charts are called."""
    teller = Teller(found, signs)
    sections = [
        ("Crosses", _crosses(teller)),
        ("Motifs and texts", _things(teller)),
        ("Lines and knots", _lines(teller)),
        ("Key", [teller.key_change(each) for each in found.key]),
        ("Thread", _threads(teller)),
        ("Size and fabric", [_worded(each, signs) for each in found.facts]),
        ("Words", [line for each in found.words for line in _in_words(each, signs)]),
    ]
    lines = [teller.change(*map(printable, titles)), ""]
    if not found:
        return "\n".join(
            [*lines, "No difference that can be seen on the chart or in its words.", ""]
        )
    lines += [*_summary(teller), ""]
    for heading, told in sections:
        if told:
            lines += [heading, *(line for each in told for line in _wrapped(each)), ""]
    if any(told for _, told in sections[:3]) or found.shift != (0, 0):
        lines += wrap(MEASURE, WIDTH)
    return "\n".join(lines).rstrip("\n") + "\n"


def printable(text: str) -> str:
    """Return a name of a file without what would steer a terminal."""
    return "".join(each if each.isprintable() else "\N{REPLACEMENT CHARACTER}" for each in text)


def _wrapped(line: str) -> list[str]:
    """Return a line within WIDTH, the rest of it set in; a table is left as it is."""
    deep = len(line) - len(line.lstrip())
    if len(line) <= WIDTH - 2 or "  " in line.strip():
        return [f"  {line}"]
    inset = " " * (deep + 2)
    # Broken where one thing ends, if that can be, and not between a number and its noun.
    solid = "; ".join(each.replace(" ", GLUE) for each in line.strip().split("; "))
    if max(map(len, solid.split("; "))) > WIDTH - deep - 8:
        solid = line.strip()
    found = wrap(
        solid,
        WIDTH,
        initial_indent=inset,
        subsequent_indent=inset + "    ",
        break_on_hyphens=False,
    )
    return [each.replace(GLUE, " ") for each in found]


def _summary(teller: Teller) -> list[str]:
    found = teller.found
    lines = []
    if found.shift != (0, 0):
        way = teller.by(found.shift)
        lines.append(f"The whole chart moved {way}. Places below are those of the new one.")
    numbers = {"stitched otherwise": 0, "added": 0, "removed": 0}
    for each in found.stitches:
        word = "stitched otherwise" if each.old and each.new else "added" if each.new else "removed"
        numbers[word] += each.number
    told = ", ".join(f"{number:,} {word}" for word, number in numbers.items() if number)
    many = sum(numbers.values())
    if many:
        differ = "1 cross differs" if many == 1 else f"{many:,} crosses differ"
        lines.append(f"{differ}: {told}.")
    else:
        lines.append("Every cross is the same." if found.shift == (0, 0) else "No cross differs.")
    return lines


def _crosses(teller: Teller) -> list[str]:
    found = teller.found
    return [*(teller.strip(each) for each in found.strips), *teller.areas(found.areas)]


def _things(teller: Teller) -> list[str]:
    found = teller.found
    lines = [teller.moved(each) for each in found.moved]
    for redrawn in found.redrawn:
        lines.append(teller.redrawn(redrawn))
        lines += _below("in the motif", teller.areas(redrawn.areas))
        lines += _below("in the motif", [teller.stretch(each) for each in redrawn.strokes])
        lines += _below("in the motif", teller.all_dotted(redrawn.points))
        places = "; ".join(teller.rows_columns(each.box) for each in redrawn.places)
        lines += _below("on the chart", [places] if places else [])
    for turned in found.turned:
        lines.append(teller.turned(turned))
        if not turned.how:
            lines += _below("on the chart", teller.areas(turned.areas))
    lines += [teller.arrived(each) for each in (*found.arrived, *found.gone)]
    for reworded in found.reworded:
        lines.append(teller.reworded(reworded))
        lines += _below(
            "", [f"{reworded.spot.cells:,} crosses differ"] if reworded.spot.cells else []
        )
    for patched in found.patched:
        lines.append(teller.patched(patched))
        lines += _below("in its own crosses", teller.areas(patched.areas))
    lines += [f"{old} is now called {new}" for old, new in found.renamed.items()]
    return lines


def _below(head: str, lines: Iterable[str]) -> list[str]:
    return [f"  {head}, {line}" if head else f"  {line}" for line in lines]


def _lines(teller: Teller) -> list[str]:
    found = teller.found
    return [
        *(teller.stretch(each) for each in found.strokes),
        *teller.all_dotted(found.points),
    ]


def _threads(teller: Teller) -> list[str]:
    rows: list[tuple[str, ...]] = []
    for each in teller.found.tallies:
        name = teller.thread_in_full(each.thread) + (" (beads)" if each.bead else "")
        skeins = "" if each.buy is None else _change(teller, *each.buy)
        rows.append((name, _change(teller, *each.stitches), skeins, _thread_itself(teller, each)))
    if not rows:
        return []
    reckoned = all(each.buy is not None or each.bead for each in teller.found.tallies)
    heads = ("", "stitches", "skeins to buy" if reckoned else "", "")
    return [
        *_columns([heads, *rows]),
        *([] if reckoned else ["skeins not reckoned; --thread does"]),
    ]


def _thread_itself(teller: Teller, each: Tally) -> str:
    """Return what changed of the thread as it is sold."""
    old, new = each.old, each.new
    if old is None or new is None:
        return "new" if old is None else "no longer used"
    told = [
        teller.change(*(str(getattr(one, what)) for one in (old, new)))
        for what in ("name", "colour", "put_up")
        if getattr(old, what) != getattr(new, what)
    ]
    if old.metres != new.metres:
        told.append(f"{teller.change(f'{old.metres:g}', f'{new.metres:g}')} m")
    if old.strands != new.strands:
        told.append(f"{teller.change(str(old.strands), str(new.strands))} strands")
    return ", ".join(told)


def _change(teller: Teller, old: int, new: int) -> str:
    return f"{new:,}" if old == new else teller.change(f"{old:,}", f"{new:,}")


def _columns(rows: Sequence[tuple[str, ...]]) -> list[str]:
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    return [
        "  ".join(
            f"{cell:{width}}" for cell, width in zip(row, widths, strict=True) if width
        ).rstrip()
        for row in rows
    ]


def _worded(each: Worded, signs: Signs) -> str:
    if not each.old or not each.new:
        return f"{each.what}: {each.new or 'no longer ' + each.old}"
    return f"{each.what}: {each.old} {signs.becomes} {each.new}"


def _in_words(each: Worded, signs: Signs) -> list[str]:
    """Return a text before and after; of a long one only the lines that differ."""
    if "\n" not in each.old + each.new and len(each.old) + len(each.new) <= 2 * LONGEST:
        return [_worded(each, signs)]
    old, new = each.old.splitlines() or [""], each.new.splitlines() or [""]
    changed = [
        line
        for line in unified_diff(old, new, lineterm="", n=0)
        if not line.startswith(("---", "+++", "@@")) and line[1:].strip()
    ]
    told = [f"  {line[0]} {line[1:]}" for line in changed[:MOST_LINES]]
    if len(changed) > MOST_LINES:
        told.append(f"  … and {len(changed) - MOST_LINES} more lines")
    return [f"{each.what}:", *told]
