"""The words around a chart as they were meant: booklet, notes, revisions, expectations."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from .places import Tie
from .source import Source, Span

WIDEST_GUTTER = 40.0  # mm


class NoteKind(StrEnum):
    """A stitching note, or how sure the chart is of an area of the original."""

    NOTE = "note"
    DEPARTURE = "departure"
    INFERRED = "inferred"
    KEPT = "kept"

    @property
    def sets_apart(self) -> bool:
        """Whether it says that the chart is not, or not surely, as the piece there."""
        return {
            NoteKind.NOTE: False,
            NoteKind.DEPARTURE: True,
            NoteKind.INFERRED: True,
            NoteKind.KEPT: True,
        }[self]


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


Pixel = tuple[float, float]  # to the right and down, from the corner of a picture as looked at


@dataclass(frozen=True)
class Showing:
    """A photograph beside the chart, and which part of the chart it shows.

    x0, y0, x1, y1: the part in crosses; of a tie what is counted from its thing, until that is
    reckoned out. whole: all of the chart. corners: pixels of the part's outer corners, from top
    left round to bottom left. landmarks: places in crosses from the part's top left corner, and the
    pixels where they are seen. width, height: of the photograph in pixels, as it is looked at.
    """

    path: str
    x0: float
    y0: float
    x1: float
    y1: float
    corners: tuple[Pixel, Pixel, Pixel, Pixel]
    landmarks: tuple[tuple[Pixel, Pixel], ...] = ()
    width: int = 0
    height: int = 0
    whole: bool = False
    tie: Tie | None = None
    span: Span | None = field(default=None, compare=False, repr=False)
    part_span: Span | None = field(default=None, compare=False, repr=False)
    corners_span: Span | None = field(default=None, compare=False, repr=False)
    landmark_spans: tuple[Span, ...] = field(default=(), compare=False, repr=False)


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
    """What the booklet says besides the chart.

    about, level, mark, address, errata: of the back cover. gutter: mm that binding takes of
    each page, which is then printed on both sides; 0 for loose pages.
    """

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
    about: str = ""
    level: str = ""
    mark: Picture | None = None
    address: tuple[str, ...] = ()
    errata: str = ""
    gutter: float = 0.0
    span: Span | None = field(default=None, compare=False, repr=False)
    edition_span: Span | None = field(default=None, compare=False, repr=False)
    language_span: Span | None = field(default=None, compare=False, repr=False)
    gutter_span: Span | None = field(default=None, compare=False, repr=False)

    @property
    def has_back(self) -> bool:
        """Whether it has a back cover."""
        return bool(self.about or self.level or self.mark or self.address or self.errata)
