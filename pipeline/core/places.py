"""Where things stand with regard to each other, before that is reckoned out.

A thing is what one line of a chart places: a motif, a text, lines and knots, a border, a band,
withdrawn threads, or a place with a name. Across and down are told apart: nothing across depends on
anything down.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import assert_never

from .source import Span

CHART = -1  # stands for the chart where the number of a thing may stand


class Edge(Enum):
    """Where along one way a thing lies, with regard to another.

    FRAME: its own positions count from where the other begins. BEFORE: it ends where the other
    begins. START, MIDDLE, END: both begin, have their middle, or end at the same place. AFTER: it
    begins where the other ends.
    """

    FRAME = "frame"
    BEFORE = "before"
    START = "start"
    MIDDLE = "middle"
    END = "end"
    AFTER = "after"

    @property
    def needs_end(self) -> bool:
        """Whether it has to be known where the other ends, not only where it begins."""
        match self:
            case Edge.FRAME | Edge.BEFORE | Edge.START:
                return False
            case Edge.MIDDLE | Edge.END | Edge.AFTER:
                return True
            case _:
                assert_never(self)

    @property
    def counts(self) -> bool:
        """Whether the positions of the thing are kept, and count from the other."""
        match self:
            case Edge.FRAME:
                return True
            case Edge.BEFORE | Edge.START | Edge.MIDDLE | Edge.END | Edge.AFTER:
                return False
            case _:
                assert_never(self)


class Half(Enum):
    """Which way a thing goes whose middle falls between two threads or crosses."""

    UNSAID = "unsaid"  # then left or up
    EARLIER = "earlier"  # left or up
    LATER = "later"  # right or down


@dataclass(frozen=True)
class Bound:
    """How a thing lies along one way.

    to: the number of the other thing, or CHART. gap: bare crosses between the two.
    """

    edge: Edge
    to: int
    gap: float = 0.0
    half: Half = Half.UNSAID
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Fill:
    """How a motif fills a stretch or an area with whole repeats.

    ways: across, down. to: the number of the thing that is filled, or CHART. origin: where the
    repeats begin along each way: START, MIDDLE, END; None where they have to come out. cut: whether
    what is left over holds parts of repeats. inset: bare crosses round it.
    """

    ways: tuple[bool, bool]
    to: int
    origin: tuple[Edge | None, Edge | None]
    cut: bool = False
    inset: int = 0
    half: tuple[Half, Half] = (Half.UNSAID, Half.UNSAID)
    span: Span | None = field(default=None, compare=False, repr=False)


class Sort(Enum):
    """What a thing is."""

    ITEM = "item"
    BAND = "band"
    PLACE = "place"


@dataclass(frozen=True)
class Thing:
    """One thing of a chart.

    name: empty for most. first, last: the items of the chart that it is made of, up to `last`.
    across, down: how it lies, None where its own positions count from the corner of the chart.
    band: the number of the band in which it stands. at, size: of a place, in crosses. gap: of a
    band, bare rows above it. fill: of a motif that fills something.
    withdrawal: of withdrawn threads, their number among those of the chart.
    ring: of a border, what it runs round (AFTER, with a gap) or along the inside of (FRAME).
    box: where it came to lie (x0, y0, x1, y1), None until that is reckoned out.
    """

    sort: Sort
    name: str = ""
    first: int = 0
    last: int = 0
    across: Bound | None = None
    down: Bound | None = None
    band: int | None = None
    at: tuple[float, float] = (0.0, 0.0)
    size: tuple[float, float] = (0.0, 0.0)
    gap: float = 0.0
    fill: Fill | None = None
    withdrawal: int | None = None
    ring: Bound | None = None
    box: tuple[float, float, float, float] | None = None
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Tie:
    """What a note or a count is tied to. whole: all of the thing; else its places count from it."""

    to: int
    whole: bool
