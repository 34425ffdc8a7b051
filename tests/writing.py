"""A design written out as a chart text, for tests that write and read back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from linenleaf.core.ground import Fabric
from linenleaf.core.items import (
    Alphabet,
    Anchor,
    Border,
    Cover,
    Item,
    Knot,
    Lettering,
    Line,
    Motif,
    Placement,
    Point,
    Swap,
)
from linenleaf.core.key import KeyEntry, Part, Strands, Thread
from linenleaf.core.model import Chart, Design


def quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def number(value: float) -> str:
    return str(int(value)) if value == int(value) else repr(value)


def position(point: Point) -> str:
    return f"{number(point[0])},{number(point[1])}"


def csv(threads: Sequence[Thread]) -> str:
    """The range file of the threads, which share one range."""
    lines = ["code,name,colour,metres,strands,put-up"]
    lines += [
        f'{t.code},"{t.name.replace(chr(34), chr(34) * 2)}",{t.colour},'
        f"{number(t.metres)},{t.strands},{t.put_up}"
        for t in threads
    ]
    return "\n".join(lines) + "\n"


def source(design: Design) -> str:
    """The chart text of a design, every figure stated."""
    return "\n".join([f"linen {design.version}", *_lines(design)]) + "\n"


def _lines(design: Design) -> Iterator[str]:
    book = design.booklet
    yield f"booklet {quoted(book.title)}"
    for word in ("subtitle", "designer", "rights", "thanks", "about", "level", "errata"):
        if getattr(book, word):
            yield f"  {word} {quoted(getattr(book, word))}"
    yield f"  language {book.language}"
    if book.edition:
        yield f"  edition {quoted(book.edition)} {book.day or ''}"
    for what, text in book.original:
        yield f"  original {what} {quoted(text)}"
    for text in book.needs:
        yield f"  needs {quoted(text)}"
    for text in book.address:
        yield f"  address {quoted(text)}"
    if book.gutter:
        yield f"  gutter {number(book.gutter)} mm"
    ground = design.ground
    yield f"fabric {_fabric(ground.fabric)}"
    yield f"  colour {ground.colour} {quoted(ground.colour_name) if ground.colour_name else ''}"
    yield f"  margin {number(ground.margin)} mm"
    if ground.also:
        yield f"  also {', '.join(map(_fabric, ground.also))}"
    for name in sorted({thread.range for thread in design.threads if thread.range}):
        yield f"range {name} from {name}.csv"
    yield "key"
    yield from (f"  {_entry(entry)}" for entry in design.key)
    work = design.working
    yield "working"
    yield f"  needleful {number(work.needleful)} mm"
    yield f"  tail {number(work.tail)} mm"
    yield f"  carry {number(work.carry)} mm"
    yield f"  method {work.method}"
    yield f"  reserve {number(round(work.reserve * 100))} %"
    for motif in design.motifs.values():
        yield from _motif(motif)
    for alphabet in design.alphabets.values():
        yield from _alphabet(alphabet)
    yield from _chart(design.chart)
    for note in design.notes:
        area = f"{position((note.x0, note.y0))} to {position((note.x1, note.y1))}"
        yield f"{note.kind} {area} {quoted(note.text)}"
    for way in design.colourways:
        yield f"colourway {way.name} {quoted(way.title)}"
        for change in way.changes:
            yield f"  {change.symbol} {' + '.join(map(_needle, change.needles))}"
    for revision in design.revisions:
        day = revision.day or ""
        yield f"revision {quoted(revision.edition)} {day} {quoted(revision.text)}"
    for each in design.expectations:
        area = ""
        if each.area:
            area = f"in {position(each.area[:2])} to {position(each.area[2:])}"
        yield f"expect {each.symbol} {each.count} {area}"


def _fabric(fabric: Fabric) -> str:
    return f"{fabric.kind} {number(fabric.count_x)} x {number(fabric.count_y)} over {fabric.over}"


def _entry(entry: KeyEntry) -> str:
    text = f"{entry.symbol} {' + '.join(map(_part, entry.parts))}"
    if entry.printed:
        text += f" printed {entry.printed}"
    if entry.note:
        text += f" note {quoted(entry.note)}"
    return text


def _part(part: Part) -> str:
    return f"{_needle(part.needle)} {part.kind} {part.way or ''}"


def _needle(needle: Sequence[Strands]) -> str:
    return " with ".join(
        f"{_thread(each.thread)} {each.strands} strand{'s' if each.strands > 1 else ''}"
        for each in needle
    )


def _thread(thread: Thread) -> str:
    if thread.code:
        return f"{thread.range} {thread.code}"
    return f"{thread.colour} {quoted(thread.name)}"


def _motif(motif: Motif) -> Iterator[str]:
    over = f" over {motif.over}" if motif.over else ""
    over += f" strands {motif.strands}" if motif.strands else ""
    symmetric = f" symmetric {motif.symmetry}" if motif.symmetry else ""
    yield f"motif {motif.name} {motif.width} x {motif.height}{over}{symmetric}"
    yield from (f"  |{row}|" for row in motif.rows)
    yield from (f"  {_item(shape)}" for shape in (*motif.lines, *motif.knots))


def _alphabet(alphabet: Alphabet) -> Iterator[str]:
    yield (
        f"alphabet {alphabet.name} height {alphabet.height} "
        f"spacing {alphabet.spacing} space {alphabet.word}"
    )
    for letter in alphabet.letters.values():
        for number_, row in enumerate(letter.rows):
            lead = quoted(letter.character) if number_ == 0 else ""
            yield f"  {lead} |{row}|"


def _chart(chart: Chart) -> Iterator[str]:
    symmetric = f" symmetric {chart.symmetry}" if chart.symmetry else ""
    yield f"chart {chart.width} x {chart.height}{symmetric}"
    yield from (f"  |{row}|" for row in chart.rows)
    yield from (f"  {_item(item)}" for item in chart.items)


def _item(item: Item) -> str:
    if isinstance(item, Line):
        return f"line {item.symbol} {' '.join(map(position, item.points))}"
    if isinstance(item, Knot):
        word = BEADS.get(item.symbol, "knot")
        return f"{word} {item.symbol} {' '.join(map(position, item.points))}"
    if isinstance(item, Border):
        words = [f"border {item.repeat}"]
        words += [f", corner {item.corner}"] if item.corner else []
        words += [f"inset {item.inset}"]
        words += ["mirrored"] if item.mirrored else []
        return " ".join([*words, *_swap(item.swap)])
    if isinstance(item, Placement):
        words = [item.motif]
        words += [f"mirrored {item.mirror}"] if item.mirror else []
        words += [f"turned {('', 'right', 'half', 'left')[item.turns]}"] if item.turns else []
        words += [str(item.anchor)] if item.anchor is not Anchor.TOP_LEFT else []
        words += [f"at {position((item.x, item.y))}"]
        if item.across * item.down > 1:
            words += [f"x {item.across} by {item.down} step {position(item.step)}"]
        return " ".join([*words, *_over(item), *_cover(item.cover), *_swap(item.swap)])
    return _lettering(item)


BEADS = {"drop": "bead", "dew": "bead"}  # the words that stand for beads in these tests


def _lettering(item: Lettering) -> str:
    words = ["text", *map(quoted, item.lines), "in", item.alphabet]
    words += ["centred"] if item.centred else []
    words += [f"spacing {item.spacing}"] if item.spacing is not None else []
    words += [f"space {item.word}"] if item.word is not None else []
    words += [f"leading {item.leading}"]
    words += [f"changeable {item.changeable}"] if item.changeable else []
    words += [f"at {position((item.x, item.y))}"]
    return " ".join([*words, *_over(item), *_cover(item.cover), *_swap(item.swap)])


def _over(item: Placement | Lettering) -> list[str]:
    stated = {"over": item.over, "strands": item.strands}
    return [f"{word} {number}" for word, number in stated.items() if number]


def _cover(cover: Cover) -> list[str]:
    return [] if cover is Cover.NOTHING else [cover.value]


def _swap(swap: Swap) -> list[str]:
    return [f"with {', '.join(f'{old} as {new}' for old, new in swap)}"] if swap else []
