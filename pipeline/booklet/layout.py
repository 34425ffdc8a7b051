"""What all chart pages share: margins, how the chart is cut, how many charts a page holds.

Lengths are mm from the top left corner of the page's own area, inside its margins. Large print is
planned like any other, in units larger than a mm: see `Layout.scale`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..chart.paginate import Pagination

SIDE, TOP, BOTTOM = 7.0, 8.0, 13.5  # margins of a chart page; the running foot stands in the last
HEAD = 6.5  # the line with the number of the chart
GAP = 2.0  # between the lower arrow and the short key
MAP_GAP = 4.0  # between short key and map
BETWEEN = 8.0  # two charts that share a printed page


@dataclass(frozen=True)
class Layout:
    """What all chart pages share.

    scale: mm of the unit in which everything here and on the leaves is given. pagination: which
    cells go where. side, top, bottom: margins. width, height: of a page's own area. codes, names:
    the words of the short keys by key line, brief and full. map_width, map_height: of the small
    map. abreast, stacked: how many charts share one printed page, across and down; long narrow
    charts would leave most of it bare.
    """

    scale: float
    pagination: Pagination
    side: float
    top: float
    bottom: float
    width: float
    height: float
    codes: Mapping[int, str]
    names: Mapping[int, str]
    map_width: float
    map_height: float
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
