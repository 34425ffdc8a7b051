"""What a source means: names looked up, defaults filled in, mistakes found across lines."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from linenleaf.compose.compose import compose
from linenleaf.core.diagnostics import Diagnostics
from linenleaf.core.findings import Level
from linenleaf.core.ground import Method
from linenleaf.core.items import Anchor, Cover, Knot, Lettering, Line, Mirror, Placement
from linenleaf.core.key import Kind, Way
from linenleaf.core.matter import NoteKind
from linenleaf.core.model import Design
from linenleaf.resolve.read import read

from tests.sources import SMALL, WHOLE, folder_with


def names(findings: Diagnostics) -> list[str]:
    return [each.name for each in findings]


@pytest.fixture(scope="module")
def whole(tmp_path_factory) -> Design:
    design, findings = read(folder_with(tmp_path_factory.mktemp("whole")))
    assert findings == ()
    assert design is not None
    return design


def small(tmp_path: Path, **changes: str) -> tuple[Design | None, Diagnostics]:
    """Read the small chart with one block's text changed, or more text after it."""
    text = SMALL
    for word, new in changes.items():
        if word == "after":
            text += new
        else:
            start = text.index(word)
            text = text[:start] + new + text[text.index("\n", start) + 1 :]
    return read(folder_with(tmp_path, text))


def test_the_booklet(whole):
    booklet = whole.booklet
    assert booklet.title == 'Saltmarsh "Bands"'
    assert booklet.subtitle == "a band sampler <b>in seven colours</b>"  # text, never markup
    assert (booklet.edition, booklet.day) == ("2", date(2026, 3, 14))
    assert booklet.story is not None
    assert booklet.story.text.startswith("# The tide line")
    assert [(each.heading, each.path) for each in booklet.sections] == [("Reeds", "notes/reeds.md")]
    assert booklet.original == (("place", "a chest in the boat house"), ("date", "about 1840"))
    assert booklet.needs == ("a hoop", "a pair of scissors")


def test_without_a_booklet_the_file_gives_the_title(tmp_path):
    design, findings = small(tmp_path)
    assert findings == ()
    assert design is not None
    assert design.booklet.title == "Chart"
    assert design.booklet.language == "en-GB"


def test_fabric_in_threads_to_the_inch_and_lengths_in_millimetres(whole):
    ground = whole.ground
    assert (ground.fabric.count_x, ground.fabric.count_y, ground.fabric.over) == (36, 34, 2)
    assert (ground.colour, ground.colour_name) == ("#e9dfcb", "raw flax")
    assert ground.margin == pytest.approx(76.2)  # 3 in of 25.4 mm
    linen, evenweave, aida = ground.also
    assert linen.count_y == 28
    assert evenweave.count_x == pytest.approx(25.4)  # 10 to the cm
    assert (aida.block, aida.over) == (True, 1)
    working = whole.working
    assert (working.needleful, working.tail, working.carry) == (450, 50, 12)
    assert (working.method, working.reserve) == (Method.EACH, 0.15)


def test_the_key(whole):
    key = {entry.symbol: entry for entry in whole.key}
    assert list(key) == ["m", "s", "/", "\\", "^", "=", "+", "rope", "spar", "eye", "drop"]
    strands = {symbol: [each.strands for each in key[symbol].parts[0].needle] for symbol in key}
    assert strands["m"] == [2]  # cells and knots take two, lines and beads one
    assert strands["s"] == [1]
    assert strands["="] == [1, 1]  # one of each in a blend
    assert strands["rope"] == strands["drop"] == [1]
    assert strands["eye"] == [2]
    three_quarter, quarter = key["^"].parts
    assert (three_quarter.kind, three_quarter.way) == (Kind.THREE_QUARTER, Way.TOP_LEFT)
    assert (quarter.kind, quarter.way) == (Kind.QUARTER, Way.BOTTOM_RIGHT)  # the opposite one
    assert key["\\"].parts[0].way is Way.DOWN
    assert (key["+"].parts[0].kind, key["+"].printed) == (Kind.UPRIGHT, "star")
    assert key["s"].note == "work last"
    assert [thread.label for thread in whole.threads] == [
        "shore 31",
        "shore 12",
        "madder",
        "shore 58",
        "shore 47",
        "lamp",
    ]


