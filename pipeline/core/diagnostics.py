"""Findings: the one type in which every stage says what is wrong, and how it is shown.

A stage never throws for what the user wrote; it returns a value and diagnostics. An exception
means a fault of ours. Which findings there are stands in `findings`.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .characters import HIDDEN, escaped
from .findings import REGISTRY, Level
from .source import Span


@dataclass(frozen=True)
class Hint:
    """What to do about a finding, or a second place that belongs to it."""

    message: str
    span: Span | None = None


@dataclass(frozen=True)
class Diagnostic:
    """One finding.

    name: short, stable, lower case with hyphens, such as `ragged-row`.
    message: one plain sentence.
    span: the place; None only when there is no file to point into.
    hints: what to do, and other places ("first given here").
    """

    name: str
    level: Level
    message: str
    span: Span | None
    hints: tuple[Hint, ...] = ()


Diagnostics = tuple[Diagnostic, ...]


@dataclass(frozen=True)
class Silenced:
    """A finding that a remark in the source keeps quiet, the reason given, and its place."""

    finding: Diagnostic
    reason: str
    remark: Span


def finding(name: str, message: str, span: Span | None, *hints: Hint | str) -> Diagnostic:
    """Return a finding of that name, as grave as `findings` says.

    Raises:
        KeyError: for a name that is not registered there; a fault of ours.
    """
    return Diagnostic(name, REGISTRY[name].level, message, span, _hints(hints))


def _hints(hints: Sequence[Hint | str]) -> tuple[Hint, ...]:
    return tuple(Hint(each) if isinstance(each, str) else each for each in hints)


def has_errors(diagnostics: Iterable[Diagnostic]) -> bool:
    """Tell whether any finding stops a build."""
    return any(each.level is Level.ERROR for each in diagnostics)


def in_order(diagnostics: Iterable[Diagnostic]) -> Diagnostics:
    """Sort findings by file and place and drop those said twice of one place."""
    unique = {(each.name, each.message, _place(each.span)): each for each in diagnostics}
    return tuple(sorted(unique.values(), key=lambda each: (_place(each.span), each.level)))


def _place(span: Span | None) -> tuple[str, int, int]:
    return ("", 0, 0) if span is None else (span.path, span.start, span.end)


WIDEST_LINE = 100  # columns of source shown; a longer line is cut around the caret


def render(diagnostic: Diagnostic) -> str:
    """Return a finding as text: place, sentence, the line, a caret, and what to do."""
    head = f"{diagnostic.level.word}: {escaped(diagnostic.message)} [{diagnostic.name}]"
    if diagnostic.span is None:
        lines = [head]
    else:
        span = diagnostic.span
        lines = [f"{_shown(span)}: {head}", *_excerpt(span)]
    for each in diagnostic.hints:
        if each.span is None:
            lines.append(f"  = {escaped(each.message)}")
        else:
            lines.append(f"  = {_shown(each.span)}: {escaped(each.message)}")
            lines.extend(_excerpt(each.span))
    return "\n".join(lines)


def _shown(span: Span) -> str:
    return f"{escaped(span.path)}:{span.line}:{span.column}"


@dataclass(frozen=True)
class Excerpt:
    """The line of a place as it is shown: what stands before the place, in it and after it."""

    line: int
    before: str
    marked: str
    after: str


def excerpt(span: Span) -> Excerpt:
    """Return the first line of a place, cut around it where it is long."""
    line, column = span.source.position(span.start)
    text = span.source.line_text(line)
    start = min(column - 1, len(text))
    length = max(1, min(span.length, len(text) - start))
    cut = max(0, start - WIDEST_LINE * 2 // 3) if len(text) > WIDEST_LINE else 0
    shown = text[cut : cut + WIDEST_LINE]
    length = min(length, max(1, WIDEST_LINE - (start - cut)))
    return Excerpt(
        line,
        ("…" if cut else "") + _printable(shown[: start - cut]),
        _printable(shown[start - cut : start - cut + length]),
        _printable(shown[start - cut + length :]) + ("…" if cut + WIDEST_LINE < len(text) else ""),
    )


def _excerpt(span: Span) -> list[str]:
    shown = excerpt(span)
    number = str(shown.line)
    mark = "^" * max(1, screen_width(shown.marked))
    return [
        f"  {number} | {shown.before}{shown.marked}{shown.after}",
        f"  {' ' * len(number)} | {' ' * screen_width(shown.before)}{mark}",
    ]


def _printable(text: str) -> str:
    # A stranger's file must not steer the terminal: what cannot be seen is shown as one visible
    # sign each, so that the caret still stands under the right place.
    return HIDDEN.sub("\N{REPLACEMENT CHARACTER}", text.replace("\t", " "))


def screen_width(text: str) -> int:
    """Return how many columns a text takes where every character has the same width."""
    if text.isascii():
        return len(text)
    return sum(
        0
        if unicodedata.combining(char)
        else 2
        if unicodedata.east_asian_width(char) in {"W", "F"}
        else 1
        for char in text
    )


def summary(diagnostics: Iterable[Diagnostic]) -> str:
    """Return the closing count, such as `1 error, 2 warnings`."""
    counts = dict.fromkeys(Level, 0)
    for each in diagnostics:
        counts[each.level] += 1
    words = [
        f"{number} {level.word}{'' if number == 1 else 's'}"
        for level, number in counts.items()
        if number
    ]
    return ", ".join(words) if words else "no findings"


def as_json(diagnostics: Iterable[Diagnostic]) -> list[dict[str, object]]:
    """Return findings as plain data: names, levels, sentences and places (counted from 1)."""
    return [
        {
            "name": each.name,
            "level": each.level.word,
            "message": each.message,
            "place": _plain_place(each.span),
            "hints": [
                {"message": more.message, "place": _plain_place(more.span)} for more in each.hints
            ],
        }
        for each in diagnostics
    ]


def _plain_place(span: Span | None) -> dict[str, object] | None:
    if span is None:
        return None
    return {"file": span.path, "line": span.line, "column": span.column, "length": span.length}
