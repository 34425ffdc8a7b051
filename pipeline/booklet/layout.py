"""How pages are set: size of the type, margins, and what all chart pages share.

Lengths are mm from the top left corner of the page's own area, inside its margins. Large print
follows what publishers for readers with low sight do (common practice, no single source): words and
figures of 22 points or more, sans, black, upright, in one column and aligned to the left; and here
squares and symbols of charts of 5 mm or more. It is planned like any other, in units larger than a
mm: see `Layout.scale`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import assert_never

from ..chart.badges import USUAL_RING, Ring
from ..chart.options import LARGE_CELL, READABLE_CELL, USUAL_CELL, PageSize
from ..chart.paginate import Pagination
from ..core.paging import Orientation
from .shortkey import TYPE, ShortKeys
from .textwidth import MM_PER_POINT

LEAST_EDGE = 10.0  # margin at the sides of text pages, however wide the gutter is
LEAST_ROOM, LEAST_LARGE = 108.0, 174.0  # between them; tables have no narrower form
NARROW = 40.0  # rem across, below which tables take their narrow form
BESIDE = 0.26  # of the width is left for headings beside the text
MAP_GAP = 4.0  # between short key and map
BETWEEN = 8.0  # two charts that share a printed page
SIDE, TOP = 7.0, 8.0  # margins of a chart page


@dataclass(frozen=True)
class Bands:
    """What stands around the drawing on a chart page, in its own unit.

    head: the line with the number of the chart. join: above, below and, where need be, beside the
    drawing, for the ways to the neighbours. gap: between the lower way and the short key. foot: the
    margin in which the running foot stands. way: line of a way. aside: room that one takes between
    the numbers of the rows, turned on end, in any language.
    """

    head: float
    join: float
    gap: float
    foot: float
    way: float
    aside: float


USUAL_BANDS = Bands(6.5, 4.6, 2.0, 13.5, 4.0, 20.0)
# Ways are told by the number of the chart alone; what the chart says stands in the key.
LARGE_BANDS = Bands(4.4, 3.4, 0.0, 7.6, 3.0, 8.0)
LARGE_POINTS, LARGE_SCALE = 22.0, 22.0 / TYPE
LARGE_RING = Ring(1.9, 2.7)
LARGE_OVERLAP = 1  # of larger cells on smaller pages


@dataclass(frozen=True)
class Setting:
    """How pages are set. Lengths in mm.

    points: size of the text. edge: margin of text pages at the top and, if they are loose, the
    sides; foot: at the bottom. beside: room for headings at the left of the text, 0 for none.
    scale: how much larger than usual all is drawn that has a size of its own: what stands around
    the cells of a chart, its short key, drawings of stitches. least, most: bounds of the side of a
    cell; readable: how small it may get to save pages. cover: points of what a rem of the cover's
    title is. ring: of the numbers of notes. overlap: rows and columns of the next chart page.
    large: whether all of it is large print. gutter: what binding takes of each page.
    """

    paper: PageSize
    points: float
    edge: float
    foot: float
    beside: float
    scale: float
    least: float
    most: float
    cover: float
    readable: float = READABLE_CELL
    bands: Bands = USUAL_BANDS
    ring: Ring = USUAL_RING
    overlap: int = 3
    large: bool = False
    gutter: float = 0.0

    @property
    def keyed(self) -> bool:
        """Whether each chart page has its short key and a small map of its own."""
        return not self.large

    def drawn(self, figures: float) -> float:
        """Return the scale of a drawing that has numbers of its own, of so many mm."""
        return self.points * MM_PER_POINT / figures if self.large else self.scale

    @property
    def symbol(self) -> float:
        """The smallest square whose symbol is printed, in units of `scale`."""
        return LARGE_CELL / self.scale if self.large else 0.0

    @property
    def side(self) -> float:
        """Margin of text pages at the sides that is seen: half a gutter comes out of it."""
        return max(min(self.edge, LEAST_EDGE), self.edge - self.gutter / 2)

    @property
    def narrow(self) -> bool:
        """Whether tables have to be set in their narrow form."""
        return self.room[0] / (self.points * MM_PER_POINT) < NARROW

    @property
    def room(self) -> tuple[float, float]:
        """Width and height of a text page's own area."""
        edges = self.edge + max(self.edge, self.foot) + 2
        return self.paper.width - self.gutter - 2 * self.side, self.paper.height - edges


