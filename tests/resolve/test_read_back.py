"""Designs at random, written out as a chart and read back, are the same designs."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from linenleaf.core.diagnostics import render
from linenleaf.core.ground import MM_PER_INCH, Fabric, Ground, Method, Working
from linenleaf.core.items import (
    Alphabet,
    Anchor,
    Border,
    Cover,
    Item,
    Knot,
    Letter,
    Lettering,
    Line,
    Mirror,
    Motif,
    Placement,
    Point,
    Swap,
    Symmetry,
)
from linenleaf.core.key import Colourway, KeyEntry, Kind, Part, Strands, Thread, ThreadChange, Way
from linenleaf.core.matter import Booklet, Expectation, Note, NoteKind, Revision
from linenleaf.core.model import Chart, Design
from linenleaf.core.source import Source
from linenleaf.resolve.read import read
from linenleaf.syntax.parse import parse

from tests.writing import csv, source

FEW = settings(max_examples=25, derandomize=True, suppress_health_check=list(HealthCheck))

# Texts as people write them, with what might be taken for notation.
LETTERS = 'abcXYZ 0189.,:;-#|"\\/&<>%éßøλж漢¿"'
TEXTS = st.text(LETTERS, max_size=12)
SAYING = st.text(LETTERS, min_size=1, max_size=12).filter(str.strip)
COLOURS = st.integers(0, 0xFFFFFF).map("#{:06x}".format)
SYMBOLS = "amsz019/\\^=+-*'`~@%&!?<>{}[]()_:;,xé漢λ"
HALVES = st.integers(0, 120).map(lambda each: each / 2)
POINTS = st.tuples(HALVES, HALVES)
DAYS = st.dates(date(1600, 1, 1), date(2400, 12, 31))
SIDES = st.integers(1, 6)
CORNERS = [Way.TOP_LEFT, Way.TOP_RIGHT, Way.BOTTOM_LEFT, Way.BOTTOM_RIGHT]
OPPOSITE = dict(zip(CORNERS, reversed(CORNERS), strict=True))
LINES = ("mast", "rope")
KNOTS = ("eye", "seed")
BEADS = ("drop", "dew")


@st.composite
def threads(draw: st.DrawFn) -> list[Thread]:
    made = [
        Thread(
            name,
            code,
            draw(SAYING.map(str.strip)),
            draw(COLOURS),
            draw(st.integers(1, 40)) / 2,
            draw(st.integers(1, 12)),
            draw(st.sampled_from(["skein", "card", "a ball"])),
        )
        for name, code in (("shore", "12"), ("shore", "a.3-b"), ("reeds", "7"), ("reeds", "x_1"))
    ]
    made += [Thread("", "", name, draw(COLOURS)) for name in ("madder", 'a "deep" blue')]
    return made


@st.composite
def needles(draw: st.DrawFn, of: list[Thread]) -> tuple[Strands, ...]:
    chosen = draw(st.lists(st.sampled_from(of), min_size=1, max_size=2, unique=True))
    return tuple(Strands(thread, draw(st.integers(1, 6))) for thread in chosen)


@st.composite
def parts(draw: st.DrawFn, of: list[Thread]) -> tuple[Part, ...]:
    kind = draw(st.sampled_from([Kind.FULL, Kind.UPRIGHT, Kind.HALF, Kind.QUARTER, None]))
    if kind is None:
        corner = draw(st.sampled_from(CORNERS))
        return (
            Part(Kind.THREE_QUARTER, draw(needles(of)), corner),
            Part(Kind.QUARTER, draw(needles(of)), OPPOSITE[corner]),
        )
    way = None
    if kind is Kind.HALF:
        way = draw(st.sampled_from([Way.UP, Way.DOWN]))
    if kind is Kind.QUARTER:
        way = draw(st.sampled_from(CORNERS))
    return (Part(kind, draw(needles(of)), way),)


@st.composite
def keys(draw: st.DrawFn, of: list[Thread]) -> tuple[KeyEntry, ...]:
    symbols = draw(st.lists(st.sampled_from(SYMBOLS), min_size=2, max_size=5, unique=True))
    made = [
        KeyEntry(symbol, draw(parts(of)), draw(TEXTS), draw(st.sampled_from(["", "star"])))
        for symbol in symbols
    ]
    kinds = {Kind.BACK: LINES[:1], Kind.STRAIGHT: LINES[1:], Kind.KNOT: KNOTS, Kind.BEAD: BEADS}
    for kind, words in kinds.items():
        made += [KeyEntry(word, (Part(kind, draw(needles(of))),)) for word in words]
    return tuple(made)


@st.composite
def rows(draw: st.DrawFn, width: int, height: int, symbols: str) -> tuple[str, ...]:
    row = st.text("." + symbols, min_size=width, max_size=width)
    return tuple(draw(row) for _ in range(height))


@st.composite
def shapes(draw: st.DrawFn) -> tuple[tuple[Line, ...], tuple[Knot, ...]]:
    lines = st.builds(
        Line, st.sampled_from(LINES), st.lists(POINTS, min_size=2, max_size=4).map(tuple)
    )
    knots = st.builds(
        Knot, st.sampled_from(KNOTS + BEADS), st.lists(POINTS, min_size=1, max_size=3).map(tuple)
    )
    return (
        tuple(draw(st.lists(lines, max_size=2))),
        tuple(draw(st.lists(knots, max_size=2))),
    )


@st.composite
def motifs(draw: st.DrawFn, name: str, symbols: str) -> Motif:
    width, height = draw(SIDES), draw(SIDES)
    lines, knots = draw(shapes())
    over, strands = draw(st.sampled_from([(None, None), (2, None), (2, 1)]))
    return Motif(
        name,
        width,
        height,
        draw(rows(width, height, symbols)),
        lines,
        knots,
        over,
        strands,
        draw(st.sampled_from([None, *Symmetry])),
    )


@st.composite
def alphabets(draw: st.DrawFn, symbols: str) -> Alphabet:
    height = draw(st.integers(1, 3))
    characters = draw(st.lists(st.sampled_from('AÉ#|."\\z9'), min_size=1, unique=True))
    letters = {each: Letter(each, draw(rows(draw(SIDES), height, symbols))) for each in characters}
    return Alphabet("marking", height, letters, draw(st.integers(0, 3)), draw(st.integers(0, 5)))


@st.composite
def swaps(draw: st.DrawFn, motif: Motif | None, symbols: str) -> Swap:
    used = sorted(set("".join(motif.rows)) - {"."}) if motif else []
    if not used or draw(st.booleans()):
        return ()
    old = draw(st.sampled_from(used))
    return ((old, draw(st.sampled_from(symbols))),)


@st.composite
def placements(draw: st.DrawFn, motif: Motif, symbols: str) -> Placement:
    across, down = draw(st.sampled_from([(1, 1), (3, 1), (1, 4), (2, 2)]))
    step: Point = (float(3 * (across > 1)), 2.5 * (down > 1))
    x, y = draw(POINTS)
    return Placement(
        motif.name,
        x,
        y,
        draw(st.sampled_from(list(Anchor))),
        draw(st.sampled_from([None, *Mirror])),
        draw(st.integers(0, 3)),
        across,
        down,
        step,
        draw(st.sampled_from([None, 2])),
        draw(st.sampled_from([None, 3])),
        draw(st.sampled_from(list(Cover))),
        draw(swaps(motif, symbols)),
    )


@st.composite
def charts(draw: st.DrawFn, of: list[Motif], symbols: str) -> Chart:
    width, height = draw(SIDES), draw(SIDES)
    lines, knots = draw(shapes())
    items: list[Item] = [*lines, *knots]
    for motif in of:
        items.append(draw(placements(motif, symbols)))
    inset, mirrored = draw(st.integers(0, 9)), draw(st.booleans())
    corner = draw(st.sampled_from([None, of[0].name]))
    items.append(Border(of[-1].name, corner, inset, mirrored))
    x, y = draw(POINTS)
    items.append(
        Lettering(
            tuple(draw(st.lists(SAYING, min_size=1, max_size=3))),
            "marking",
            x,
            y,
            draw(st.booleans()),
            draw(st.sampled_from([None, 0, 4])),
            draw(st.sampled_from([None, 0, 4])),
            draw(st.integers(0, 5)),
            draw(st.sampled_from([None, 1])),
            draw(st.sampled_from([None, 1])),
            draw(st.sampled_from(list(Cover))),
            (),
            draw(st.sampled_from(["", "initials"])),
        )
    )
    grid = draw(rows(width, height, symbols)) if draw(st.booleans()) else ()
    order = draw(st.permutations(items))
    return Chart(width, height, grid, tuple(order), draw(st.sampled_from([None, *Symmetry])))


FABRICS = st.builds(
    lambda kind, x, y, over: Fabric(kind, x / 2, y / 2, over, kind in ("aida", "blockweave")),
    st.sampled_from(["linen", "evenweave", "canvas", "aida", "blockweave"]),
    st.integers(20, 120),
    st.integers(20, 120),
    st.integers(1, 4),
)


@st.composite
def designs(draw: st.DrawFn) -> Design:
    of = draw(threads())
    key = draw(keys(of))
    symbols = "".join(entry.symbol for entry in key if entry.is_cell)
    drawn = [draw(motifs(name, symbols)) for name in ("boat", "tern-2", "møwe")]
    booklet = Booklet(
        draw(SAYING),
        draw(TEXTS),
        draw(TEXTS),
        "2",
        draw(st.one_of(st.none(), DAYS)),
        draw(st.sampled_from(["en-GB", "da"])),
        rights=draw(TEXTS),
        thanks=draw(TEXTS),
        original=tuple(draw(st.dictionaries(st.sampled_from(["place", "date"]), TEXTS)).items()),
        needs=tuple(draw(st.lists(TEXTS, max_size=2))),
        about=draw(TEXTS),
        level=draw(TEXTS),
        address=tuple(draw(st.lists(TEXTS, max_size=2))),
        errata=draw(TEXTS),
        gutter=draw(st.sampled_from([0.0, 8.5])),
    )
    fabric = replace(draw(FABRICS), over=2)
    ground = Ground(
        fabric,
        draw(COLOURS),
        draw(TEXTS),
        2 * MM_PER_INCH,
        tuple(draw(st.lists(FABRICS, max_size=6))),
    )
    changed = draw(st.lists(st.sampled_from(key), min_size=1, max_size=3, unique=True))
    changes = [
        ThreadChange(entry.symbol, tuple(draw(needles(of)) for _ in entry.parts))
        for entry in changed
    ]
    counts = st.integers(0, 10_000)
    used = [part.needle for entry in key for part in entry.parts]
    used += [needle for change in changes for needle in change.needles]
    return Design(
        Source("", ""),
        Path(),
        2,
        booklet,
        ground,
        tuple(dict.fromkeys(each.thread for needle in used for each in needle)),
        key,
        {motif.name: motif for motif in drawn},
        {"marking": draw(alphabets(symbols))},
        draw(charts(drawn, symbols)),
        tuple(
            Note(draw(st.sampled_from(list(NoteKind))), x, y, x + 1.5, y, draw(SAYING))
            for x, y in draw(st.lists(POINTS, max_size=3))
        ),
        (Colourway("dusk", draw(TEXTS), tuple(changes)),),
        tuple(
            Revision(draw(SAYING), draw(st.one_of(st.none(), DAYS)), draw(SAYING))
            for _ in range(draw(st.integers(0, 2)))
        ),
        (
            Expectation(symbols[0], draw(counts)),
            Expectation(symbols[1], draw(counts), (0.0, 1.0, 2.5, 4.0)),
        ),
        Working(
            float(draw(st.integers(300, 900))),
            float(draw(st.integers(0, 60))),
            draw(st.integers(0, 40)) / 2,
            method=draw(st.sampled_from(list(Method))),
            reserve=draw(st.integers(0, 50)) / 100,
        ),
    )


def write_and_read(folder: Path, design: Design, text: str) -> Design:
    ranges: dict[str, list[Thread]] = {}
    for thread in design.threads:
        if thread.range:
            ranges.setdefault(thread.range, []).append(thread)
    for name, members in ranges.items():
        (folder / f"{name}.csv").write_text(csv(members), "utf-8")
    path = folder / "chart.linen"
    path.write_text(text, "utf-8")
    again, findings = read(path)
    assert again is not None, "\n".join([*map(render, findings), text])
    return replace(again, source=design.source, folder=design.folder)


REMARKS = st.sampled_from(['# a remark | with "all" sorts #', "", "   ", "\t# one more", "#"])


@FEW
@given(design=designs(), data=st.data())
def test_a_design_written_out_is_read_back_the_same(tmp_path, design, data):
    """Remarks, blanks and line ends change nothing, and no remark is lost."""
    assert write_and_read(tmp_path, design, source(design)) == design
    lines: list[str] = []
    written: list[str] = []
    for line in source(design).split("\n"):
        remark = data.draw(REMARKS)
        lines.append(remark)
        written.append(remark.strip())
        lead = data.draw(st.sampled_from(["", "  ", "\t", "        "]))
        tail = data.draw(st.sampled_from(["", "  ", ' # behind | the "line"', "\t#x"]))
        lines.append(lead + line.strip() + tail)
        written.append(tail.strip())
    text = "\n".join(lines)
    ends = data.draw(st.sampled_from(["\n", "\r\n", "\r"]))
    again = write_and_read(tmp_path, design, text.replace("\n", ends))
    assert again == design
    file, _ = parse(Source("chart.linen", text))
    assert [comment.text for comment in file.comments] == [each for each in written if each]
    for comment in file.comments:
        span = comment.span
        assert re.fullmatch("#.*", text[span.start : span.end])
