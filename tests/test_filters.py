"""Filters of the templates: thread, counts, and texts inside a style sheet."""

from __future__ import annotations

import tinycss2
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.i18n.figures import cm, fixed, inches, share, thread_length, whole
from linenleaf.templates.environment import css_text


def test_lengths_in_both_systems():
    """80 x 220 crosses on 32 count over two are 5 x 13 3/4 in (common practice, checks/README)."""
    assert inches(80 * 2 / 32 * 25.4) == "5"
    assert inches(220 * 2 / 32 * 25.4) == "13¾"
    assert cm(127) == "12.7"
    assert cm(50) == "5"
    assert inches(0.5 * 25.4) == "½"
    assert inches(0) == "0"


def test_an_inch_is_rounded_to_the_nearest_eighth():
    assert [inches(eighth * 25.4 / 8) for eighth in range(9)] == [
        "0", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞", "1",
    ]  # fmt: skip
    assert inches(25.4 * 7.96) == "8"


def test_thread_in_the_unit_that_reads_best():
    assert thread_length(0.083) == "8\u00a0cm"
    assert thread_length(0.0001) == "1\u00a0cm"
    assert thread_length(0.999) == "1.0\u00a0m"
    assert thread_length(3.14) == "3.1\u00a0m"
    assert thread_length(1234.4) == "1,234\u00a0m"


def test_shares_and_counts():
    assert share(0.0004) == "0.01"
    assert share(1.234) == "1.23"
    assert whole(12345) == "12,345"
    assert fixed(1.8, 1) == "1.8"


@given(st.text(max_size=40))
def test_any_text_stands_in_a_css_string_and_nowhere_else(text):
    """Read back with tinycss2. CSS has no U+0000 and no lone surrogates: they become U+FFFD."""
    (token,) = tinycss2.parse_component_value_list(f'"{css_text(text)}"')
    assert token.type == "string"
    readable = "".join(
        "\ufffd" if char == "\0" or 0xD800 <= ord(char) <= 0xDFFF else char for char in text
    )
    assert token.value == readable
