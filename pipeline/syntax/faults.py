"""What is wrong with a line that could not be read, in words of the trade."""

from __future__ import annotations

import re
from collections.abc import Collection

from lark.exceptions import UnexpectedCharacters, UnexpectedInput, UnexpectedToken

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.source import Source
from ..core.suggest import any_of, did_you_mean, nearest
from .cutting import Chunk
from .forms import CORNERS, MOST_LISTED, article, phrases, short, word_of
from .habits import HABITS, to_go_by
from .strangers import MARKS, Stuck

_MET = re.compile(r'"(?:[^"\\\n]|\\["\\])*"|[^\s,"]+|.')

_BEFORE_BLOCKS = ("linen", "use")

_QUOTED = re.compile(r'"([^\s"\\]+)"')


def fault(source: Source, block: str, chunk: Chunk, caught: UnexpectedInput) -> Diagnostic:
    """Return the finding for a statement that could not be read.

    block: the top-level word it stands under, or begins with.
    """
    wanted = _wanted(caught)
    at = _place_of(caught, chunk)
    text = source.text
    while at < chunk.end and text[at] in " \t":
        at += 1
    if at >= chunk.end or (text[at] == "#" and "COLOUR" not in wanted):
        return _stops_early(source, at, chunk, wanted, block)
    match = _MET.match(text, at, chunk.end)
    stuck = Stuck(source, chunk, at, match[0] if match else text[at], wanted, block)
    for habit in HABITS:
        finding = habit(stuck)
        if finding is not None:
            return finding
    return _general(stuck, block)


def _general(stuck: Stuck, block: str) -> Diagnostic:
    wanted = stuck.wanted
    words = [word for word in map(word_of, sorted(wanted)) if word]
    words += CORNERS if "CORNER" in wanted else ()
    guess = did_you_mean(stuck.met, words)
    if stuck.at == stuck.chunk.start:
        hints = [guess] if guess else []
        return finding(
            "unknown-word",
            f"{stuck.shown} cannot begin a line of {article(block)} block.",
            stuck.span,
            *hints,
            f"a line here begins with {phrases(wanted, MOST_LISTED * 3)}",
        )
    if guess:
        return finding(
            "misspelt-word", f"{stuck.shown} is not a word of this line.", stuck.span, guess
        )
    bare = _QUOTED.fullmatch(stuck.met)
    unquoted = [f"write it without quotation marks: `{short(bare[1])}`"] if bare else []
    if "$END" in wanted:
        rest = wanted - {"$END"}
        hints = to_go_by(stuck.source, stuck.chunk, block) if len(rest) > MOST_LISTED * 3 else []
        if rest and not hints:
            hints = [f"what can follow here: {phrases(rest, MOST_LISTED * 3)}"]
        return finding(
            "too-many-words",
            f"{stuck.shown} does not belong here.",
            stuck.span,
            *(unquoted if rest else ()),
            *hints,
            "write a remark for yourself after `#`",
        )
    return finding(
        "wrong-word",
        f"{stuck.shown} is where {phrases(wanted)} should be.",
        stuck.span,
        *unquoted,
        *to_go_by(stuck.source, stuck.chunk, block),
    )


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
    # Offsets count from the start of the statement, which was parsed as a text of its own.
    at = caught.pos_in_stream
    if isinstance(caught, UnexpectedToken) and caught.token.type == "$END":
        # lark gives the start of the last token; the place meant is behind it.
        state = caught.interactive_parser.lexer_thread.state
        last = state.last_token if state is not None else None
        at = last.end_pos if last is not None else None
    return chunk.start + (at or 0)


def _stops_early(
    source: Source, at: int, chunk: Chunk, wanted: frozenset[str], block: str
) -> Diagnostic:
    end = min(at, chunk.end)
    while end > chunk.start and source.text[end - 1] in " \t":
        end -= 1
    return finding(
        "line-stops-early",
        f"The line stops too early: {phrases(wanted)} should follow.",
        source.span(end, end),
        *to_go_by(source, chunk, block),
    )


def stray_rows(source: Source, chunk: Chunk, block: str) -> Diagnostic:
    """Return the finding for rows outside a block that takes rows."""
    span = source.span(*chunk.lines[0])
    if block in {"key", "colourway"} and not _is_row(source, *chunk.lines[0]):
        return finding(
            "bad-symbol",
            "`|` cannot be a symbol: it marks the ends of rows.",
            source.span(span.start, span.start + 1),
            "choose another character",
        )
    where = f"below `{block}`" if block else "at the beginning of the file"
    return finding(
        "stray-row",
        f"A row cannot come {where}.",
        span,
        "rows belong below `motif`, `alphabet` or `chart`",
    )


def _is_row(source: Source, start: int, end: int) -> bool:
    return source.text.find("|", start + 1, end) != -1


def stray_line(
    source: Source, chunk: Chunk, word: str, block: str, top_words: Collection[str]
) -> Diagnostic:
    """Return the finding for a line that belongs to no block."""
    match = _MET.match(source.text, chunk.start, chunk.end)
    first = word or (match[0] if match else "")
    span = source.span(chunk.start, chunk.start + len(first))
    mark = next((mark for mark in MARKS if first.startswith(mark)), "")
    if mark:
        return finding("stray-line", f"`{mark}` cannot begin a line.", span, MARKS[mark])
    guesses = nearest(word, top_words)
    hints: list[str | Hint] = [f"did you mean {any_of(guesses)}?"] if guesses else []
    if block and block not in _BEFORE_BLOCKS:
        return finding(
            "stray-line",
            f"`{short(first)}` belongs to no block: `{block}` is complete in one line.",
            span,
            *hints,
            "move this line up into its block, above the notes and revisions",
        )
    return finding(
        "unknown-word",
        f"`{short(first)}` cannot begin a block.",
        span,
        *hints,
        f"a block begins with {any_of(top_words)}",
    )


def unknown_block(source: Source, chunk: Chunk, word: str) -> Diagnostic:
    """Return the finding for a line with a size and rows below it, but an unknown first word."""
    return finding(
        "unknown-word",
        f"`{short(word)}` cannot begin a block.",
        source.span(chunk.start, chunk.start + len(word)),
        "rows go below `motif boat 9 x 4`, `alphabet marking height 7` or `chart 60 x 40`",
    )


def unknown_top_word(source: Source, chunk: Chunk, word: str, meant: str) -> Diagnostic:
    """Return the finding for a top-level word with a slip in it."""
    return finding(
        "unknown-word",
        f"There is no `{short(word)}`; `{meant}` seems to be meant.",
        source.span(chunk.start, chunk.start + len(word)),
        f"write `{meant}`",
    )
