"""How pages are set: size of the type, margins, and what all chart pages share.

Lengths are mm from the top left corner of the page's own area, inside its margins. Large print
follows what associations for people with low sight ask of it: text of 16 points or more (UK
Association for Accessible Formats, "Creating clear print and large print documents", from memory),
and here chart cells of 5 mm or more. It is planned like any other, in units larger than a mm: see
`Layout.scale`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..chart.options import LARGE_CELL, Paper
from ..chart.paginate import Pagination
from ..core.key import KeyEntry
from .keylist import Labels
from .textwidth import MM_PER_POINT

LEAST_EDGE = 10.0  # margin at the sides of text pages, however wide the gutter is
LEAST_ROOM, LEAST_LARGE = 108.0, 174.0  # between them; tables have no narrower form
NARROW = 40.0  # rem across, below which tables take their narrow form
BESIDE = 0.26  # of the width is left for headings beside the text
HEAD = 6.5  # the line with the number of the chart
GAP = 2.0  # between the lower arrow and the short key
MAP_GAP = 4.0  # between short key and map
BETWEEN = 8.0  # two charts that share a printed page
SAMPLE_CELL = 4.4  # mm, side of a cell of the key
SAMPLE_RUN = 2.6  # cells; length of a line of the key
SAMPLE_INSET = 0.1  # mm around, so that the frame is not cut
SIDE, TOP, BOTTOM = 7.0, 8.0, 13.5  # margins of a chart page; the running foot stands in the last


@dataclass(frozen=True)
class Setting:
    """How pages are set. Lengths in mm.

    points: size of the text. edge: margin of text pages at the top and, if they are loose, the
    sides; foot: at the bottom. beside: room for headings at the left of the text, 0 for none.
    scale: how much larger than usual all is drawn that has a size of its own: what stands around
    the cells of a chart, its short key, drawings of stitches. least, most: bounds of the side of a
    cell. cover: points of what a rem of the cover's title is. gutter: what binding takes of each
    page.
    """

    paper: Paper
    points: float
    edge: float
    foot: float
    beside: float
    scale: float
    least: float
    most: float
    cover: float
    gutter: float = 0.0

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


def setting(paper: Paper, large: bool = False, gutter: float = 0.0) -> Setting:
    """Return how pages are set on a paper; large: in large print. gutter: of a bound booklet."""
    if large:
        size, edge, cover = (18, 24, 12) if paper.width > 250 else (16, 16, 10)
        return Setting(paper, size, edge, 22, 0, 1.6, LARGE_CELL, 9, cover, gutter)
    if paper.width < 180:
        return Setting(paper, 9, 14, 15, 0, 1, 3, 6, 9, gutter)
    size, edge = (12, 30) if paper.width > 250 else (10, 20)
    return Setting(paper, size, edge, edge, (paper.width - 40) * BESIDE, 1, 3, 6, size, gutter)


def widest_gutter(paper: Paper, large: bool = False) -> int:
    """Return the widest gutter, in whole mm, that leaves room for text and tables."""
    return math.floor(paper.width - 2 * LEAST_EDGE - (LEAST_LARGE if large else LEAST_ROOM))


@dataclass(frozen=True)
class Layout:
    """What all chart pages share.

    scale: mm of the unit in which everything here and on the leaves is given. pagination: which
    cells go where. side, top, bottom: margins. width, height: of a page's own area. labels: the
    words of the short keys. map_width, map_height: of the small map. gutter: what binding takes of
    each page, at its inner edge. abreast, stacked: how many charts share one printed page, across
    and down; long narrow charts would leave most of it bare.
    """

    scale: float
    pagination: Pagination
    side: float
    top: float
    bottom: float
    width: float
    height: float
    labels: Labels
    map_width: float
    map_height: float
    gutter: float = 0.0
    abreast: int = 1
    stacked: int = 1

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


def sample_size(entry: KeyEntry) -> tuple[float, float]:
    """Return width and height in mm of the drawing of a line of the key."""
    return cells_across(entry) * SAMPLE_CELL + 2 * SAMPLE_INSET, SAMPLE_CELL + 2 * SAMPLE_INSET


def cells_across(entry: KeyEntry) -> float:
    """Return how many cells wide the drawing is."""
    return SAMPLE_RUN if entry.is_wide else 1.0
