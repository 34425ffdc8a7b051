"""What is wrong with a line that could not be read, in words of the trade."""

from __future__ import annotations

import re
from collections.abc import Collection
from functools import cache

from lark.exceptions import UnexpectedCharacters, UnexpectedInput, UnexpectedToken

from .cutting import Chunk
from .diagnostics import Diagnostic, Hint, error
from .grammar import chart_parser
from .source import Source
from .suggest import all_of, any_of, did_you_mean, listed, nearest

# What each terminal is called; words stand for themselves.
_PHRASES = {
    "STRING": 'a text in "double quotes"',
    "NUMBER": "a number",
    "POINT": "a position such as `20,14`",
    "DATE": "a date such as `2026-03-14`",
    "COLOUR": "a colour such as `#e9dfcb`",
    "PERCENT": "`%`",
    "_COMMA": "a comma",
    "_PLUS": "`+`",
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
    "KEY_WORD": "a word of the key",
    "STRANDS_UNIT": "`strand` or `strands`",
    "CORNER": "a corner (`top-left`, `top-right`, `bottom-left`, `bottom-right`)",
}
_CORNERS = ("top-left", "top-right", "bottom-left", "bottom-right")
_NAMES = frozenset(name for name in _PHRASES if name.endswith("_NAME")) | {
    "KEY_WORD",
    "FABRIC_KIND",
}
_FOUND = re.compile(r'"(?:[^"\\\n]|\\["\\])*"|[^\s,"]+|.')
_STRING = re.compile(r'"(?:[^"\\\n]|\\["\\])*"')
_BAD_ESCAPE = re.compile(r'"(?:[^"\\\n]|\\["\\])*(\\.?)')
_NUMBER_LIKE = re.compile(r"[-+]?[0-9][0-9.,eE+\-]*")
_POINT_LIKE = re.compile(r"-?[0-9.]+[ \t]*[,;:x/ \t][ \t]*-?[0-9.]+")
_FIGURES = {"one": "1", "two": "2", "three": "3", "four": "4"}
_MOST_LISTED = 8
_LONGEST_SHOWN = 40


@cache
def _keywords() -> dict[str, str]:
    """Return the word of each terminal that is a single fixed word."""
    words = {}
    for terminal in chart_parser().terminals:
        match = re.match(r"[a-z][a-z\-]*(?=\(\?!)", terminal.pattern.value)
        if match and terminal.name not in _PHRASES:
            words[terminal.name] = match[0]
    return words


def fault(
    source: Source, rule: str, block: str, chunk: Chunk, caught: UnexpectedInput
) -> Diagnostic:
    """Return the finding for a statement that could not be read.

    rule: the start rule it was read by. block: the top-level word it stands under.
    """
    wanted = _wanted(caught)
    at = _place_of(caught, chunk)
    text = source.text
    while at < chunk.end and text[at] in " \t":
        at += 1
    if at >= chunk.end or (text[at] == "#" and "COLOUR" not in wanted):
        return _stops_early(source, at, chunk, wanted)
    match = _FOUND.match(text, at, chunk.end)
    found = match[0] if match else text[at]
    special = _special(source, rule, at, chunk, found, wanted)
    if special is not None:
        return special
    span = source.span(at, at + len(found))
    shown = f"`{_short(found)}`"
    words = [_keywords()[name] for name in wanted if name in _keywords()]
    words += _CORNERS if "CORNER" in wanted else ()
    guess = did_you_mean(found, words)
    if at == chunk.start:
        hints = [guess] if guess else []
        return error(
            "unknown-word",
            f"{shown} begins no line of {_article(block)} block.",
            span,
            *hints,
            f"a line here begins with {_phrases(wanted, _MOST_LISTED * 3)}",
        )
    if guess:
        return error("misspelt-word", f"{shown} is not a word of this line.", span, guess)
    if "$END" in wanted:
        rest = wanted - {"$END"}
        hints = [f"here may follow: {_phrases(rest, _MOST_LISTED * 3)}"] if rest else []
        return error(
            "too-many-words",
            f"{shown} does not belong here.",
            span,
            *hints,
            "a remark for yourself stands after `#`",
        )
    return error("wrong-word", f"{shown} stands where {_phrases(wanted)} should stand.", span)


