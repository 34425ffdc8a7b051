"""What the watch knows at this moment, and the words and lists that its page prints of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from pathlib import PurePath
from threading import Condition
from typing import Any

from ..core.diagnostics import Diagnostic, Diagnostics, Excerpt, Hint, excerpt, summary
from ..core.findings import Level
from ..core.source import Span


class Phase(Enum):
    """How the booklet stands."""

    NONE = "none"  # not built since the watch began
    BINDING = "binding"
    BUILT = "built"
    KEPT = "kept"  # the chart has errors: the last good booklet stays
    FAILED = "failed"


@dataclass(frozen=True)
class LastPicture:
    """The last picture of the chart. number: of its reading; kind: media type; at: when drawn."""

    number: int
    data: bytes
    kind: str
    at: str


@dataclass(frozen=True)
class LastBooklet:
    """The booklet. at, pages: when the file was last written, and its pages; empty for never."""

    phase: Phase = Phase.NONE
    at: str = ""
    pages: int = 0
    reason: str = ""


@dataclass(frozen=True)
class State:
    """One moment.

    chart: the path as typed. title: of the booklet, empty until the chart could be read once.
    columns, rows: of the last chart without errors. number, at: of the last reading, and when it
    was; 0 before the first. sound: whether it had no errors. places:
    of what is placed on the last chart without errors its line, name, kind, corner and size.
    """

    chart: str
    title: str = ""
    columns: int = 0
    rows: int = 0
    number: int = 0
    at: str = ""
    findings: Diagnostics = ()
    sound: bool = False
    picture: LastPicture | None = None
    booklet: LastBooklet = LastBooklet()
    places: tuple[tuple[str, ...], ...] = ()


class Board:
    """Holds the state; those who show it wait for the next."""

    def __init__(self, state: State) -> None:
        self._state = state
        self._version = 0
        self._closed = False
        self._news = Condition()

    @property
    def state(self) -> State:
        """The state at this moment."""
        return self._state

    @property
    def version(self) -> int:
        """A number that grows with every change."""
        return self._version

    @property
    def closed(self) -> bool:
        """Whether there will be no more news."""
        return self._closed

    def post(self, **changes: Any) -> None:
        """Change fields of the state and wake those who wait."""
        with self._news:
            self._state = replace(self._state, **changes)
            self._version += 1
            self._news.notify_all()

    def wait(self, version: int, seconds: float) -> int:
        """Return the version once it is another than this one, or after so many seconds."""
        with self._news:
            self._news.wait_for(lambda: self._closed or self._version != version, seconds)
            return self._version

    def close(self) -> None:
        """Let go of all who wait."""
        with self._news:
            self._closed = True
            self._news.notify_all()


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
class LevelFindings:
    """The findings of one level."""

    level: str
    heading: str
    findings: tuple[ShownFinding, ...]


@dataclass(frozen=True)
class PageView:
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
    groups: tuple[LevelFindings, ...]
    more: int
    booklet: str
    phase: str
    has_booklet: bool
    places: tuple[tuple[str, ...], ...]


def view(state: State) -> PageView:
    """Return what the page says of a state."""
    shown = sorted(state.findings, key=lambda each: each.level)[:MOST_SHOWN]
    groups = [(level, [each for each in shown if each.level is level]) for level in Level]
    return PageView(
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
            LevelFindings(level.word, _HEADINGS[level], tuple(map(_finding, findings)))
            for level, findings in groups
            if findings
        ),
        more=len(state.findings) - len(shown),
        booklet=_booklet(state),
        phase=state.booklet.phase.value,
        has_booklet=bool(state.booklet.at),
        places=state.places,
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
