import pytest
from linenleaf.compose.compose import compose
from linenleaf.compose.lettering import set_line, span_inside
from linenleaf.core.model import Lettering
from linenleaf.core.source import Source

from ..charts import alphabet
from ..snippets import design_of

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
