"""Characters that cannot be seen: the table against Unicode's, and what a text may hold."""

from __future__ import annotations

import pytest
import regex
from linenleaf.core.characters import (
    HIDDEN,
    escaped,
    hidden_in_name,
    hidden_in_text,
    is_hidden,
    is_visible,
)

# The properties as the `regex` package has them, from the Unicode Character Database 17.0.
PUBLISHED = regex.compile(
    r"[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}\p{Default_Ignorable_Code_Point}\p{Bidi_Control}"
    r"\p{Noncharacter_Code_Point}\N{BRAILLE PATTERN BLANK}]"
)
EVERY = "".join(map(chr, range(0x110000)))


def test_the_table_is_that_of_unicode():
    assert HIDDEN.findall(EVERY) == PUBLISHED.findall(EVERY)


def test_names_hold_no_blank_but_the_space_either():
    forbidden = [each for each in EVERY if hidden_in_name(f"ab{each}c")]
    assert forbidden == regex.findall(rf"{PUBLISHED.pattern}|[^\P{{Zs}} ]", EVERY)


@pytest.mark.parametrize("filler", "\u115f\u1160\u3164\uffa0\u2800\u00a0 \u0301")
def test_blank_letters_and_signs_are_no_symbols(filler):
    """The Hangul fillers are letters by category, the Braille blank a symbol; both are bare."""
    assert not is_visible(filler)


@pytest.mark.parametrize("sign", "mé×漢☂1")
def test_letters_figures_and_signs_are_symbols(sign):
    assert is_visible(sign)


@pytest.mark.parametrize(
    "text",
    [
        "plain\ttext\n",
        "Kreuz\u00adstich",
        "م\u06cc\u200cخواهم",  # Persian: the prefix does not join
        "क्\u200dष",  # Devanagari: half form after the virama
        "शरद्\u200cऋतु",
        "ශ්\u200dරී",  # Sinhala
        "❤\ufe0f",
        "👩🏽\u200d🎨",
        "葛\U000e0100",
        "ᠠ\u180b",
        "mille\u00a0points\u202f!",
    ],
)
def test_what_scripts_need_stands_in_texts(text):
    assert not list(hidden_in_text(text))


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("m\u200dadder", 1),
        ("m\u200cadder", 1),
        ("\u200dم", 0),
        ("reed\u00ad", 4),
        ("\u00adreed", 0),
        ("a\ufe0f", 1),
        ("ab\u034f", 2),
        ("ab\u180b", 2),
        ("☂☂\u200da", 2),
        ("\ufeffreed", 0),
        ("re\u200bed", 2),
        ("re\u2060ed", 2),
        ("re\u200fed", 2),
        ("re\u3164ed", 2),
        ("re\u2800ed", 2),
        ("re\ufffeed", 2),
        ("e\u0301\u0301\u200d", 3),
    ],
)
def test_anything_else_does_not(text, at):
    assert list(hidden_in_text(text)) == [at]


def test_what_is_escaped_holds_nothing_hidden():
    assert escaped("a\x1b[31m\u202eb\n\udcff") == "a<U+001B>[31m<U+202E>b<U+000A><U+DCFF>"
    assert escaped("two\nlines\r", keep="\n") == "two\nlines<U+000D>"
    assert not any(map(is_hidden, escaped(EVERY)))
