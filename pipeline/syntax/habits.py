"""Mistakes that people often make, and what to say of each."""

from __future__ import annotations

import re
from collections.abc import Callable

from ..core.diagnostics import Diagnostic, finding
from ..core.source import Source
from .cutting import Chunk, stated
from .forms import NAMES, phrases, short, terminal
from .nodes import NoteLine
from .statements import HEADS, Body, example_of
from .strangers import (
    POINT,
    Stuck,
    another_word,
    odd_blank,
    placed_without_at,
    row_without_bars,
)

_STRING = re.compile(r'"(?:[^"\\\n]|\\["\\])*"')
_BAD_ESCAPE = re.compile(r'"(?:[^"\\\n]|\\["\\])*(\\.?)')
_NUMBER_LIKE = re.compile(r"[-+]?[0-9][0-9.,eE+\-]*")
_POINT_LIKE = re.compile(r"-?[0-9.]+(?:[ \t]*[,;:x/][ \t]*|[ \t]+)-?[0-9.]+")
_FIRST = re.compile(r"[a-z-]+")
_DATE_LIKE = re.compile(
    r'"?[0-9]+[.\/ -]+\w+[.,\/ -]+[0-9]{2,4}"?|[^\W\d]{3,9}\.?[ \t]+[0-9]+,?[ \t]+[0-9]{4}'
)
_BARE_COLOUR = re.compile(r"[0-9A-Fa-f]{6}(?!\w)")
_COMMAS = 40  # characters before a comma in which a position with decimal commas may begin
_STOCK = re.compile(r"use[ \t]+stock(?![\w.\/-])")
_FIGURES = {"one": "1", "two": "2", "three": "3", "four": "4"}


def _open_text(stuck: Stuck) -> Diagnostic | None:
    if stuck.met[0] in "\"'″”" and {terminal("in"), terminal("cm")} <= stuck.wanted:
        return finding(
            "wrong-word",
            f"{stuck.shown} is where {phrases(stuck.wanted)} should be.",
            stuck.span,
            "inches are written so: `3 in`",
        )
    if stuck.met[0] == '"' and not stuck.match(_STRING):
        return _bad_text(stuck.source, stuck.at, stuck.chunk)
    return None


def _bad_colour(stuck: Stuck) -> Diagnostic | None:
    before = stuck.source.text[stuck.chunk.start : stuck.at].split()[-1:]
    code = before[0] if "CODE" in stuck.wanted and before else stuck.met
    if {"COLOUR", "CODE"} & stuck.wanted and _BARE_COLOUR.fullmatch(code):
        at = stuck.source.text.rfind(code, stuck.chunk.start, stuck.at + len(code))
        return finding(
            "bad-colour",
            f"`{code}` is not a colour.",
            stuck.source.span(at, at + len(code)),
            f"a colour begins with `#`: write `#{code}`",
        )
    if "COLOUR" not in stuck.wanted or not stuck.met.startswith("#"):
        return None
    return finding(
        "bad-colour",
        f"{stuck.shown} is not a colour.",
        stuck.span,
        "a colour is `#` and six characters from 0-9 and a-f: `#e9dfcb`",
    )


def _bad_row(stuck: Stuck) -> Diagnostic | None:
    if "ROW" in stuck.wanted and stuck.met[0] == "|":
        return row_fault(stuck.source, stuck.at, stuck.chunk.end)
    return None


def _wrong_quotes(stuck: Stuck) -> Diagnostic | None:
    if stuck.met[0] not in "“”‘’„«'" or stuck.at == stuck.chunk.start:
        return None
    return finding(
        "wrong-quotes",
        "A text is written in straight double quotes.",
        stuck.source.span(stuck.at, stuck.at + 1),
        'type `"` before and after the text; a word processor may have changed them',
    )


