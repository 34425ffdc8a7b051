"""The chart pages as the booklet sees them: where everything stands on each, and its short key.

Lengths are mm from the top left corner of the page's own area, inside its margins. Large print is
planned like any other, in units larger than a mm: see `Layout.scale`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ..composing.worked import WorkedChart
from ..drawing.edges import margins, room
from ..drawing.options import Options
from ..drawing.paginate import Page, Pagination, paginate
from .neighbours import JOIN, Arrow, among_numbers, arrows
from .setting import setting
from .shortkeys import ShortKey, entries_on, in_columns, short_key

SIDE, TOP, BOTTOM = 7.0, 8.0, 13.5  # margins of a chart page; the running foot stands in the last
HEAD = 6.5  # the line with the number of the chart
GAP = 2.0  # between the lower arrow and the short key
LEAST_MAP, MOST_MAP = (20.0, 14.0), (32.0, 22.0)  # room for the small map
SHRINK = 0.88  # how much smaller cells may get to make room for names
MAP_GAP = 4.0  # between short key and map
BETWEEN = 8.0  # two charts that share a printed page


@dataclass(frozen=True)
class Leaf:
    """One chart page.

    address: of its drawing. symbols, labels: of the drawings of its short key. x, y, width,
    height: of the drawing. entries: the key lines met on this page. short: how its short key is
    set; columns: the entries of each column of it from top to bottom; foot_y: where it begins.
    form: a number for pages on which everything but `here` stands at the same places.
    here_x, here_y, here_width, here_height: the frame on the small map.
    """

    page: Page
    form: int
    address: str
    symbols: str
    labels: str
    x: float
    y: float
    width: float
    height: float
    arrows: tuple[Arrow, ...]
    entries: tuple[int, ...]
    short: ShortKey
    columns: tuple[tuple[int, ...], ...]
    foot_y: float
    here_x: float
    here_y: float
    here_width: float
    here_height: float


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


def plan(
    worked: WorkedChart, options: Options, codes: Mapping[int, str], names: Mapping[int, str]
) -> Layout:
    """Cut the chart into pages, leaving just the room that the fullest short key needs.

    codes: the least that the short key prints beside each symbol, by key line in use. names: what
    it prints where the pages have room to spare.

    Raises:
        ValueError: when the paper has no room for a single cell.
    """
    layout = _planned(worked, options, codes, names)
    charts = len(layout.pagination.pages)
    if charts == 1:
        return layout
    if layout.pagination.down == 1:
        return _one_below_another(worked, layout)
    if layout.pagination.across == 1:
        try:
            other = _planned(worked, options, codes, names, abreast=2)
        except ValueError:
            return layout
        cut = other.pagination
        if cut.across == 1 and math.ceil(len(cut.pages) / 2) < charts:
            return other
    return layout


def _planned(
    worked: WorkedChart,
    options: Options,
    codes: Mapping[int, str],
    names: Mapping[int, str],
    abreast: int = 1,
) -> Layout:
    form = setting(options.paper, options.large)
    scale = form.scale
    side, top = SIDE / scale, TOP / scale  # what printers need stays
    width = form.paper.width / scale - 2 * side
    height = form.paper.height / scale - top - BOTTOM
    own = (width - BETWEEN * (abreast - 1)) / abreast, height
    cells = _Cells(
        None if options.cell is None else options.cell / scale,
        form.least / scale,
        form.most / scale,
    )
    pagination = _cut(worked, cells, own, codes, LEAST_MAP)
    try:
        other = _cut(worked, cells, own, names, MOST_MAP)
    except ValueError:
        other = None
    # Names are worth a little size, but no further page.
    if other and other.pages == pagination.pages and other.cell >= SHRINK * pagination.cell:
        pagination = other
    small_map = LEAST_MAP
    if len(pagination.pages) > 1:
        tallest = max(page.rows for page in pagination.pages) * pagination.cell
        free = height - HEAD - 2 * JOIN - GAP - tallest - 2 * margins(pagination.height).end
        room = MOST_MAP[0], min(free, MOST_MAP[1])
        small_map = _within(worked.width, worked.height, room)
    return Layout(
        scale, pagination, side, top, BOTTOM, width, height, codes, names, *small_map, abreast
    )


def _one_below_another(worked: WorkedChart, layout: Layout) -> Layout:
    """Return the layout with as many charts on each printed page as have room there."""
    deepest = max(
        leaf.foot_y + max(layout.map_height, leaf.short.height) for leaf in leaves(worked, layout)
    )
    charts = len(layout.pagination.pages)
    most = max(1, math.floor((layout.height + BETWEEN) / (deepest + BETWEEN)))
    # No more to a page than it takes, so that the last is not left nearly bare.
    return replace(layout, stacked=math.ceil(charts / math.ceil(charts / most)))


@dataclass(frozen=True)
class _Cells:
    """Side of a cell, None to choose it between the least and the most."""

    side: float | None
    least: float
    most: float


def _cut(
    worked: WorkedChart,
    cells: _Cells,
    page: tuple[float, float],
    labels: Mapping[int, str],
    small_map: tuple[float, float],
) -> Pagination:
    """Return the pages that leave room for a short key with these words and for the small map."""
    for beside in (0.0, JOIN):
        most = len(labels)
        # The first round leaves room for the whole key, the next for the fullest page before.
        for _ in range(2):
            short = short_key(worked, labels, page[0] - small_map[0] - MAP_GAP, most)
            foot = max(small_map[1], short.height)
            inner = page[0] - 2 * beside, page[1] - HEAD - 2 * JOIN - GAP - foot
            pagination = paginate(
                worked.width,
                worked.height,
                room=room(inner, worked.height),
                cell=cells.side,
                least=cells.least,
                most=cells.most,
            )
            most = max(len(entries_on(worked, each)) for each in pagination.pages)
        if pagination.across == 1 or among_numbers(pagination):
            break
    return pagination


def _chosen_key(
    worked: WorkedChart, layout: Layout, entries: Sequence[int], room: float
) -> ShortKey:
    """Return the short key of a page: with names where there is room for them."""
    width = layout.own_width - layout.map_width - MAP_GAP
    keys = [
        short_key(worked, {index: words[index] for index in entries}, width)
        for words in (layout.names, layout.codes)
    ]
    return keys[0] if keys[0].height <= room else keys[1]


def leaves(worked: WorkedChart, layout: Layout) -> tuple[Leaf, ...]:
    """Return all chart pages in reading order."""
    forms: dict[tuple[object, ...], int] = {}
    found = []
    for page in layout.pagination.pages:
        leaf = _leaf(worked, layout, page)
        arrows = tuple((each.side, each.x, each.y) for each in leaf.arrows)
        form = leaf.x, leaf.y, leaf.width, leaf.height, leaf.foot_y, arrows
        found.append(replace(leaf, form=forms.setdefault(form, len(forms))))
    return tuple(found)


def _leaf(worked: WorkedChart, layout: Layout, page: Page) -> Leaf:
    pagination = layout.pagination
    around = margins(pagination.height)
    joins = JOIN if pagination.down > 1 else 0.0
    width = page.columns * pagination.cell + 2 * around.side
    height = page.rows * pagination.cell + 2 * around.end
    x, y = (layout.own_width - width) / 2, HEAD + joins
    entries = entries_on(worked, page)
    foot_y = y + height + joins + GAP
    short = _chosen_key(worked, layout, entries, layout.own_height - foot_y)
    scale_x, scale_y = layout.map_width / worked.width, layout.map_height / worked.height
    return Leaf(
        page,
        0,
        f"chart:{page.number}",
        f"short:{page.number}",
        f"labels:{page.number}",
        x,
        y,
        width,
        height,
        arrows(page, pagination, x, y),
        entries,
        short,
        in_columns(entries, short.across),
        foot_y,
        page.core_x0 * scale_x,
        page.core_y0 * scale_y,
        (page.core_x1 - page.core_x0) * scale_x,
        (page.core_y1 - page.core_y0) * scale_y,
    )


def _within(width: float, height: float, most: tuple[float, float]) -> tuple[float, float]:
    """Return the size of a picture scaled to lie within another, keeping its shape."""
    scale = min(most[0] / width, most[1] / height)
    return width * scale, height * scale