def setting(paper: PageSize, large: bool = False, gutter: float = 0.0) -> Setting:
    """Return how pages are set on a paper; large: in large print. gutter: of a bound booklet."""
    if large:
        edge, cover = (24, 14) if paper.width > 250 else (16, 14)
        return Setting(
            paper,
            LARGE_POINTS,
            edge,
            22,
            0,
            LARGE_SCALE,
            LARGE_CELL,
            9,
            cover,
            LARGE_CELL,
            LARGE_BANDS,
            LARGE_RING,
            LARGE_OVERLAP,
            large=True,
            gutter=gutter,
        )
    if paper.width < 180:
        return Setting(paper, 9, 14, 15, 0, 1, USUAL_CELL, 6, 9, gutter=gutter)
    size, edge = (12, 30) if paper.width > 250 else (10, 20)
    beside = (paper.width - 40) * BESIDE
    return Setting(paper, size, edge, edge, beside, 1, USUAL_CELL, 6, size, gutter=gutter)


def widest_gutter(paper: PageSize, large: bool = False) -> int:
    """Return the widest gutter, in whole mm, that leaves room for text and tables."""
    return math.floor(paper.width - 2 * LEAST_EDGE - (LEAST_LARGE if large else LEAST_ROOM))


def lying(paper: PageSize, orientation: Orientation | None) -> tuple[float, float]:
    """Return width and height of a page in mm, as it lies; None: as it is."""
    short, long = sorted((paper.width, paper.height))
    match orientation:
        case None:
            return paper.width, paper.height
        case Orientation.PORTRAIT:
            return short, long
        case Orientation.LANDSCAPE:
            return long, short
        case _:
            assert_never(orientation)


@dataclass(frozen=True)
class Layout:
    """What all chart pages share.

    scale: mm of the unit in which everything here and on the leaves is given. pagination: which
    cells go where. side, top: margins. width, height: of a page's own area. keys: the short
    keys of the pages. map_width, map_height: of the small map. page: width and height of the paper
    in mm, as it lies. gutter: what binding takes of each page, at its inner edge. abreast,
    stacked: how many charts share one printed page, across and down; long narrow charts would leave
    most of it bare. beside: where a short key beside the chart begins from the left, 0 where it
    stands below. keyed: whether each page has one. ring: as of the setting.
    """

    scale: float
    pagination: Pagination
    side: float
    top: float
    width: float
    height: float
    keys: ShortKeys
    map_width: float
    map_height: float
    page: tuple[float, float]
    bands: Bands
    gutter: float = 0.0
    abreast: int = 1
    stacked: int = 1
    beside: float = 0.0
    keyed: bool = True
    ring: Ring = USUAL_RING

    @property
    def printed(self) -> int:
        """How many printed pages there are."""
        return math.ceil(len(self.pagination.pages) / self.shared)

    @property
    def shared(self) -> int:
        """How many charts a printed page holds."""
        return self.abreast * self.stacked

    @property
    def own_width(self) -> float:
        """Width of the area of one chart."""
        return (self.width - BETWEEN * (self.abreast - 1)) / self.abreast

    @property
    def own_height(self) -> float:
        """Height of the area of one chart."""
        return (self.height - BETWEEN * (self.stacked - 1)) / self.stacked

    def corner(self, place: int) -> tuple[float, float]:
        """Return where the area of a chart begins, the charts of a page counted from 0."""
        down, across = divmod(place, self.abreast)
        return across * (self.own_width + BETWEEN), down * (self.own_height + BETWEEN)
