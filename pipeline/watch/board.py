"""What the watch knows at this moment, for the page to show: one value, replaced as a whole."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from threading import Condition
from typing import Any

from ..core.diagnostics import Diagnostics


class Phase(Enum):
    """How the booklet stands."""

    NONE = "none"  # not built since the watch began
    BINDING = "binding"
    BUILT = "built"
    KEPT = "kept"  # the chart has errors: the last good booklet stays
    FAILED = "failed"


@dataclass(frozen=True)
class Picture:
    """The last picture of the chart. number: of its reading; kind: media type; at: when drawn."""

    number: int
    data: bytes
    kind: str
    at: str


@dataclass(frozen=True)
class Booklet:
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
    was; 0 before the first. sound: whether it had no errors.
    """

    chart: str
    title: str = ""
    columns: int = 0
    rows: int = 0
    number: int = 0
    at: str = ""
    findings: Diagnostics = ()
    sound: bool = False
    picture: Picture | None = None
    booklet: Booklet = Booklet()


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
