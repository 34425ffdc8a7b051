"""How the pages of a booklet are set: size of the type and margins, by paper and by size of print.

Large print follows what associations for people with low sight ask of it: text of 16 points or
more (UK Association for Accessible Formats, "Creating clear print and large print documents",
from memory), and here chart cells of 5 mm or more.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..chart.options import LARGE_CELL, Paper
from .textwidth import MM_PER_POINT

NARROW = 40.0  # rem across, below which tables take their narrow form
BESIDE = 0.26  # of the width is left for headings beside the text


@dataclass(frozen=True)
class Setting:
    """How pages are set. Lengths in mm.

    points: size of the text. edge: margin of text pages at the top and the sides; foot: at the
    bottom. beside: room for headings at the left of the text, 0 for none. scale: how much larger
    than usual all is drawn that has a size of its own: what stands around the cells of a chart,
    its short key, drawings of stitches. least, most: bounds of the side of a cell. cover: points
    of what a rem of the cover's title is.
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

    @property
    def narrow(self) -> bool:
        """Whether tables have to be set in their narrow form."""
        return self.room[0] / (self.points * MM_PER_POINT) < NARROW

    @property
    def room(self) -> tuple[float, float]:
        """Width and height of a text page's own area."""
        edges = self.edge + max(self.edge, self.foot) + 2
        return self.paper.width - 2 * self.edge, self.paper.height - edges


def setting(paper: Paper, large: bool = False) -> Setting:
    """Return how pages are set on a paper; large: in large print."""
    if large:
        size, edge, cover = (18, 24, 12) if paper.width > 250 else (16, 16, 10)
        return Setting(paper, size, edge, 22, 0, 1.6, LARGE_CELL, 9, cover)
    if paper.width < 180:
        return Setting(paper, 9, 14, 15, 0, 1, 3, 6, 9)
    size, edge = (12, 30) if paper.width > 250 else (10, 20)
    return Setting(paper, size, edge, edge, (paper.width - 40) * BESIDE, 1, 3, 6, size)
