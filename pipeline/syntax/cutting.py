"""Cutting a text into the pieces that are read one by one, of which the first is the version."""

from __future__ import annotations

import re
from dataclasses import dataclass

from ..core.diagnostics import Diagnostic, finding
from ..core.source import Source, Span
from .nodes import Comment

NOTATION = 2  # the newest version of the notation that is understood

_NUMBER = re.compile(r"[ \t]+((-?[0-9]{1,9})[0-9.]*)")
_FIRST_LINE = re.compile(r"(?:[ \t]*(?:#[^\n]*)?\n)*[ \t]*linen[ \t]+([1-9][0-9]?)(?![0-9.])")


def stated(source: Source) -> int:
    """Return the version of the notation in which a source is read.

    It is the newest that is understood, where the source states none or one that is not known.
    """
    match = _FIRST_LINE.match(source.text)
    return min(int(match[1]), NOTATION) if match else NOTATION


def version_finding(source: Source, start: int, end: int) -> Diagnostic | None:
    """Return what is wrong with the version stated between two offsets, behind `linen`.

    A version that is missing or no number is left to the grammar.
    """
    match = _NUMBER.match(source.text, start, end)
    if match is None or match[1] in map(str, range(1, NOTATION + 1)):
        return None
    place = source.span(*match.span(1))
    if int(match[2]) > NOTATION:
        return finding(
            "newer-notation",
            f"This chart is written in version {match[1][:12]} of the notation; "
            f"this linenleaf reads up to version {NOTATION}.",
            place,
            "a newer linenleaf is needed: update yours",
        )
    return finding(
        "unknown-version",
        f"There is no version {match[1][:12]} of the notation.",
        place,
        f"write `linen {NOTATION}`",
    )


def missing_version(source: Source, chunk: Chunk) -> Diagnostic:
    """Return the finding for a file that does not begin with its version."""
    return finding(
        "missing-version",
        "The first line must give the version of the notation.",
        source.span(chunk.start, min(chunk.end, chunk.start + 40)),
        f"a chart begins with the line `linen {NOTATION}`",
    )


_LINE = re.compile(r"[^ \t\n][^\n]*")  # what a line says, from its first visible character
_TRAILING = re.compile(r"\|[^|\n]*\|[ \t]*(#[^\n]*)")


@dataclass(frozen=True, slots=True)
class Chunk:
    """One statement line, or a run of row lines with at most comments and blanks between.

    start, end: offsets of the first visible character and of the end of the last line.
    lines: for a run of rows, the offsets of each row line.
    """

    rows: bool
    start: int
    end: int
    lines: tuple[tuple[int, int], ...] = ()


MOST_LINES = 60_000  # of one file, blank lines apart
MOST_WORDS = 1_000_000  # of all files of a chart

_TEXT = re.compile(r'"(?:[^"\\\n]|\\.)*"?')
_WORD = re.compile(r"[^\s,]+")


@dataclass(frozen=True, slots=True)
class Bulk:
    """How much there is to read: lines, blank ones apart, and words on those that are no rows.

    Texts in quotation marks and remarks on lines of their own have no words here: they cost little.
    """

    lines: int = 0
    words: int = 0

    def __add__(self, other: Bulk) -> Bulk:
        return Bulk(self.lines + other.lines, self.words + other.words)


def bulk(source: Source) -> Bulk:
    """Return how much there is to read in a text."""
    lines = words = 0
    for match in _LINE.finditer(source.text):
        lines += 1
        if source.text[match.start()] not in "#|":
            words += len(_WORD.findall(_TEXT.sub(" ", match[0])))
    return Bulk(lines, words)


def cut(source: Source) -> tuple[list[Chunk], list[Comment], Span | None]:
    """Return the chunks of a text in order, and the comments that stand on lines of their own.

    The place is that of the first line too many, where there are more than MOST_LINES.
    """
    chunks: list[Chunk] = []
    comments: list[Comment] = []
    run: list[tuple[int, int]] = []
    text = source.text

    def end_run() -> None:
        if run:
            chunks.append(Chunk(True, run[0][0], run[-1][1], tuple(run)))
            run.clear()

    for number, match in enumerate(_LINE.finditer(text)):
        start, end = match.span()
        if number == MOST_LINES:
            return chunks, comments, Span(source, start, end)
        first = text[start]
        if first == "#":
            comments.append(Comment(text[start:end], True, span=Span(source, start, end)))
        elif first == "|":
            run.append((start, end))
        else:
            end_run()
            chunks.append(Chunk(False, start, end))
    end_run()
    return chunks, comments, None


def comments_after_rows(source: Source, chunk: Chunk) -> list[Comment]:
    """Return the comments behind the closing bars of a run of rows."""
    text = source.text
    if text.find("#", chunk.start, chunk.end) == -1:
        return []
    comments = []
    for start, end in chunk.lines:
        match = _TRAILING.match(text, start, end)
        if match:
            comments.append(Comment(match[1], False, span=Span(source, match.start(1), end)))
    return comments


def comment_after(source: Source, start: int, end: int) -> list[Comment]:
    """Return the comment between the last word of a statement and the end of its line."""
    at = source.text.find("#", start, end)
    if at == -1:
        return []
    return [Comment(source.text[at:end], False, span=Span(source, at, end))]
