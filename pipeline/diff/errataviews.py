"""View models of the sheet of corrections."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ..booklet.frontmatter import Edition
from .shots import Room


@dataclass(frozen=True)
class Issue:
    """One of the two editions: `Edition 3` or `Before`, its name in full, its day."""

    short: str
    name: str
    day: date | None


@dataclass(frozen=True)
class Entry:
    """One correction as it is set. before, after: addresses of its pictures, empty for none.

    stacked: whether they stand one below the other.
    """

    number: int
    heading: str
    told: tuple[str, ...]
    begun: str
    before: str = ""
    after: str = ""
    old_place: str = ""
    new_place: str = ""
    alt: str = ""
    stacked: bool = False


@dataclass(frozen=True)
class Remark:
    """A correction without a place. before, after: drawings of its symbols, empty for none."""

    heading: str
    told: tuple[str, ...]
    begun: str
    before: str
    after: str


@dataclass(frozen=True)
class MapSpot:
    """A number on the small map, in mm."""

    number: int
    x: float
    y: float


@dataclass(frozen=True)
class SmallMap:
    """The whole new chart, small, with the corrections numbered."""

    width: float
    height: float
    spots: tuple[MapSpot, ...]


@dataclass(frozen=True)
class Corrections:
    """Everything that the templates show.

    unpicking: whether stitches have to be taken out. advice: whether to say what to do for those
    who have begun. room: how the page is divided; inset: of the cells in a picture, in mm. feet:
    what stands at both ends of the foot of a page.
    """

    name: str
    heading: str
    title: str
    designer: str
    stamp: str
    old: Issue
    new: Issue
    lead: tuple[str, ...]
    map: SmallMap | None
    notices: tuple[Remark, ...]
    items: tuple[Entry, ...]
    measure: str
    words: tuple[str, ...]
    says: tuple[Edition, ...]
    unpicking: bool
    advice: bool
    room: Room
    inset: float
    feet: tuple[str, str]
