"""What is shown of a name, and where it leads."""

from __future__ import annotations

import pytest
from linenleaf.lsp.desk import examine
from linenleaf.lsp.hover import hover
from linenleaf.lsp.mentions import NameSort, mention_at
from markdown_it import MarkdownIt

from tests.lsp.marked import MARKS, SOUND, WHOLE, at, desk_with


@pytest.fixture(scope="module")
def opened(tmp_path_factory):
    return desk_with(tmp_path_factory.mktemp("chart"))


def told(opened, marked: str, text: str = SOUND) -> str | None:
    desk, path = opened
    outline = desk.outline(path)
    mention = mention_at(outline.file, at(marked, text))
    return None if mention is None else hover(mention, outline, desk.tally(path))


@pytest.mark.parametrize(
    ("marked", "words"),
    [
        # 8 crosses of `m` in each of four boats; T, H and E of the alphabet have six cells of it.
        ("|.¦m.m.|", "**`m`** full cross: 2 strands of shore 31 wrack `#3f4a2c`"),
        ("  ¦s      shore 12", "1 strand of shore 12 sand `#d9c79a`\n\nNote: work \\*last\\*"),
        (
            "|s¦^|",
            "three-quarter stitch top-left: 2 strands of shore 31 wrack `#3f4a2c`\n\nand quarter",
        ),
        ("|m¦=+=m|", "1 strand of shore 31 wrack `#3f4a2c` with 1 strand of shore 12 sand"),
        ("|m=¦+=m|", "upright cross: 2 strands of madder `#aa3344`\n\n4 crosses"),
        ("line ro¦pe 0,15", "back stitch: 1 strand of shore 58 rope `#8a6d3b`"),
        ("knot ¦eye", "French knot: 2 strands of shore 47 mud, wet `#6b5a4a`\n\n2 French knots"),
        ("bead ¦drop", "bead: lamp `#ffcc55`\n\n1 bead"),
        ("with = as ¦s", "full cross: 1 strand of shore 12 sand"),
        ("expect ¦+", "4 crosses"),
    ],
)
def test_a_symbol_tells_its_stitch_thread_colour_and_count(opened, marked, words):
    assert words in told(opened, marked)


def test_a_count_is_that_of_the_chart(opened):
    # Counted by hand: a boat has 8 cells of `m` and 2 of `=`; in one boat `=` is stitched as `s`.
    letters = MARKS.split("T |")[1].split("C |")[0]
    of_m = sum(letters.split(f"{each} |")[1].split("\n")[0].count("m") for each in "HE")
    of_m += letters.split("\n")[0].count("m")
    # T |m|, H |mm|, E |mmm|: 6
    assert of_m == 1 + 2 + 3 == 6
    assert f"{4 * 7 + of_m} crosses" in told(opened, "|.¦m.m.|")
    assert "6 crosses" in told(opened, "|m¦=+=m|")


def test_a_thread_tells_its_name_colour_and_put_up(opened):
    assert told(opened, "m      shore ¦31").startswith(
        "**shore 31** wrack `#3f4a2c`\n\nskein of 8 m, 6"
    )
    assert "card of 10 m, 4 strands" in told(opened, "shore 5¦8 back")
    assert "4 stitches in the chart" in told(opened, "¦#aa3344 ")


def test_a_motif_tells_its_size_and_how_often_it_is_placed(opened):
    shown = told(opened, "bo¦at x 3")
    assert shown.startswith("**boat** motif, 5 x 3 crosses, symmetric left-right\n\nplaced 4 times")
    assert shown.endswith("~~~\n|.m.m.|\n|m=+=m|\n|.mmm.|\n~~~")
    assert "placed once" in told(opened, "motif tuf¦t")


def test_alphabets_and_ranges(opened):
    assert "9 letters: `THEIDCOMS`" in told(opened, "in mar¦ks")
    assert told(opened, "s      sho¦re 12") == "**shore** range of 4 threads"


@pytest.mark.parametrize(
    "marked",
    ['"TH¦E"', "ste¦p 7,0", "|¦.m.m.|", "fabric lin¦en 32", "¦expect + 4", "note at 2¦,20"],
)
def test_of_other_things_nothing_is_told(opened, marked):
    assert told(opened, marked) is None


def test_while_the_chart_is_broken_the_last_count_stands(tmp_path):
    desk, path = desk_with(tmp_path)
    text = SOUND.replace("tuft at 30,20", "tuft at 30,20,")
    desk.put(path, text)
    desk.settle(examine(path, desk.texts()))
    assert "4 crosses before the last changes" in told((desk, path), "|m=¦+=m|", text)
    # The line that cannot be read still names a motif.
    assert "**tuft** motif" in told((desk, path), "tu¦ft at 30,20,", text)


def test_without_a_chart_to_count_in_no_count_is_told(tmp_path):
    opened = desk_with(tmp_path, WHOLE)  # which has errors
    assert told(opened, "|.¦m.m.|", WHOLE).endswith("wrack `#3f4a2c`")


