"""Edits turn one text into the other and touch nothing else."""

from hypothesis import given
from hypothesis import strategies as st
from linenleaf.lsp.answers import edits

TEXTS = st.lists(st.sampled_from(["", "a", "b", "|..|", "e\u0301"]), max_size=12).map("\n".join)


def applied(before: str, after: str) -> str:
    text, at = "", 0
    for each in edits(before, after):
        assert at <= each.start <= each.end
        text += before[at : each.start] + each.text
        at = each.end
    return text + before[at:]


@given(TEXTS, TEXTS)
def test_edits_make_the_other_text(before, after):
    assert applied(before, after) == after
    if before == after:
        assert list(edits(before, after)) == []


def test_only_lines_that_differ_are_touched():
    before = "a\nb\nc\nd\ne\n"
    [first, second] = edits(before, "a\nB\nc\nd\ne\nf\n")
    assert (before[first.start : first.end], first.text) == ("b\n", "B\n")
    assert (second.start, second.end, second.text) == (len(before), len(before), "f\n")


def test_long_texts_of_like_rows_are_compared_too():
    before = "|....|\n" * 60_000
    after = "  |....|\n" * 60_000
    assert applied(before, after) == after