def _wanted(caught: UnexpectedInput) -> frozenset[str]:
    """Return the terminals with which the line could have gone on."""
    if isinstance(caught, UnexpectedToken | UnexpectedCharacters):
        parser = getattr(caught, "interactive_parser", None)
        if parser is not None:
            accepted = frozenset(parser.accepts())
            if accepted:
                return accepted
        allowed = caught.expected if isinstance(caught, UnexpectedToken) else caught.allowed
        return frozenset(allowed or ())
    return frozenset()


def _place_of(caught: UnexpectedInput, chunk: Chunk) -> int:
    if isinstance(caught, UnexpectedToken) and caught.token.type == "$END":
        # lark gives the start of the last token; the place meant is behind it.
        last = caught.interactive_parser.lexer_thread.state.last_token
        return chunk.start if last is None else int(last.end_pos)
    at = caught.pos_in_stream
    return chunk.start if at is None else int(at)


def _stops_early(source: Source, at: int, chunk: Chunk, wanted: frozenset[str]) -> Diagnostic:
    end = min(at, chunk.end)
    while end > chunk.start and source.text[end - 1] in " \t":
        end -= 1
    return error(
        "line-stops-early",
        f"The line stops too early: {_phrases(wanted)} should follow.",
        source.span(end, end),
    )


def _special(
    source: Source, rule: str, at: int, chunk: Chunk, found: str, wanted: frozenset[str]
) -> Diagnostic | None:
    """Return a finding for slips that people make often."""
    text = source.text
    span = source.span(at, at + len(found))
    if text[at] == '"' and not _STRING.match(text, at, chunk.end):
        return _bad_text(source, at, chunk)
    if "COLOUR" in wanted and found.startswith("#"):
        return error(
            "bad-colour",
            f"`{_short(found)}` is no colour.",
            span,
            "a colour is `#` and six of the signs 0-9 and a-f: `#e9dfcb`",
        )
    if "ROW" in wanted and text[at] == "|":
        return row_fault(source, at, chunk.end)
    if found.startswith(("“", "”", "‘", "’", "„", "«", "'")):
        return error(
            "wrong-quotes",
            "A text stands in straight double quotes.",
            source.span(at, at + 1),
            'type `"` before and after the text; a word processor may have changed them',
        )
    if rule in {"key_line", "colourway_line"} and at == chunk.start:
        return _bad_symbol(found, source, at)
    if "POINT" in wanted and "NUMBER" not in wanted:
        like = _POINT_LIKE.match(text, at, chunk.end) or _NUMBER_LIKE.match(text, at, chunk.end)
        if like:
            return error(
                "bad-position",
                f"`{_short(like[0].strip())}` is no position.",
                source.span(at, at + len(like[0].rstrip())),
                "a position is columns, a comma, rows: `20,14`; fractions have a point: `40.5,80`",
            )
    like = _NUMBER_LIKE.match(text, at, chunk.end)
    if "NUMBER" in wanted and like:
        return error(
            "bad-number",
            f"`{_short(like[0])}` is no number.",
            source.span(at, at + len(like[0])),
            "write figures, with a point before a fraction: `2.5`",
        )
    if "NUMBER" in wanted and found in _FIGURES:
        return error("bad-number", f"Write `{found}` in figures: `{_FIGURES[found]}`.", span)
    if wanted & _NAMES and wanted <= _NAMES:
        return error(
            "bad-name",
            f"`{_short(found)}` cannot be a name; {_phrases(wanted)} should stand here.",
            span,
            "a name has two or more characters: a letter, then letters, figures, `-` or `_`",
        )
    if wanted <= {"STRING", "DATE"} and "STRING" in wanted:
        return error(
            "missing-quotes",
            f'`{_short(found)}` stands where a text in "double quotes" should stand.',
            span,
        )
    return None


def _bad_text(source: Source, at: int, chunk: Chunk) -> Diagnostic:
    match = _BAD_ESCAPE.match(source.text, at, chunk.end)
    if match and match[1]:
        return error(
            "bad-escape",
            "A backslash in a text stands only before a double quote or a backslash.",
            source.span(*match.span(1)),
            r"for a backslash itself write `\\`; between folders write `/`",
        )
    return error(
        "unclosed-text",
        "This text has no closing double quote.",
        source.span(at, chunk.end),
        "a text ends on the line it begins on",
        r"a double quote inside a text is written `\"`",
    )


