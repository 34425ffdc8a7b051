from pathlib import Path

import pytest
from linenleaf.compose.compose import compose
from linenleaf.compose.lettering import set_line, span_inside
from linenleaf.core.items import Lettering
from linenleaf.core.source import Source
from linenleaf.resolve.read import read_source

from ..charts import alphabet
from ..snippets import design_of, rows_of

WIDTHS = alphabet("marking", {"A": ["mmm"], "I": ["m"], "É": ["mm"], "-": ["m"]}, spacing=1, word=4)


def columns(text: str, **more: int) -> tuple[list[tuple[str, int]], int]:
    line = set_line(text, Lettering((text,), "marking", 0, 0, **more), WIDTHS)
    return [(each.character, each.column) for each in line.letters], line.width


@pytest.mark.parametrize(
    ("text", "expected", "width"),
    [
        ("", [], 0),
        ("AI", [("A", 0), ("I", 4)], 5),
        ("A I", [("A", 0), ("I", 7)], 8),  # four bare columns, no letter spacing beside them
        ("I  I", [("I", 0), ("I", 9)], 10),
        (" I ", [("I", 4)], 9),
        ("E\N{COMBINING ACUTE ACCENT}I", [("É", 0), ("I", 3)], 4),
    ],
)
def test_where_letters_stand(text, expected, width):
    assert columns(text) == (expected, width)


def test_spacing_may_be_nothing():
    assert columns("AI I", spacing=0, word=0) == ([("A", 0), ("I", 3), ("I", 4)], 5)


def test_a_blank_that_the_alphabet_draws_is_a_letter():
    drawn = alphabet("dots", {"A": ["mmm"], " ": ["s"]}, spacing=1, word=9)
    line = set_line("A A", Lettering(("A A",), "dots", 0, 0), drawn)
    assert [each.column for each in line.letters] == [0, 4, 6]


def test_missing_letters_are_told_in_runs():
    line = set_line("Ax yzI!", Lettering(("",), "marking", 0, 0), WIDTHS)
    assert [(each.characters, each.offset, each.length) for each in line.missing] == [
        (("x",), 1, 1),
        (("y", "z"), 3, 2),
        (("!",), 6, 1),
    ]


@pytest.mark.parametrize(
    ("written", "offset", "length", "expected"),
    [
        ('"AbC"', 1, 1, "b"),
        ('"AbC"', 0, 3, "AbC"),
        (r'"A\"b"', 2, 1, "b"),
        (r'"A\"b"', 1, 1, r"\""),
        (r'"\\b"', 1, 1, "b"),
        ('"A"', 5, 1, '"A"'),  # not inside: the whole line
    ],
)
def test_a_place_inside_a_text_is_found_past_escapes(written, offset, length, expected):
    source = Source("test.linen", f"text {written} in marking")
    span = span_inside(source.span(5, 5 + len(written)), offset, length)
    assert source.text[span.start : span.end] == expected


def test_the_finding_points_into_the_text(tmp_path):
    made = design_of(
        r"""
        key
          m #a03a3a "madder"
        alphabet marking height 1
          A |m|
          "\"" |m|
        chart 40 x 20
          text "A\"xA" "A" in marking at 0,0
        """,
        tmp_path,
    )
    worked, findings = compose(made)
    assert worked is None
    (finding,) = findings
    assert finding.span.source.text[finding.span.start : finding.span.end] == "x"


# --- in several alphabets, colours and widths --------------------------------------------------

HEAD = """linen 2
fabric linen 28 over 2
key
  m  #a03a3a "madder"
  s  #5f7a4a "sedge"
  k  #20242c "ink"
alphabet low height 2
  I |m|
    |m|
  T |mmm|
    |.m.|
  "<st>" |mmmm|
         |m..m|
alphabet tall height 3
  A |mmm|
    |m.m|
    |m.m|
"""


def rows(lines, size="16 x 6"):
    return rows_of(f"{HEAD}chart {size}\n{lines}\n")


@pytest.mark.parametrize(
    ("words", "top"),
    [
        ('"ITI IT" in low at 0,0 letters in turn m as s, m as k', "s.kkk.s...k.sss."),
        ('"ITI IT" in low at 0,0 words in turn m as s, m as k', "s.sss.s...k.kkk."),
        ('"TI" in low at 0,0 lines in turn m as s, m as k', "sss.s..........."),
        ('"TI" in low at 0,0 with m as k letters in turn m as s', "sss.s..........."),
        ('"I<st>I" in low at 0,0', "m.mmmm.m........"),
        ('"TI" in low at 16,0 aligned right', "...........mmm.m"),
        ('"ITI" in low at 0,0 spread 16', "m.....mmm......m"),
        ('"ITI" in low at 1,0 spread 9', ".m..mmm..m......"),
        ('"T" in low at 8,0 centred left', "......mmm......."),
        ('"T" in low at 8,0 centred right', ".......mmm......"),
    ],
)
def test_a_text_is_set_as_its_line_says(words, top):
    assert rows(f"text {words}")[0] == top


