"""Lines taken apart: what each says, where it stands, and how reading goes on after a mistake."""

from __future__ import annotations

import pytest
from linenleaf.core.source import Source
from linenleaf.syntax.nodes import (
    Block,
    BorderLine,
    ChartFile,
    KeyLine,
    LetteringLine,
    LetterLine,
    MotifHead,
    NoteLine,
    PlacementLine,
    ShapeLine,
)
from linenleaf.syntax.parse import parse
from linenleaf.syntax.phrases import Option, Row, Swaps

from tests.sources import SMALL, WHOLE


def read(text: str) -> tuple[ChartFile, list[str]]:
    """The lines of a text, and its findings as `line:column name`."""
    file, findings = parse(Source("test.linen", text))
    return file, [
        f"{each.span.line}:{each.span.column} {each.name}" for each in findings if each.span
    ]


def only(word: str, text: str) -> Block:
    file, findings = read("linen 1\n" + text)
    assert findings == []
    (block,) = [block for block in file.blocks if block.word == word]
    return block


def test_a_sound_chart_has_no_findings():
    for text in (SMALL, WHOLE):
        assert read(text)[1] == []


def test_a_key_line_in_all_its_parts():
    (line,) = only(
        "key",
        """
key
  ^  shore 31 three-quarter top-left with sea 7-a 2 strands + #Aa33f0 "a b" quarter note "x"
""",
    ).members
    assert isinstance(line, KeyLine)
    assert line.symbol.text == "^"
    first, second = line.parts
    assert [each.thread.code.text for each in first.needles if each.thread.code] == ["31", "7-a"]
    assert [each.text for each in first.needles[1].strands] == ["2"]
    kind = first.needles[0].kinds[0]
    assert (kind.kind.text, kind.way and kind.way.text) == ("three-quarter", "top-left")
    assert second.needles[0].thread.colour.text == "#Aa33f0"
    assert second.needles[0].thread.name.value == "a b"
    assert line.notes[0].value == "x"


def test_rows_keep_their_characters_and_places():
    text = 'linen 1\nmotif boat 3 x 2 over 1\n  |m#.| # not |a row|\n\n# between\n|.\\"|\n'
    file, findings = read(text)
    assert findings == []
    block = file.blocks[1]
    assert isinstance(block.head, MotifHead)
    assert [row.cells for row in block.members if isinstance(row, Row)] == ["m#.", '.\\"']
    for row in block.members:
        assert isinstance(row, Row)
        assert text[row.span.start : row.span.end] == row.cells
    assert [(each.text, each.alone) for each in file.comments] == [
        ("# not |a row|", False),
        ("# between", True),
    ]


def test_letters_and_their_rows_follow_each_other():
    block = only("alphabet", 'alphabet low height 2\n  i |.|\n    |m|\n  "|" |m|\n  |m|\n')
    assert [
        each.cells if isinstance(each, Row) else "letter"
        for each in block.members
        if isinstance(each, Row | LetterLine)
    ] == ["letter", ".", "m", "letter", "m", "m"]


def test_options_of_a_placement_in_any_order():
    one, other = only(
        "chart",
        """
chart 9 x 9
  boat x 3 by 2 step 4,5 mirrored turned left centre at 1.5, 2 over 1 clearing with a as b, c as d
  boat with a as b, c as d clearing over 1 centre at 1.5, 2 turned left mirrored step 4,5 x 3 by 2
""",
    ).members
    assert isinstance(one, PlacementLine)
    assert isinstance(other, PlacementLine)
    assert set(one.options) == set(other.options)
    swaps = [each for each in one.options if isinstance(each, Swaps)]
    assert [(pair.old.text, pair.new.text) for pair in swaps[0].pairs] == [("a", "b"), ("c", "d")]


def test_a_border_a_text_and_a_line():
    border, text, line = only(
        "chart",
        """
chart 9 x 9
  border leaf, corner sprig inset 2 mirrored
  text "A" "B" in marking at 1,2 centred changeable year
  line mast 0,0 -1.5,2
""",
    ).members
    assert isinstance(border, BorderLine)
    assert border.corner is not None
    assert border.corner.text == "sprig"
    assert isinstance(text, LetteringLine)
    assert [each.value for each in text.lines] == ["A", "B"]
    options = [each.word for each in text.options if isinstance(each, Option)]
    assert options == ["in", "at", "centred", "changeable"]
    assert isinstance(line, ShapeLine)
    assert [(each.x.text, each.y.text) for each in line.points] == [("0", "0"), ("-1.5", "2")]