def _bad_symbol(stuck: Stuck) -> Diagnostic | None:
    if "SYMBOL" not in stuck.wanted or stuck.at != stuck.chunk.start:
        return None
    first = stuck.met[0]
    if first in '.|#"':
        return finding(
            "bad-symbol",
            f"`{first}` cannot be a symbol.",
            stuck.source.span(stuck.at, stuck.at + 1),
            '`.` is bare fabric, and `|`, `#` and `"` have other uses; choose another character',
        )
    return finding(
        "bad-symbol",
        f"{stuck.shown} can be neither a symbol nor a word of the key.",
        stuck.span,
        "a symbol for crosses is one character with a blank after it",
        "a word for lines, knots and beads has two or more characters and begins with a letter",
    )


def _bad_date(stuck: Stuck) -> Diagnostic | None:
    first = _FIRST.match(stuck.source.text, stuck.chunk.start, stuck.chunk.end)
    if first is None or first[0] not in ("edition", "revision"):
        return None
    line = stuck.source.text[stuck.chunk.start : stuck.chunk.end]
    text = _STRING.search(line)
    like = _DATE_LIKE.search(line, text.end()) if text else None
    if like is None or not like.start() <= stuck.at - stuck.chunk.start <= like.end() + 1:
        return None
    return finding(
        "bad-date",
        f"`{short(like[0])}` is not a date.",
        stuck.source.span(stuck.chunk.start + like.start(), stuck.chunk.start + like.end()),
        "a date is year, month, day: `2026-03-14`",
    )


def _bad_position(stuck: Stuck) -> Diagnostic | None:
    at = stuck.at
    if stuck.met == ",":  # perhaps the third comma of `0,5,1,5`
        before = stuck.source.text[max(stuck.chunk.start, at - _COMMAS) : at].rpartition(" ")[2]
        at -= len(before) if POINT.match(before) else 0
    elif "POINT" not in stuck.wanted or "NUMBER" in stuck.wanted:
        return None
    text, end = stuck.source.text, stuck.chunk.end
    dash = text[at] in "−–" and at + 1 < end and text[at + 1].isdigit()
    inside = text[at] == "("
    found = at + (inside or dash)
    like = _POINT_LIKE.match(text, found, end) or _NUMBER_LIKE.match(text, found, end)
    if not like or (stuck.met == "," and at == stuck.at):
        return None
    written = text[at : like.end()].rstrip()
    if at < stuck.at or inside:
        written = text[at:end].split(None, 1)[0]
    return finding(
        "bad-position",
        f"`{short(written)}` is not a position.",
        stuck.source.span(at, at + len(written)),
        *(["write a plain hyphen before a number below 0: `-2`"] if dash else []),
        "a position is columns, a comma, rows: `20,14`; fractions have a point: `40.5,80`",
    )


def _note_without_at(stuck: Stuck) -> Diagnostic | None:
    if HEADS[stuck.block].node is not NoteLine or stuck.wanted != {terminal("to")}:
        return None
    return finding(
        "missing-at",
        "A note at one place needs `at` before the position.",
        stuck.source.span(stuck.at, stuck.at),
        "write `note at 20,14`, or an area: `note 3,4 to 10,12`",
    )


def _bad_number(stuck: Stuck) -> Diagnostic | None:
    if "NUMBER" not in stuck.wanted:
        return None
    if stuck.met in _FIGURES:
        return finding(
            "bad-number",
            f"A number is written in figures, not in words: {stuck.shown}.",
            stuck.span,
            f"write `{_FIGURES[stuck.met]}`",
        )
    like = stuck.match(_NUMBER_LIKE)
    if not like:
        return None
    return finding(
        "bad-number",
        f"`{short(like[0])}` is not a number.",
        stuck.source.span(stuck.at, stuck.at + len(like[0])),
        "write figures, with a point before a fraction: `2.5`",
    )


