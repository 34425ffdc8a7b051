"""What the pieces of a line are called when one is missing or wrong."""

from __future__ import annotations

from collections.abc import Collection

from ..core.suggest import listed
from .forms import word_of

# What each terminal is called; words stand for themselves.
PHRASES = {
    "STRING": 'a text in "double quotes"',
    "NUMBER": "a number",
    "POINT": "a position such as `20,14`",
    "DATE": "a date such as `2026-03-14`",
    "COLOUR": "a colour such as `#e9dfcb`",
    "PERCENT": "`%`",
    "COMMA": "a comma",
    "PLUS": "`+`",
    "X": "`x`",
    "ROW": "a row between bars, `|..m..|`",
    "SYMBOL": "a symbol (one character)",
    "LETTER": "a letter before its first row, `A |..m..|`",
    "CODE": "a thread code",
    "LANGUAGE_TAG": "a language such as `en-GB`",
    "FILE": "a file name",
    "MOTIF_NAME": "a motif's name",
    "ALPHABET_NAME": "an alphabet's name",
    "RANGE_NAME": "a thread range",
    "COLOURWAY_NAME": "a name for the colourway",
    "CHANGEABLE_NAME": "a name, such as `initials`",
    "PRINTED_NAME": "the name of a printed symbol",
    "FABRIC_KIND": "a kind of fabric such as `linen`",
    "KEY_NAME": "a word of the key",
    "STRANDS_UNIT": "`strand` or `strands`",
    "CORNER": "a corner such as `top-left`",
}
CORNERS = ("top-left", "top-right", "bottom-left", "bottom-right")
NAMES = frozenset(name for name in PHRASES if name.endswith("_NAME")) | {"FABRIC_KIND"}
MOST_LISTED = 8
LONGEST_SHOWN = 40


def phrases(wanted: Collection[str], most: int = MOST_LISTED) -> str:
    """Return the terminals wanted as part of a sentence."""
    things = sorted({PHRASES[name] for name in wanted if name in PHRASES})
    words = sorted(f"`{word}`" for word in map(word_of, wanted) if word)
    both = things + words
    if not both:
        return "nothing more"
    if len(both) > most:
        return "something else"
    return listed(both, "or")


def article(block: str) -> str:
    """Return a block by its word: a `key`, an `alphabet`."""
    return f"{'an' if block[:1] in set('aeiou') else 'a'} `{block}`"


def short(text: str) -> str:
    """Return a text, cut off where it is too long to be shown."""
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"
