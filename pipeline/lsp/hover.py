"""What is shown of a name under the pointer: stitch, thread, colour, count, size; as Markdown."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from ..compose.lettering import set_text
from ..compose.misplaced import squares
from ..compose.worked import WorkedChart
from ..core.items import Box, Lettering, Motif
from ..core.key import KeyEntry, Part, Strands, Thread
from ..core.model import Chart
from ..count.count import Counts, EntryCount
from ..formatting.spelling import extent_of
from ..grammar import STOCK
from ..i18n.trade import of_a_kind, thread_kind
from ..i18n.wording import wording
from ..reports.phrasing import many, number, over_words
from ..resolve.stock import stocks
from ..stitches.kinds import STITCHES, called
from ..syntax.nodes import AlphabetHead, Block, DrawnLetterLine, LetterLine, MotifHead
from ..syntax.phrases import Numeral, Option, Row, Text, Word
from .mentions import Mention, NameSort
from .outline import Outline

LARGEST_SHOWN = (60, 24)  # columns and rows of a motif that is shown whole
_SPECIAL = re.compile(r"([\\`*_\[\]<>&~#|!$])")  # what Markdown takes for markup inside a line


@dataclass(frozen=True)
class ChartTally:
    """The chart as it was when it last had no errors. current: whether that is how it stands."""

    worked: WorkedChart
    counts: Counts
    current: bool

    @property
    def stale(self) -> str:
        """What to say behind a count that may no longer hold."""
        return "" if self.current else " before the last changes"


def hover(mention: Mention, outline: Outline, tally: ChartTally | None) -> str | None:
    """Return what there is to say of a name, None where it is not known."""
    tellers: dict[NameSort, Callable[[Mention, Outline, ChartTally | None], list[str]]] = {
        NameSort.SYMBOL: _symbol,
        NameSort.THREAD: _thread,
        NameSort.STITCH: _counted_stitch,
        NameSort.MOTIF: _motif,
        NameSort.ALPHABET: _alphabet,
        NameSort.RANGE: _range,
        NameSort.THING: _thing,
        NameSort.STOCK: _stock,
    }
    tell = tellers.get(outline.sort_of(mention))
    lines = tell(mention, outline, tally) if tell else []
    if lines and tally is not None and tally.current:
        lines += _stood(mention, tally.worked)
    return "\n\n".join(lines) or None


# --- symbols and threads -----------------------------------------------------------------------


def _symbol(mention: Mention, outline: Outline, tally: ChartTally | None) -> list[str]:
    entry = outline.key.known.get(mention.name)
    if entry is None:
        return []
    lines = [f"**{_code(entry.symbol)}** {_part(entry.parts[0])}"]
    lines += [f"and {_part(part)}" for part in entry.parts[1:]]
    if entry.note:
        lines.append(f"Note: {_plain(entry.note)}")
    if tally is not None:
        lines.append(f"{_entry_count(entry, tally.counts)}{tally.stale}")
    return lines


def _counted_stitch(mention: Mention, outline: Outline, _tally: ChartTally | None) -> list[str]:
    stitch = outline.stitches().get(mention.name)
    if stitch is None:
        return []
    lines = [f"**{_code(stitch.name)}** {_plain(stitch.called)}"]
    if stitch.each:
        width, height = stitch.over
        strokes = many(len(stitch.each) + len(stitch.second), "stroke")
        lines.append(f"over {width} x {height} threads, {strokes} in each repeat")
    return [*lines, "pulled"] if stitch.pulled else lines


def _part(part: Part) -> str:
    if STITCHES[part.kind].bead:
        return f"bead: {_named(part.needle[0].thread)}"  # the key names it like a thread
    threads = " with ".join(_in_needle(strands) for strands in part.needle)
    return f"{_stitch(part)}: {threads}"


def _stitch(part: Part) -> str:
    words = called(part.kind, None) if part.stitch is None else _plain(part.stitch.called)
    if part.second:
        words += ", second thread"
    return words if part.way is None else f"{words} {part.way.value}"


def _in_needle(strands: Strands) -> str:
    return f"{many(strands.strands, 'strand')} of {_named(strands.thread)}"


def _named(thread: Thread) -> str:
    name = f"{_plain(thread.label)} {_plain(thread.name)}" if thread.code else _plain(thread.name)
    return f"{name} {_code(thread.colour)}"


def _entry_count(entry: KeyEntry, counts: Counts) -> str:
    counted = next((each for each in counts.entries if each.entry.symbol == entry.symbol), None)
    if counted is None:
        return "not stitched anywhere in the chart"
    return ", ".join(_counted(counted, entry.parts[0]))


def _counted(tally: EntryCount, part: Part) -> Iterator[str]:
    if tally.cells:
        yield many(tally.cells, "cross")
    for over, crosses in tally.other:
        yield f"{many(crosses, 'cross')} {over_words(over)}"
    if tally.counted:
        yield many(tally.counted, "stitch")
    if tally.stitches:
        words = called(part.kind, part.stitch, tally.stitches)
        yield f"{tally.stitches:,} {words}, {number(tally.length)} crosses long in all"
    if tally.points:
        yield f"{tally.points:,} {called(part.kind, part.stitch, tally.points)}"


def _thread(mention: Mention, outline: Outline, tally: ChartTally | None) -> list[str]:
    thread = outline.thread(mention.thread) if mention.thread is not None else None
    if thread is None:
        return []
    lines = [
        f"**{_plain(thread.label)}** {_plain(thread.name) if thread.code else ''} "
        f"{_code(thread.colour)}",
        f"{_plain(thread.put_up)} of {number(thread.metres)} m, {many(thread.strands, 'strand')}"
        + "".join(f", {thread_kind(wording('en-GB'), each)}" for each in of_a_kind([thread])),
    ]
    if tally is not None:
        # A range name may have changed with the text; the label is what a person reads.
        stitches = sum(
            each.number for each in tally.counts.threads if each.thread.label == thread.label
        )
        stitches += sum(
            each.number for each in tally.counts.beads if each.bead.label == thread.label
        )
        lines.append(f"{many(stitches, 'stitch')} in the chart{tally.stale}")
    return lines


# --- motifs, alphabets, ranges -----------------------------------------------------------------


def _motif(mention: Mention, outline: Outline, tally: ChartTally | None) -> list[str]:
    block = outline.motifs.get(mention.name)
    if block is None or not isinstance(block.head, MotifHead):
        return []
    head = block.head
    size = extent_of(head.size)
    made = tally.worked.design.motifs.get(mention.name) if tally is not None else None
    if made is not None:
        size = f"{made.width} x {made.height}"
    lines = [
        ", ".join([f"**{_plain(head.name.text)}** motif, {size} crosses", *_stated(head.options)])
    ]
    if tally is not None:
        times = Counter(
            placed.motif.name for placed in tally.worked.placed if placed.motif is not None
        )
        lines.append(f"placed {_times(times[mention.name])}{tally.stale}")
    return lines + _drawn([member.cells for member in block.members if isinstance(member, Row)])


def _times(number: int) -> str:
    return {0: "nowhere", 1: "once", 2: "twice"}.get(number, f"{number:,} times")


def _stated(options: Sequence[Option]) -> Iterator[str]:
    for option in options:
        values = (value.text for value in option.values if isinstance(value, Word | Numeral))
        yield " ".join([option.word, *values])


def _drawn(rows: Sequence[str]) -> list[str]:
    width, height = LARGEST_SHOWN
    if not rows or len(rows) > height or max(map(len, rows)) > width:
        return []
    # A row holds no bar, so that a bar at both ends keeps it from closing the block.
    return ["\n".join(["~~~", *(f"|{row}|" for row in rows), "~~~"])]


def _alphabet(mention: Mention, outline: Outline, _tally: ChartTally | None) -> list[str]:
    block = outline.alphabets.get(mention.name)
    if block is None or not isinstance(block.head, AlphabetHead):
        return []
    letters = _letters(block)
    lines = [
        ", ".join([f"**{_plain(block.head.name.text)}** alphabet", *_stated(block.head.options)])
    ]
    return [*lines, f"{many(len(letters), 'letter')}: {_code(''.join(letters))}"]


def _letters(block: Block) -> list[str]:
    lines = (each for each in block.members if isinstance(each, LetterLine | DrawnLetterLine))
    written = [line.character for line in lines]
    return [each.value if isinstance(each, Text) else each.text for each in written]


def _range(mention: Mention, outline: Outline, _tally: ChartTally | None) -> list[str]:
    range_ = outline.ranges.get(mention.name)
    if range_ is None:
        return []
    return [f"**{_plain(range_.name)}** range of {many(len(range_.threads), 'thread')}"]


def _stock(mention: Mention, outline: Outline, _tally: ChartTally | None) -> list[str]:
    """Tell what a stock holds, and of which version newer than the chart's there is one."""
    folder = STOCK / mention.name
    volume = next((each for each in outline.volumes if each.folder == folder), None)
    if volume is None:
        return []
    version, newest = volume.real.stem, stocks()[mention.name][-1]
    lines = [f"**{_plain(mention.name)}** stock, version {version}"]
    if int(version) != newest:
        lines.append(f"the newest version is {newest}")
    for block in volume.file.blocks:
        if isinstance(block.head, MotifHead):
            size = extent_of(block.head.size)
            lines.append(f"motif {_code(block.head.name.text)}, {size} crosses")
        elif isinstance(block.head, AlphabetHead):
            letters = many(len(_letters(block)), "letter")
            lines.append(f"alphabet {_code(block.head.name.text)}, {letters}")
    return lines