def test_placements(whole):
    items = whole.chart.items
    placements = [each for each in items if isinstance(each, Placement)]
    boat = placements[1]
    assert (boat.x, boat.y, boat.anchor, boat.turns) == (30, 20, Anchor.CENTRE, 2)
    assert (boat.mirror, boat.cover) == (Mirror.TOP_BOTTOM, Cover.REPLACING)
    tufts = placements[2]
    assert (tufts.across, tufts.down, tufts.step, tufts.over) == (4, 2, (5, 4), 1)
    assert placements[3].swap == (("s", "m"), ("/", "\\"))
    (text,) = [each for each in items if isinstance(each, Lettering)]
    assert (text.lines, text.centred, text.changeable) == (("THE TIDE", "COMES"), True, "verse")
    assert [type(each) for each in items[-3:]] == [Line, Knot, Knot]


def test_words_about_places(whole):
    assert [note.kind for note in whole.notes] == [
        NoteKind.NOTE,
        NoteKind.NOTE,
        NoteKind.DEPARTURE,
        NoteKind.INFERRED,
        NoteKind.KEPT,
    ]
    kept = whole.notes[-1]
    assert (kept.x0, kept.y0, kept.x1, kept.y1) == (2, 2, 10, 10)  # corners in reading order
    assert [each.day for each in whole.revisions] == [date(2026, 3, 14), None]
    assert whole.expectations[1].area == (0, 0, 20, 20)


def test_places_are_kept_to_the_word(whole):
    def said(span) -> str:
        return span.source.text[span.start : span.end]

    boat = whole.motifs["boat"]
    assert said(boat.span) == "boat"
    assert [said(span) for span in boat.row_spans] == list(boat.rows)
    placement = whole.chart.items[1]
    assert said(placement.span) == "boat at 10,10"
    assert (said(placement.name_span), said(placement.at_span)) == ("boat", "10,10")
    assert said(whole.booklet.edition_span) == 'edition  "2" 2026-03-14'
    assert said(whole.alphabets["marks"].letters["T"].span) == "T"
    assert whole.alphabets["marks"].span.path.endswith("marks.linen")


# --- across lines ------------------------------------------------------------------------------

KEY = "key\n"


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("  a  shore 31 half up + shore 12 half down", []),  # the two legs of one cross
        ("  a  shore 31 half up + shore 12 quarter top-left", []),
        ("  a  shore 31 half up + shore 12 quarter top-right", ["parts-overlap"]),
        ("  a  shore 31 half up + shore 12 half up", ["parts-overlap"]),
        ("  a  shore 31 + shore 12", ["two-crosses-in-a-cell"]),
        ("  a  shore 31 + shore 12 upright", []),  # a double cross
        ("  a  shore 31 + shore 12 half up", ["parts-overlap"]),
        ("  a  shore 31 three-quarter top-left + shore 12 three-quarter", ["parts-overlap"]),
        ("  a  shore 31 quarter + shore 12 three-quarter top-left", []),
        ("  a  shore 31 quarter top-left + shore 12 quarter top-right", []),
        ("  a  shore 31 quarter", ["missing-corner"]),
        ("  a  shore 31 quarter + shore 12 quarter", ["missing-corner"]),
        ("  ab shore 31", ["missing-kind"]),
        ("  ab shore 31 upright", ["wrong-kind"]),
        ("  a  shore 31 knot", ["wrong-kind"]),
        ("  ab shore 31 back + shore 12 back", ["too-many-parts"]),
        ("  a  shore 31 with shore 31", ["thread-twice"]),
        ('  a  #aabbcc "x" + #aabbcd "x" upright', ["two-colours-one-name"]),
        ('  a  #aabbcc " "', ["bad-thread-name"]),
        ("  \u0301 shore 31", ["bad-symbol"]),
        ("  border shore 31 back", ["reserved-name"]),
        ("  chart shore 31 back", ["reserved-name"]),
    ],
)
def test_stitches_that_can_and_cannot_share_a_cell(tmp_path, line, found):
    _, findings = small(tmp_path, key=f"key\n{line}\n")
    assert names(findings) == found