def _bad_symbol(found: str, source: Source, at: int) -> Diagnostic:
    if found[0] in '.|#"':
        return error(
            "bad-symbol",
            f"`{found[0]}` cannot be a symbol.",
            source.span(at, at + 1),
            '`.` is bare fabric, and `|`, `#` and `"` have other work; choose another character',
        )
    return error(
        "bad-symbol",
        f"`{_short(found)}` can be neither a symbol nor a word of the key.",
        source.span(at, at + len(found)),
        "a symbol for crosses is one character with a blank behind it",
        "a word for lines, knots and beads has two or more characters and begins with a letter",
    )


def row_fault(source: Source, start: int, end: int) -> Diagnostic:
    """Return the finding for a row that could not be read."""
    text = source.text
    close = text.find("|", start + 1, end)
    if close == -1:
        return error(
            "unclosed-row",
            "This row has no closing bar.",
            source.span(start, end),
            "a row stands between two bars: `|..mm..|`",
        )
    after = close + 1
    while after < end and text[after] in " \t":
        after += 1
    if "|" in text[after:end]:
        return error(
            "bar-in-row",
            "A bar inside a row: a row stands between two bars, one row a line.",
            source.span(close, close + 1),
            "`|` cannot be a symbol; choose another character for it",
        )
    return error(
        "words-after-row",
        f"`{_short(text[after:end])}` stands behind the closing bar.",
        source.span(after, end),
        "a remark for yourself stands after `#`",
    )


def stray_rows(source: Source, chunk: Chunk, block: str) -> Diagnostic:
    """Return the finding for rows outside a block that takes rows."""
    span = source.span(*chunk.lines[0])
    if block in {"key", "colourway"}:
        return error(
            "bad-symbol",
            "`|` cannot be a symbol: it stands at the ends of rows.",
            source.span(span.start, span.start + 1),
            "choose another character",
        )
    where = f"{_article(block)} block" if block else "the beginning of the file"
    return error(
        "stray-row",
        f"A row cannot stand in {where}.",
        span,
        "rows belong below `motif`, `alphabet` or `chart`",
    )


def stray_line(
    source: Source, chunk: Chunk, word: str, block: str, top_words: Collection[str]
) -> Diagnostic:
    """Return the finding for a line that belongs to no block."""
    match = _FOUND.match(source.text, chunk.start, chunk.end)
    found = word or (match[0] if match else "")
    span = source.span(chunk.start, chunk.start + len(found))
    guesses = nearest(word, top_words)
    hints: list[str | Hint] = [f"did you mean {any_of(guesses)}?"] if guesses else []
    if block:
        return error(
            "stray-line",
            f"`{_short(found)}` belongs to no block: `{block}` is complete in one line.",
            span,
            *hints,
            "move this line up into its block, above the notes and revisions",
        )
    return error(
        "unknown-word",
        f"`{_short(found)}` begins no block.",
        span,
        *hints,
        f"a block begins with {any_of(top_words)}",
    )


def unknown_top_word(source: Source, chunk: Chunk, word: str, meant: str) -> Diagnostic:
    """Return the finding for a top-level word with a slip in it."""
    return error(
        "unknown-word",
        f"There is no `{_short(word)}`; `{meant}` seems to be meant.",
        source.span(chunk.start, chunk.start + len(word)),
        f"write `{meant}`",
    )


def _phrases(wanted: Collection[str], most: int = _MOST_LISTED) -> str:
    """Return the terminals wanted as part of a sentence."""
    phrases = sorted({_PHRASES[name] for name in wanted if name in _PHRASES})
    words = sorted(
        f"`{_keywords()[name]}`" for name in wanted if name in _keywords() and name != "$END"
    )
    both = phrases + words
    if not both:
        return "nothing more"
    if len(both) > most:
        return "something else"
    return listed(both, "or")


def _article(block: str) -> str:
    return f"{'an' if block[:1] in set('aeiou') else 'a'} `{block}`"


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST_SHOWN else text[: _LONGEST_SHOWN - 1] + "…"


__all__ = [
    "all_of",
    "fault",
    "row_fault",
    "stray_line",
    "stray_rows",
    "unknown_top_word",
]