def _thing(mention: Mention, _outline: Outline, tally: ChartTally | None) -> list[str]:
    things = _placing(mention, tally.worked).things if tally is not None else ()
    thing = next((thing for thing in things if thing.name == mention.name), None)
    if thing is None or thing.box is None or tally is None:
        return []
    printed = _printed(mention, tally.worked, thing.box)
    return [f"**{_plain(thing.name)}** {_at(thing.box)}{printed}{tally.stale}"]


def _placing(mention: Mention, worked: WorkedChart) -> Chart | Motif:
    """Return the motif one of whose lines a mention stands in, else the chart."""
    for motif in worked.design.motifs.values():
        for thing in motif.things:
            span = thing.span
            here = span is not None and span.path == mention.span.path
            if here and span is not None and span.start <= mention.span.start <= span.end:
                return motif
    return worked.design.chart


def _at(box: Box) -> str:
    x0, y0, x1, y1 = map(number, box)
    size = f"{number(box[2] - box[0])} x {number(box[3] - box[1])}"
    return f"stands at {x0},{y0}, {size} crosses, as far as {x1},{y1}"


def _printed(mention: Mention, worked: WorkedChart, box: Box) -> str:
    """Return where the booklet says that an area of the chart is; nothing inside a motif."""
    if _placing(mention, worked) is not worked.design.chart:
        return ""
    return f"; in print {squares(box)}"