def test_a_word_is_never_cut_short():
    # `atlas` holds `at`, `overlay` holds `over`, `x-ray` holds `x`: all are names here.
    block = only("chart", "chart 9 x 9\n  atlas at 1,1\n  overlay at 2,2\n  x-ray at 3,3\n")
    assert [each.motif.text for each in block.members if isinstance(each, PlacementLine)] == [
        "atlas",
        "overlay",
        "x-ray",
    ]


def test_words_of_the_notation_may_be_names_where_they_are_not_reserved():
    block = only("chart", "chart 9 x 9\n  mirrored at 1,1 mirrored\n  key-hole at 2,2\n")
    assert len(block.members) == 2


def test_a_remark_stands_where_no_colour_is_expected():
    file, findings = read('linen 1\nfabric linen 32 over 2\n  colour #aabbcc "x" #aabbcc\n')
    assert findings == []
    assert [each.text for each in file.comments] == ["#aabbcc"]


def test_notes_at_a_point_and_over_an_area():
    file, findings = read('linen 1\nnote at 1,2 "a # b"\nkept 1,2 to 3,4 "b \\" \\\\"\n')
    assert findings == []
    point, area = (block.head for block in file.blocks[1:])
    assert isinstance(point, NoteLine)
    assert isinstance(area, NoteLine)
    assert (point.area.end, point.text.value) == (None, "a # b")
    assert area.text.value == 'b " \\'


def test_one_bad_line_gives_one_finding_and_the_rest_is_read():
    text = """\
linen 1
fabric linen 32 ovr 2
key
  m  shore 31
  s  shore
  t  shore 12
chart 6 x 4
  |mm..ss|
  |.mm.s.
  |......|
  boat at 3;4
  boat at 3,4
"""
    file, findings = read(text)
    assert findings == [
        "2:17 misspelt-word",
        "5:11 line-stops-early",
        "9:3 unclosed-row",
        "11:11 bad-position",
    ]
    key = next(block for block in file.blocks if block.word == "key")
    assert [each.symbol.text for each in key.members if isinstance(each, KeyLine)] == ["m", "t"]
    assert [each.words[0] for each in key.broken] == ["s"]
    chart = file.blocks[-1]
    assert len(chart.members) == 3


def test_a_misspelt_block_is_read_as_the_one_meant():
    # Its lines below are not blamed, and the motif's name counts as known.
    _, findings = read("linen 1\nmotiv boat 2 x 1\n  |mm|\n  line mast 0,0 1,1\nkye\n  m sea 1\n")
    assert findings == ["2:1 unknown-word", "5:1 unknown-word"]


def test_a_word_in_quotation_marks_is_told_to_go_without():
    for written, told in (('"de"', True), ('"de CH"', False), ("12", False)):
        _, (found, *_) = parse(
            Source("reed.linen", f'linen 1\nbooklet "Reed"\n  language {written}\n')
        )
        assert found.name == "wrong-word"
        hints = [each.message for each in found.hints]
        assert ("write it without quotation marks: `de`" in hints) is told


def test_a_missing_end_is_shown_behind_the_last_word():
    _, findings = read("linen 1\nrange shore from   # a remark\n")
    assert findings == ["2:17 line-stops-early"]


def test_no_more_than_fifty_findings():
    _, findings = read("linen 1\nkey\n" + "  m shore\n" * 400)
    assert len(findings) == 51
    assert findings[-1].endswith("too-many-findings")


@pytest.mark.parametrize("version", ["3", "3.0", "1000", "99999999999999999999"])
def test_a_newer_version_says_only_that(version):
    assert read(f"linen {version}\nloom 3\n|x\n")[1] == ["1:7 newer-notation"]


@pytest.mark.parametrize("version", ["0", "1.5", "01", "1."])
def test_versions_that_never_were(version):
    assert read(f"linen {version}\n")[1][0] == "1:7 unknown-version"


@pytest.mark.parametrize("version", ["", " one", " -1", " x", "1"])
def test_a_version_that_is_no_number(version):
    assert read(f"linen{version}\n")[1] != []


def test_a_file_that_is_no_chart_gives_one_finding():
    assert read("Dear Sir,\n\nplease find enclosed\n|a|\n")[1] == ["1:1 missing-version"]
