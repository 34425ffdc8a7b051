"""How a finding reads."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.core.diagnostics import Hint, as_json, has_errors, in_order, render, summary
from linenleaf.core.source import Source

from tests.made_up import error, hint, warning

SOURCE = Source("reed.linen", "linen 1\n\nmotif reed 3 x 2\n  |.s.|\n\t|ss|\n")


def place(text, source=SOURCE):
    start = source.text.index(text)
    return source.span(start, start + len(text))


def test_a_finding_shows_the_line_a_caret_and_what_to_do():
    finding = error(
        "ragged-row",
        "This row is 2 crosses wide; the motif is 3.",
        place("ss|"),
        "Add 1 cross, or a dot for bare fabric.",
        Hint("the width is stated here", place("3 x 2")),
    )
    assert render(finding) == (
        "reed.linen:5:3: error: This row is 2 crosses wide; the motif is 3. [ragged-row]\n"
        "  5 |  |ss|\n"
        "    |   ^^^\n"
        "  = Add 1 cross, or a dot for bare fabric.\n"
        "  = reed.linen:3:12: the width is stated here\n"
        "  3 | motif reed 3 x 2\n"
        "    |            ^^^^^"
    )


def test_a_finding_at_the_end_of_a_line_points_behind_it():
    source = Source("a.linen", "linen\nbooklet")
    shown = render(error("x", "Say the version.", source.span(5, 5)))
    assert shown.splitlines()[1:] == ["  1 | linen", "    |      ^"]


def test_wide_letters_and_accents_keep_the_caret_in_place():
    source = Source("a.linen", 'text "e\u0301 水" q')
    shown = render(error("x", "m", place("q", source))).splitlines()
    assert shown[2].index("^") - shown[1].index("text") == 5 + 1 + 1 + 1 + 2 + 1 + 1


def test_a_long_line_is_cut_around_the_caret():
    source = Source("a.linen", "|" + "m" * 1_000_000 + "q|")
    lines = render(error("x", "m", place("q", source))).splitlines()
    assert all(len(each) < 120 for each in lines)
    assert lines[1][lines[2].index("^")] == "q"


@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=80), st.data())
def test_no_text_steers_the_terminal_and_the_caret_is_always_there(text, data):
    start = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(start, len(text)))
    shown = render(error("x", "m", Source("a", text).span(start, end)))
    assert "\x1b" not in shown
    assert "\r" not in shown
    assert "^" in shown.splitlines()[-1]


def test_findings_come_in_the_order_of_the_file_and_once():
    later = warning("b", "later", place("|ss|"))
    first = error("a", "first", place("motif"))
    assert in_order((later, first, later)) == (first, later)


@pytest.mark.parametrize(
    ("findings", "words"),
    [
        ((), "no findings"),
        ((error("a", "m", None),), "1 error"),
        (
            (warning("a", "m", None), warning("b", "m", None), hint("c", "m", None)),
            "2 warnings, 1 hint",
        ),
    ],
)
def test_the_closing_count(findings, words):
    assert summary(findings) == words
    assert has_errors(findings) is ("error" in words)


def test_findings_as_plain_data_count_from_one():
    [plain] = as_json((error("a", "m", place("motif"), "do this"),))
    assert plain["place"] == {"file": "reed.linen", "line": 3, "column": 1, "length": 5}
    assert plain["hints"] == [{"message": "do this", "place": None}]