def _stood(mention: Mention, worked: WorkedChart) -> Iterator[str]:
    """Tell where the thing came to stand that the line of a mention places, and how wide it is."""
    design = worked.design
    placing = _placing(mention, worked)
    for thing in placing.things:
        span = thing.span
        if span is None or thing.box is None or span.path != mention.span.path:
            continue
        if not span.start <= mention.span.start <= span.end or thing.name == mention.name:
            continue
        yield f"what this line places {_at(thing.box)}{_printed(mention, worked, thing.box)}"
        for item in placing.items[thing.first : thing.last]:
            if isinstance(item, Lettering):
                lines = set_text(item, design.alphabets)
                for text, line in zip(item.lines, lines, strict=True):
                    yield f"“{_plain(text)}” is {many(line.width, 'cross')} wide"


# --- Markdown ----------------------------------------------------------------------------------


def _plain(text: str) -> str:
    """Return a text so that Markdown takes nothing in it for markup."""
    return _SPECIAL.sub(r"\\\1", text)


def _code(text: str) -> str:
    """Return a text as a code span, whatever is in it (CommonMark, 6.1)."""
    fence = "`"
    while fence in text:
        fence += "`"
    pad = " " if text[:1] == "`" or text[-1:] == "`" else ""
    return f"{fence}{pad}{text}{pad}{fence}"