def test_new_threads_of_a_colourway_keep_the_strands(tmp_path):
    key = "key\n  a  shore 31 3 strands\n  b  shore 31 with shore 12 2 strands\n"
    way = "colourway dusk\n  a shore 12\n  b shore 47 with shore 58\n  m shore 12 with shore 31\n"
    design, findings = small(tmp_path, key=key, after=way)
    assert findings == ()
    assert design is not None
    given = [
        [each.strands for each in change.needles[0]] for change in design.colourways[0].changes
    ]
    assert given == [[3], [1, 2], [1, 1]]
    design, _ = small(tmp_path, key=key, after="colourway dusk\n  b shore 47\n")
    assert design is not None
    assert design.colourways[0].changes[0].needles[0][0].strands == 3  # as many as before


@pytest.mark.parametrize(
    ("fabric", "line", "found"),
    [
        ("linen 32 over 2", "boat at 1.5,1", []),
        ("linen 32 over 2", "boat at 1.25,1", ["between-threads"]),
        ("linen 32 over 3", "boat at 1.33,1", []),  # a third cannot be written out in full
        ("linen 32 over 3", "boat at 1.5,1", ["between-threads"]),
        ("linen 32 over 1", "boat at 1.5,1", ["between-threads"]),
        ("linen 32 over 2", "boat centre at 1.25,1", []),  # the middle of an odd width
        ("linen 32 over 2", "boat x 2 at 1,1 step 2.25,0", ["between-threads"]),
        ("linen 32 over 2", "line rope 0.5,1 1,1", []),
        ("linen 32 over 2", "line rope 0.2,1 1,1", ["between-threads"]),
        ("linen 32 over 1", "line rope 0.5,1 1,1", ["between-threads"]),
        ("aida 14", "line rope 0.5,1 1,1", []),  # a block can be pierced, a thread cannot
        ("aida 14", "boat at 0.5,1", ["between-threads"]),
        ("linen 32 over 2", "buoy at 1,1", []),
        ("linen 32 over 2", "buoy at 1,1 over 1", ["between-threads"]),  # its line, made smaller
    ],
)
def test_positions_are_whole_threads(tmp_path, fabric, line, found):
    motifs = "motif boat 3 x 1\n  |mmm|\nmotif buoy 2 x 1\n  |mm|\n" + (
        "  line rope 0,0 0.5,0\n" if "buoy" in line else ""
    )
    text = SMALL.replace("fabric linen 32 over 2", f"fabric {fabric}")
    text = text.partition("chart")[0] + motifs + f"chart 9 x 9\n  {line}\n"
    _, findings = read(folder_with(tmp_path, text))
    assert names(findings) == found


def test_a_symbol_that_is_swapped_need_not_be_in_the_key(tmp_path):
    text = SMALL.partition("chart")[0] + (
        "motif boat 2 x 1\n  |tm|\n  line mast 0,0 1,1\n"
        "chart 9 x 9\n  boat at 1,1 with t as s, mast as rope\n"
    )
    design, findings = read(folder_with(tmp_path, text))
    assert findings == ()
    assert design is not None
    worked, _ = compose(design)
    assert worked is not None
    assert worked.grid[1, 1:3].tolist() == [2, 1]
    _, findings = read(folder_with(tmp_path, text + "  boat at 4,4\n"))
    assert names(findings) == ["unknown-symbol", "unknown-symbol"]