def test_a_file_of_letters_is_read_with_the_key_of_its_chart(tmp_path):
    desk, path = desk_with(tmp_path)
    marks = path.with_name("marks.linen")
    desk.put(marks, MARKS)
    desk.settle(examine(marks, desk.texts()))
    assert desk.findings()[marks] == ()  # it holds no chart, which is no fault
    outline = desk.outline(marks)
    mention = mention_at(
        outline.file, at("T |¦mm", MARKS) if "T |mm" in MARKS else MARKS.index("|m") + 1
    )
    assert "shore 31" in hover(mention, outline, desk.tally(marks))
    assert outline.definition(mention).path == str(path)


# --- where names lead ---


@pytest.mark.parametrize(
    ("marked", "line"),
    [
        ("bo¦at x 3", "motif boat 5 x 3"),
        ("in mar¦ks", "alphabet marks height"),
        ("|s¦^|", "  ^      shore 31"),
        ("line rope¦ 0,15", "  rope   shore 58"),
        ("  s  shore ¦47", '47,"mud, wet"'),
        ("  s  sho¦re 47", "range shore from"),
        ("motif bo¦at", "motif boat 5 x 3"),
    ],
)
def test_a_name_leads_to_where_it_is_defined(opened, marked, line):
    desk, path = opened
    outline = desk.outline(path)
    span = outline.definition(mention_at(outline.file, at(marked)))
    assert span.source.line_text(span.line).startswith(line)


@pytest.mark.parametrize(
    ("marked", "name"), [("use mar¦ks", "marks.linen"), ("from ¦sh", "shore.csv")]
)
def test_a_file_name_leads_to_the_file(opened, marked, name):
    desk, path = opened
    outline = desk.outline(path)
    mention = mention_at(outline.file, at(marked))
    assert mention.sort is NameSort.FILE
    assert outline.file_named(mention) == path.with_name(name)


def test_no_file_outside_the_folder_is_led_to(tmp_path):
    (tmp_path / "secret.csv").write_text("x", "utf-8")
    text = SOUND.replace("from shore.csv", "from ../secret.csv")
    desk, path = desk_with(tmp_path / "inner", text)
    outline = desk.outline(path)
    assert outline.file_named(mention_at(outline.file, at("from ../sec¦ret", text))) is None


# --- nothing in it is markup ---


def test_no_text_of_a_chart_is_taken_for_markup(tmp_path):
    name = "[go](file:///x) <b>*a*</b> `b` ![i](http://x/y.png) &amp; |"
    text = SOUND.replace('"madder"', f'"{name}"').replace('"work *last*"', f'"{name}"')
    shown = told(desk_with(tmp_path, text), "|m=¦+=m|", text) + "\n\n"
    shown += told(desk_with(tmp_path / "again", text), "  ¦s      shore 12", text)
    tokens = [
        child for token in MarkdownIt("commonmark").parse(shown) for child in token.children or ()
    ]
    assert {each.type for each in tokens} <= {
        "text",
        "code_inline",
        "strong_open",
        "strong_close",
        "text_special",
    }
    assert "".join(each.content for each in tokens if each.type.startswith("text")).count(name) == 2


def test_a_symbol_that_is_a_backtick_is_shown(tmp_path):
    text = SOUND.replace("+", "`")
    shown = told(desk_with(tmp_path, text), "|m=¦`=m|", text)
    [inline] = [t for t in MarkdownIt("commonmark").parse(shown.split("\n")[0]) if t.children]
    assert next(each.content for each in inline.children if each.type == "code_inline") == "`"


PLACED = """\
linen 2
fabric aida 14
key
  m  #3f4a2c "wrack"
motif boat 5 x 2
  |mmmmm|
  |.mmm.|
alphabet low height 2
  I |m|
    |m|
  T |mmm|
    |.m.|
motif fleet fitted
  boat at 1,2 named first
  boat right of first gap 1
chart 20 wide
  boat at 2,3 named first
  fleet at 0,10
  text "IT" in low right of first gap 1
note in first "Here."
"""


@pytest.mark.parametrize(
    ("marked", "words"),
    [
        (
            "low right of fi¦rst",
            [
                "**first** stands at 2,3, 5 x 2 crosses, as far as 7,5; in print columns 3 to 7,"
                " rows 4 to 5"
            ],
        ),
        ("note in fi¦rst", ["**first** stands at 2,3"]),
        ("boat right of fi¦rst", ["**first** stands at 1,2, 5 x 2"]),
        ("  bo¦at right of", ["what this line places stands at 7,2, 5 x 2 crosses"]),
        ("motif fle¦et", ["**fleet** motif, 12 x 4 crosses", "placed once"]),
        ('"IT" in lo¦w', ["places stands at 8,3, 5 x 2 crosses", "“IT” is 5 crosses wide"]),
    ],
)
def test_a_thing_tells_where_it_came_to_stand(tmp_path, marked, words):
    desk, path = desk_with(tmp_path, PLACED)
    mention = mention_at(desk.outline(path).file, at(marked, PLACED))
    said = hover(mention, desk.outline(path), desk.tally(path))
    assert all(each in said for each in words)
    if mention.sort is NameSort.THING:
        assert desk.outline(path).definition(mention).line == (14 if "boat right" in marked else 17)
