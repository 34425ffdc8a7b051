"""How a chart is cut so that its pages are few and each has room for its short key."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from ..chart.edges import margins, room
from ..chart.options import Options
from ..chart.paginate import Pagination, paginate
from ..compose.worked import WorkedChart
from .layout import BETWEEN, BOTTOM, GAP, HEAD, MAP_GAP, SIDE, TOP, Layout, setting
from .leaves import JOIN, ShortKey, among_numbers, entries_on, leaves, short_key

LEAST_MAP, MOST_MAP = (20.0, 14.0), (32.0, 22.0)  # mm; room for the small map
SHRINK = 0.88  # how much smaller cells may get to make room for names


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
    pagination = _Request(worked, cells, own, codes, LEAST_MAP).cut()
    try:
        other = _Request(worked, cells, own, names, MOST_MAP).cut()
    except ValueError:
        other = None
    # Names are worth a little size, but no further page.
    if other and other.pages == pagination.pages and other.cell >= SHRINK * pagination.cell:
        pagination = other
    small_map = LEAST_MAP
    if len(pagination.pages) > 1:
        tallest = max(page.rows for page in pagination.pages) * pagination.cell
        free = height - HEAD - 2 * JOIN - GAP - tallest - 2 * margins(pagination.height).end
        small_map = _within(worked.width, worked.height, (MOST_MAP[0], min(free, MOST_MAP[1])))
    layout = Layout(
        scale, pagination, side, top, BOTTOM, width, height, codes, names, *small_map, abreast
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
    does a small map of this size.
    """

    worked: WorkedChart
    cells: _Cells
    page: tuple[float, float]
    labels: Mapping[int, str]
    small_map: tuple[float, float]

    def cut(self) -> Pagination:
        """Return the pages that leave room for the short key and for the small map."""
        for beside in (0.0, JOIN):
            # The first round leaves room for the whole key, the next for the fullest page before.
            # Larger pages may then meet too many symbols for that: they get room line by line.
            try:
                cut = self._with_room(beside, len(self.labels))
                most = _fullest(self.worked, cut)
            except ValueError:  # no room for all at once, but no page may meet all
                most = 1
            cut = self._with_room(beside, most)
            while _fullest(self.worked, cut) > most and not self._fits(cut):
                most += self._short_key(self.labels).across
                cut = self._with_room(beside, most)
            if cut.across == 1 or among_numbers(cut):
                break
        return cut

    def _with_room(self, beside: float, most: int) -> Pagination:
        """Return the pages that leave room for so many entries of the short key.

        beside: mm on each side of the drawing for the ways to the neighbours.
        """
        below = max(self.small_map[1], self._short_key(self.labels, most).height)
        inner = self.page[0] - 2 * beside, self.page[1] - HEAD - 2 * JOIN - GAP - below
        return paginate(
            self.worked.width,
            self.worked.height,
            room=room(inner, self.worked.height),
            cell=self.cells.side,
            least=self.cells.least,
            most=self.cells.most,
        )

    def _fits(self, cut: Pagination) -> bool:
        """Whether the short key of each page has room below its chart."""
        taken = HEAD + 2 * JOIN + GAP + 2 * margins(cut.height).end
        for page in cut.pages:
            met = {index: self.labels[index] for index in entries_on(self.worked, page)}
            free = self.page[1] - taken - page.rows * cut.cell
            if self._short_key(met).height > free + 1e-6:
                return False
        return True

    def _short_key(self, labels: Mapping[int, str], most: int | None = None) -> ShortKey:
        return short_key(self.worked, labels, self.page[0] - self.small_map[0] - MAP_GAP, most)


def _fullest(worked: WorkedChart, cut: Pagination) -> int:
    """Return how many key lines are met on the page that meets most."""
    return max(len(entries_on(worked, each)) for each in cut.pages)


def _within(width: float, height: float, most: tuple[float, float]) -> tuple[float, float]:
    """Return the size of a picture scaled to lie within another, keeping its shape."""
    scale = min(most[0] / width, most[1] / height)
    return width * scale, height * scale