def test_what_is_used_brings_motifs_ranges_and_letters_but_no_key_and_no_chart(tmp_path):
    used = """\
linen 1
booklet "Not this"
fabric aida 11
range reeds from deep.csv
key
  q reeds 7
motif boat 2 x 1
  |mm|
motif crab 2 x 1
  |qq|
chart 3 x 3
  |qqq|
"""
    text = (
        SMALL.replace("range", "use lib/shapes.linen\nrange", 1)
        .replace("shore 12", "reeds 7")
        .replace("  |mm..ss|\n  |.mm.s.|\n  |......|\n", "  boat at 3,1\n")
    )
    path = folder_with(tmp_path, text)
    (tmp_path / "lib").mkdir()
    (tmp_path / "lib" / "shapes.linen").write_text(used, "utf-8")
    (tmp_path / "lib" / "deep.csv").write_text("code,name,colour\n7,reed,#aabb00\n", "utf-8")
    design, findings = read(path)
    assert findings == ()  # not even of the used file's chart, which is a row too short
    assert design is not None
    assert list(design.motifs) == ["boat"]  # what is not placed is left out
    assert design.booklet.title == "Chart"
    assert design.ground.fabric.kind == "linen"
    assert design.key[1].parts[0].needle[0].thread.label == "reeds 7"


def test_files_that_use_each_other_crosswise_are_read_once(tmp_path):
    path = folder_with(tmp_path, SMALL.replace("range", "use a.linen\nuse b.linen\nrange", 1))
    (tmp_path / "a.linen").write_text("linen 1\nuse c.linen\n", "utf-8")
    (tmp_path / "b.linen").write_text("linen 1\nuse c.linen\n", "utf-8")
    (tmp_path / "c.linen").write_text("linen 1\nmotif boat 1 x 1\n  |m|\n", "utf-8")
    assert read(path)[1] == ()


def test_use_in_a_ring_and_too_deep(tmp_path):
    path = folder_with(tmp_path, SMALL.replace("range", "use a0.linen\nrange", 1))
    for number in range(12):
        text = f"linen 1\nuse a{number + 1}.linen\n"
        (tmp_path / f"a{number}.linen").write_text(text, "utf-8")
    assert names(read(path)[1]) == ["too-many-files"]
    (tmp_path / "a1.linen").write_text("linen 1\nuse a0.linen\n", "utf-8")
    assert names(read(path)[1]) == ["use-in-a-ring"]


def test_what_stood_in_a_file_that_is_missing_is_not_blamed(tmp_path):
    text = SMALL.replace("range", "use gone.linen\nrange", 1).replace("shore 12", "reeds 7")
    text += '  boat at 1,1\n  text "A" in low at 1,1\n  border leaf\n'
    assert names(read(folder_with(tmp_path, text))[1]) == ["missing-file"]


def test_a_wide_library_is_bounded(tmp_path):
    uses = "".join(f"use a{number}.linen\n" for number in range(60))
    path = folder_with(tmp_path, SMALL.replace("range", f"{uses}range", 1))
    for number in range(60):
        (tmp_path / f"a{number}.linen").write_text("linen 1\nuse b.linen\n", "utf-8")
    (tmp_path / "b.linen").write_text("linen 1\nmotif boat 1 x 1\n  |m|\n", "utf-8")
    assert set(names(read(path)[1])) == {"too-many-files"}


def test_a_broken_key_line_is_blamed_once(tmp_path):
    _, findings = small(
        tmp_path, key="key\n  q  shore\n  z  shore 99\n", chart="chart 6 x 4\n  |qqzzqz|\n"
    )
    assert names(findings) == ["line-stops-early", "unknown-thread"]


