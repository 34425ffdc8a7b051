"""How a chart is cut so that its pages are few and each has room for its short key."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from ..chart.edges import margins, room
from ..chart.options import Options
from ..chart.paginate import Pagination, paginate
from ..compose.worked import WorkedChart
from .keylist import Labels
from .layout import BETWEEN, BOTTOM, GAP, HEAD, MAP_GAP, SIDE, TOP, Layout, setting
from .leaves import JOIN, among_numbers, entries_on, leaves
from .shortkey import short_key

LEAST_MAP, MOST_MAP = (20.0, 14.0), (32.0, 22.0)  # mm; room for the small map


def plan(worked: WorkedChart, options: Options, codes: Labels, names: Labels) -> Layout:
    """Cut the chart into pages, leaving each the room that its own short key needs.

    names: what the short key prints beside each symbol. codes: the least of it, printed where the
    rest has no room at all.

    Raises:
        ValueError: when the paper has no room for a single cell.
    """
    layout = _planned(worked, options, codes, names)
    charts = len(layout.pagination.pages)
    if charts == 1:
        return layout
    if layout.pagination.down == 1:
        form = setting(options.paper, options.large)
        return _one_below_another(worked, layout, options.cell or form.least / form.scale)
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
    codes: Labels,
    names: Labels,
    abreast: int = 1,
) -> Layout:
    form = setting(options.paper, options.large, options.gutter or 0.0)
    scale = form.scale
    side, top = SIDE / scale, TOP / scale  # what printers need stays
    gutter = form.gutter / scale
    width = form.paper.width / scale - 2 * side - gutter
    height = form.paper.height / scale - top - BOTTOM
    own = (width - BETWEEN * (abreast - 1)) / abreast, height
    cells = _Cells(
        None if options.cell is None else options.cell / scale,
        form.least / scale,
        form.most / scale,
    )
    labels = names
    try:
        pagination = _Request(worked, cells, own, names, LEAST_MAP).cut()
    except ValueError:
        labels = codes
        pagination = _Request(worked, cells, own, codes, LEAST_MAP).cut()
    small_map = LEAST_MAP
    if len(pagination.pages) > 1:
        tallest = max(page.rows for page in pagination.pages) * pagination.cell
        free = height - HEAD - 2 * JOIN - GAP - tallest - 2 * margins(pagination.height).end
        small_map = _within(worked.width, worked.height, (MOST_MAP[0], min(free, MOST_MAP[1])))
    layout = Layout(
        scale, pagination, side, top, BOTTOM, width, height, labels, *small_map, gutter, abreast
    )
    if _all_fit(worked, layout):
        return layout
    # A map wider than was reckoned with must not cost the key a line that it has no room for.
    small_map = _within(*small_map, LEAST_MAP)
    return replace(layout, map_width=small_map[0], map_height=small_map[1])


def _all_fit(worked: WorkedChart, layout: Layout) -> bool:
    """Whether the short keys of all pages end above the foot."""
    return all(
        leaf.foot_y + leaf.short.height <= layout.own_height + 1e-6
        for leaf in leaves(worked, layout)
    )


def _one_below_another(worked: WorkedChart, layout: Layout, least: float) -> Layout:
    """Return the layout with as many charts on each printed page as have room there.

    least: side of the smallest cell; cells shrink as far as this where it saves pages.
    """
    cut = layout.pagination
    smaller = replace(layout, pagination=replace(cut, cell=min(cut.cell, least)))
    tried = [_stacked(worked, layout), _stacked(worked, smaller)]
    return min(tried, key=lambda each: math.ceil(len(cut.pages) / each.stacked))


def _stacked(worked: WorkedChart, layout: Layout) -> Layout:
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


@dataclass(frozen=True)
class _Request:
    """What pages are asked for.

    page: width and height of each, in mm. labels: the words of the short key, which needs room, as
    does a small map of this size. heights: of the short keys of pages tried, by the cells shown.
    """

    worked: WorkedChart
    cells: _Cells
    page: tuple[float, float]
    labels: Labels
    small_map: tuple[float, float]
    heights: dict[tuple[int, ...], float] = field(default_factory=dict)

    def cut(self) -> Pagination:
        """Return the pages that leave room for the short key of each and for the small map."""
        for beside in (0.0, JOIN):
            below = self.small_map[1]
            cut = self._with_room(beside, below)
            while (higher := self._wanted(cut, below)) > below:
                below = higher
                cut = self._with_room(beside, below)
            if cut.across == 1 or among_numbers(cut):
                break
        return cut

    def _with_room(self, beside: float, below: float) -> Pagination:
        """Return the pages that leave so much room.

        beside: mm on each side of the drawing for the ways to the neighbours. below: under it.
        """
        inner = self.page[0] - 2 * beside, self.page[1] - HEAD - 2 * JOIN - GAP - below
        return paginate(
            self.worked.width,
            self.worked.height,
            room=room(inner, self.worked.height),
            cell=self.cells.side,
            least=self.cells.least,
            most=self.cells.most,
        )

    def _wanted(self, cut: Pagination, below: float) -> float:
        """Return how much room to leave below: more by the least that some page lacks."""
        taken = HEAD + 2 * JOIN + GAP + 2 * margins(cut.height).end
        beside = self.page[0] - self.small_map[0] - MAP_GAP
        lacking = []
        for page in cut.pages:
            shown = page.x0, page.x1, page.y0, page.y1
            if shown not in self.heights:
                labels = self.labels.of(entries_on(self.worked, page))
                self.heights[shown] = short_key(self.worked, labels, beside).height
            free = self.page[1] - taken - page.rows * cut.cell
            if self.heights[shown] > free + 1e-6:
                lacking.append(below + self.heights[shown] - free)
        return min(lacking, default=below)


def _within(width: float, height: float, most: tuple[float, float]) -> tuple[float, float]:
    """Return the size of a picture scaled to lie within another, keeping its shape."""
    scale = min(most[0] / width, most[1] / height)
    return width * scale, height * scale