def _bad_name(stuck: Stuck) -> Diagnostic | None:
    if not stuck.wanted or not stuck.wanted <= NAMES:
        return None
    return finding(
        "bad-name",
        f"{stuck.shown} cannot be a name; {phrases(stuck.wanted)} should be here.",
        stuck.span,
        "a name has two or more characters: a letter, then letters, figures, `-` or `_`",
    )


def _missing_quotes(stuck: Stuck) -> Diagnostic | None:
    if "STRING" not in stuck.wanted or not stuck.wanted <= {"STRING", "DATE"}:
        return None
    return finding(
        "missing-quotes",
        f'{stuck.shown} is where a text in "double quotes" should be.',
        stuck.span,
        *to_go_by(stuck.source, stuck.chunk, stuck.block),
    )


def _bad_size(stuck: Stuck) -> Diagnostic | None:
    if "X" not in stuck.wanted or (stuck.wanted != {"X"} and stuck.met not in ("by", "*", "X")):
        return None
    return finding(
        "bad-size",
        f"{stuck.shown} is where `x` should be.",
        stuck.span,
        "a size is width, `x`, height: `9 x 4`",
    )


def _stock_too_early(stuck: Stuck) -> Diagnostic | None:
    if _STOCK.match(stuck.source.text, stuck.chunk.start, stuck.at) and stated(stuck.source) < 2:
        return finding(
            "too-many-words",
            f"{stuck.shown} does not belong here.",
            stuck.span,
            "`use stock` needs `linen 2` on the first line",
        )
    return None


HABITS: tuple[Callable[[Stuck], Diagnostic | None], ...] = (
    _open_text,
    odd_blank,
    _bad_colour,
    _bad_row,
    row_without_bars,
    another_word,
    _wrong_quotes,
    _bad_symbol,
    _bad_date,
    _bad_position,
    _note_without_at,
    placed_without_at,
    _bad_size,
    _bad_number,
    _bad_name,
    _missing_quotes,
    _stock_too_early,
)


def to_go_by(source: Source, chunk: Chunk, block: str) -> list[str]:
    """Return as advice what a line looks like that begins as this one does."""
    first = _FIRST.match(source.text, chunk.start, chunk.end)
    if HEADS[block].lines is Body.KEY and "#" in source.text[chunk.start : chunk.end]:
        return ['a whole line looks like this: `m  #3f4a2c "wrack"`']
    whole = example_of(block, first[0] if first else "")
    if _STOCK.match(source.text, chunk.start, chunk.end):
        whole = "use stock letters-7 1"
    return [f"a whole line looks like this: `{whole}`"] if whole else []


def _bad_text(source: Source, at: int, chunk: Chunk) -> Diagnostic:
    match = _BAD_ESCAPE.match(source.text, at, chunk.end)
    if match and match[1]:
        return finding(
            "bad-escape",
            "In a text, a backslash comes only before a double quote or a backslash.",
            source.span(*match.span(1)),
            r"for a backslash itself write `\\`; between folders write `/`",
        )
    return finding(
        "unclosed-text",
        "This text has no closing double quote.",
        source.span(at, chunk.end),
        "a text ends on the line it begins on",
        r"a double quote inside a text is written `\"`",
    )


def row_fault(source: Source, start: int, end: int) -> Diagnostic:
    """Return the finding for a row that could not be read."""
    text = source.text
    close = text.find("|", start + 1, end)
    if close == -1:
        return finding(
            "unclosed-row",
            "This row has no closing bar.",
            source.span(start, end),
            "a row is written between two bars: `|..mm..|`",
        )
    after = close + 1
    while after < end and text[after] in " \t":
        after += 1
    if "|" in text[after:end]:
        return finding(
            "bar-in-row",
            "A bar inside a row: a row is written between two bars, one row a line.",
            source.span(close, close + 1),
            "`|` cannot be a symbol; choose another character for it",
        )
    return finding(
        "words-after-row",
        f"`{short(text[after:end])}` comes after the closing bar.",
        source.span(after, end),
        "write a remark for yourself after `#`",
    )