def test_a_broken_motif_is_blamed_once(tmp_path):
    text = SMALL.partition("chart")[0] + (
        "motif boat 3 by 2\n  |mmm|\n  |mmm|\nmotif tern 2 x 2\n  |mm|\n  |mm\n"
        "chart 9 x 9\n  boat at 1,1\n  tern at 4,4\n"
    )
    _, findings = read(folder_with(tmp_path, text))
    assert names(findings) == ["bad-size", "unclosed-row"]


def test_a_story_that_is_missing_or_empty(tmp_path):
    path = folder_with(tmp_path, WHOLE)
    (tmp_path / "story.md").write_text(" \n", "utf-8")
    design, findings = read(path)
    assert design is not None  # a warning does not stop
    assert [(each.name, each.level) for each in findings] == [("empty-story", Level.WARNING)]
    (tmp_path / "story.md").unlink()
    design, findings = read(path)
    assert design is None
    assert names(findings) == ["missing-file"]


@pytest.mark.parametrize("hidden", "\u200b\ufeff\u202e\u3164\u2800\u200f")
def test_what_cannot_be_seen_is_refused_in_a_story_too(tmp_path, hidden):
    path = folder_with(tmp_path, WHOLE)
    (tmp_path / "story.md").write_text(f"copied{hidden} text", "utf-8")
    (found,) = read(path)[1]
    assert found.name == "hidden-character"
    assert f"U+{ord(hidden):04X}" in found.message
    assert (found.span.line, found.span.column) == (1, 7)
    (tmp_path / "story.md").write_text(
        "Kreuz\u00adstich, mille\u00a0points, نمی\u200cخواهم", "utf-8"
    )
    assert read(path)[1] == ()


@pytest.mark.parametrize(
    ("file", "plain", "harmed"),
    [
        ("chart.linen", '"madder"', '"madder\u00a0"'),
        ("chart.linen", '"madder"', '"mad\u00adder"'),
        ("chart.linen", "motif boat", "motif bo\u00adat"),
        ("chart.linen", "motif boat", "motif bo\u3164at"),
        ("chart.linen", "  m      shore 31", "  \u3164      shore 31"),
        ("chart.linen", "  m      shore 31", "  \u2800      shore 31"),
        ("chart.linen", "from shore.csv", "from sh\u00adore.csv"),
        ("chart.linen", "from shore.csv", 'from "shore.csv\u00a0"'),
        ("shore.csv", "31,wrack", "3\u00ad1,wrack"),
        ("shore.csv", "31,wrack", "31,wr\u00adack"),
    ],
)
def test_names_symbols_and_paths_hold_nothing_that_cannot_be_seen(tmp_path, file, plain, harmed):
    path = folder_with(tmp_path, WHOLE)
    text = (tmp_path / file).read_text("utf-8")
    assert plain in text
    (tmp_path / file).write_text(text.replace(plain, harmed, 1), "utf-8")
    assert read(path)[0] is None


def test_pictures_in_a_story_are_looked_at(tmp_path):
    path = folder_with(tmp_path, WHOLE)
    (tmp_path / "story.md").write_text(
        'A\n\n- one ![x](no%20such.png) and\n  two ![](../x.png "t")\n\n'
        "```\n![not](a-picture.png)\n```\n[link](https://example.org)\n",
        "utf-8",
    )
    _, findings = read(path)
    assert [(each.name, each.span.line, each.span.column) for each in findings if each.span] == [
        ("missing-file", 3, 12),
        ("outside-folder", 4, 11),
    ]


def test_a_key_without_a_line_is_told_of(tmp_path):
    text = SMALL.replace(SMALL[SMALL.index("key\n") + 4 : SMALL.index("chart")], "")
    _, findings = read(folder_with(tmp_path, text))
    assert "empty-key" in names(findings)


def test_a_range_of_a_strange_column_and_no_thread_is_told_of(tmp_path):
    chart = folder_with(tmp_path, SMALL)
    (tmp_path / "shore.csv").write_text("code,name,colour,met\n", "utf-8")
    _, findings = read(chart)
    assert sorted(names(findings)) == ["empty-range", "unknown-column"]