def test_lines_take_turns():
    found = rows('text "I" "I" "I" in low at 0,0 leading 0 lines in turn m as s, m as k')
    assert [row[0] for row in found] == ["s", "s", "k", "k", "s", "s"]


def test_letters_of_several_alphabets_stand_on_one_line():
    found = rows('text "AI" "I" in low, tall at 0,0 leading 0')
    assert [row[:5] for row in found] == ["mmm..", "m.m.m", "m.m.m", ".....", "m....", "m...."]


@pytest.mark.parametrize(
    ("words", "names"),
    [
        ('"ITI" in low at 0,0 spread 6', ["text-too-wide"]),
        ('"ITI" in low, nothing at 0,0', ["unknown-alphabet"]),
        ('"I<nd>I" in low at 0,0', ["missing-letter"]),
        ('"ITI" in low at 0,0 letters in turn m as z', ["unknown-symbol"]),
        ('"ITI" in low at 10,0', ["outside"]),
    ],
)
def test_what_cannot_be_set_is_told(words, names):
    assert rows(f"text {words}") == names


def test_every_line_that_is_too_wide_is_told_with_its_width():
    text = f'{HEAD}chart 6 x 9\ntext "ITI" "I" "TT" in low at 0,0\n'
    design, _ = read_source(Source("chart.linen", text), Path("chart.linen"))
    _, (finding,) = compose(design)
    assert [hint.message for hint in finding.hints][:3] == [
        "“ITI” is 7 crosses wide, 1 too many for the chart",
        "“I” is 1 crosses wide",
        "“TT” is 7 crosses wide, 1 too many for the chart",
    ]


def test_an_older_file_has_no_named_letters():
    old = f"{HEAD}chart 16 x 6\n".replace("linen 2", "linen 1")
    _, findings = read_source(Source("chart.linen", old), Path("chart.linen"))
    assert "bad-letter" in [each.name for each in findings]


# --- of lines and points -----------------------------------------------------------------------

RUNNING = """linen 2
fabric linen 28 over 2
key
  m  #a03a3a "madder"
  ink  #20242c "ink" double-running
  sea  #2f5f9a "sea" double-running
  pip  #a03a3a "madder" knot
alphabet fine height 2
  L 1 wide
    line ink 0,0 0,2 1,2
  i |m|
    |.|
    line ink 0,1 0,2
    knot pip 0.5,1.5
"""


def strokes(text):
    source = Source("chart.linen", f"{RUNNING}chart 30 x 20\n  text {text}\n")
    design, findings = read_source(source, Path("chart.linen"))
    assert design is not None, findings
    worked, findings = compose(design)
    assert worked is not None, findings
    words = {index: entry.symbol for index, entry in enumerate(design.key, 1)}
    lines = [(words[each.index], each.points.tolist()) for each in worked.lines]
    return lines, [(each.x, each.y) for each in worked.knots], int((worked.grid != 0).sum())


def test_lines_and_knots_of_letters_stand_where_the_letters_do():
    lines, knots, crosses = strokes('"Li" in fine at 1,2')
    assert lines == [("ink", [[1, 2], [1, 4], [2, 4]]), ("ink", [[3, 3], [3, 4]])]
    assert (knots, crosses) == ([(3.5, 3.5)], 1)


def test_lines_of_letters_take_turns_and_grow_with_them():
    lines, _, _ = strokes('"LL" in fine at 0,0 over 4 letters in turn ink as ink, ink as sea')
    assert lines == [("ink", [[0, 0], [0, 4], [2, 4]]), ("sea", [[4, 0], [4, 4], [6, 4]])]


def test_lines_of_letters_stand_off_the_grid_too():
    lines, knots, _ = strokes('"i" in fine at 1.5,2.5')
    assert (lines, knots) == ([("ink", [[1.5, 3.5], [1.5, 4.5]])], [(2, 4)])


@pytest.mark.parametrize(
    ("letter", "name"),
    [
        ("  line ink 0,0 0,2\n  A 1 wide", "row-without-letter"),
        ("  A 1 wide\n    |m|\n    |m|", "row-count"),
        ("  A 0 wide\n    line ink 0,0 0,2", "absurd-number"),
        ("  A 1 wide\n    line rope 0,0 0,2", "unknown-symbol"),
        ("  A 1 wide\n    line ink 0.3,0 0,2", "between-threads"),
    ],
)
def test_what_is_wrong_with_a_letter_of_lines_is_told(letter, name):
    head = RUNNING.partition("alphabet")[0]
    text = f'{head}alphabet odd height 2\n{letter}\nchart 9 x 9\n  text "A" in odd at 0,0\n'
    design, findings = read_source(Source("chart.linen", text), Path("chart.linen"))
    assert design is None
    assert name in [each.name for each in findings]
