"""The state of the watch as the words and lists that the page's template prints."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePath

from ..core.diagnostics import Diagnostic, Excerpt, Hint, excerpt, summary
from ..core.findings import Level
from ..core.source import Span
from .board import Phase, State

MOST_SHOWN = 200  # findings on the page; all stand in the terminal

_HEADINGS = {Level.ERROR: "Errors", Level.WARNING: "Warnings", Level.HINT: "Hints"}


@dataclass(frozen=True)
class ShownPlace:
    """A place: `chart.linen:12:4`, and the line there."""

    words: str
    excerpt: Excerpt


@dataclass(frozen=True)
class ShownHint:
    """What to do, or a second place; message as in a finding."""

    message: tuple[str, ...]
    place: ShownPlace | None


@dataclass(frozen=True)
class ShownFinding:
    """One finding. message: plain words and words of the source by turns, plain first."""

    name: str
    message: tuple[str, ...]
    place: ShownPlace | None
    hints: tuple[ShownHint, ...]


@dataclass(frozen=True)
class Group:
    """The findings of one level."""

    level: str
    heading: str
    findings: tuple[ShownFinding, ...]


@dataclass(frozen=True)
class View:
    """Everything that the template prints.

    mood: `waiting`, `well`, `remarks` or `broken`. verdict: the mood in words. picture: the number
    of the picture, 0 for none. drawing: whether a newer picture is on its way. old: when the
    picture was drawn, where the chart has errors now. more: findings that are not shown.
    """

    file: str
    title: str
    size: str
    mood: str
    verdict: str
    at: str
    picture: int
    drawing: bool
    old: str
    groups: tuple[Group, ...]
    more: int
    booklet: str
    phase: str
    has_booklet: bool


def view(state: State) -> View:
    """Return what the page says of a state."""
    shown = sorted(state.findings, key=lambda each: each.level)[:MOST_SHOWN]
    groups = [(level, [each for each in shown if each.level is level]) for level in Level]
    return View(
        file=PurePath(state.chart).name,
        title=state.title or PurePath(state.chart).stem,
        size=f"{state.columns:,} × {state.rows:,} crosses" if state.columns else "",
        mood=_mood(state),
        verdict=_verdict(state),
        at=state.at,
        picture=state.picture.number if state.picture else 0,
        drawing=state.sound and (state.picture is None or state.picture.number != state.number),
        old=state.picture.at if state.picture and not state.sound else "",
        groups=tuple(
            Group(level.word, _HEADINGS[level], tuple(map(_finding, found)))
            for level, found in groups
            if found
        ),
        more=len(state.findings) - len(shown),
        booklet=_booklet(state),
        phase=state.booklet.phase.value,
        has_booklet=bool(state.booklet.at),
    )


def _mood(state: State) -> str:
    if not state.number:
        return "waiting"
    if not state.sound:
        return "broken"
    return "remarks" if state.findings else "well"


def _verdict(state: State) -> str:
    if not state.number:
        return "Reading the chart"
    return summary(state.findings).capitalize() if state.findings else "All well"


def _booklet(state: State) -> str:
    booklet = state.booklet
    last = f"{booklet.pages} pages, built at {booklet.at}" if booklet.at else ""
    match booklet.phase:
        case Phase.NONE:
            return "No booklet yet."
        case Phase.BINDING:
            return f"Building again; the last has {last}." if last else "Building."
        case Phase.BUILT:
            return f"{last}."
        case Phase.KEPT:
            return (
                f"The last good one stays: {last}."
                if last
                else "Not built while the chart has errors; one built before stays as it was."
            )
        case Phase.FAILED:
            return f"Not built. {booklet.reason}"


def _finding(diagnostic: Diagnostic) -> ShownFinding:
    return ShownFinding(
        diagnostic.name,
        _said(diagnostic.message),
        _place(diagnostic.span),
        tuple(map(_hint, diagnostic.hints)),
    )


def _hint(hint: Hint) -> ShownHint:
    return ShownHint(_said(hint.message), _place(hint.span))


def _said(message: str) -> tuple[str, ...]:
    """Take a sentence apart at its backticks, which stand around words of the source."""
    parts = message.split("`")
    return tuple(parts) if len(parts) % 2 else (message,)


def _place(span: Span | None) -> ShownPlace | None:
    if span is None:
        return None
    name = PurePath(span.path).name
    return ShownPlace(f"{name}:{span.line}:{span.column}", excerpt(span))
