"""The words around a chart as they were meant: booklet, notes, revisions, expectations."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from .places import Tie
from .source import Source, Span


class NoteKind(StrEnum):
    """A stitching note, or how sure the chart is of an area of the original."""

    NOTE = "note"
    DEPARTURE = "departure"
    INFERRED = "inferred"
    KEPT = "kept"


@dataclass(frozen=True)
class Note:
    """A text tied to a point (then both corners are equal) or to an area.

    tie: the thing that its corners count from, until that is reckoned out.
    """

    kind: NoteKind
    x0: float
    y0: float
    x1: float
    y1: float
    text: str
    span: Span | None = field(default=None, compare=False, repr=False)
    tie: Tie | None = None


@dataclass(frozen=True)
class Revision:
    """What changed in one edition."""

    edition: str
    day: date | None
    text: str
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Expectation:
    """A stated count of crosses of one symbol, in an area (x0, y0, x1, y1) or the whole chart."""

    symbol: str
    count: int
    area: tuple[float, float, float, float] | None = None
    span: Span | None = field(default=None, compare=False, repr=False)
    tie: Tie | None = None


@dataclass(frozen=True)
class Markdown:
    """A Markdown file beside the chart, under a heading."""

    heading: str  # empty for the story
    path: str
    text: str
    source: Source | None = field(default=None, compare=False, repr=False)
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Picture:
    """A picture file beside the chart."""

    path: str
    caption: str = ""
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Booklet:
    """What the booklet says besides the chart."""

    title: str
    subtitle: str = ""
    designer: str = ""
    edition: str = ""
    day: date | None = None
    language: str = "en-GB"
    story: Markdown | None = None
    cover: Picture | None = None
    pictures: tuple[Picture, ...] = ()
    rights: str = ""
    thanks: str = ""
    original: tuple[tuple[str, str], ...] = ()  # (what, text): place, date, size, materials, keeper
    needs: tuple[str, ...] = ()  # other things to have at hand
    sections: tuple[Markdown, ...] = ()
    span: Span | None = field(default=None, compare=False, repr=False)
    edition_span: Span | None = field(default=None, compare=False, repr=False)
    language_span: Span | None = field(default=None, compare=False, repr=False)
