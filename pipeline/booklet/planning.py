"""How a chart is cut so that its pages are few and each has room for its short key."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property, partial

from ..chart.edges import margins, room
from ..chart.figures import Figures, figures
from ..chart.options import Options
from ..chart.paginate import STEP, Pagination, Wishes, paginate
from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostic, finding
from ..core.paging import Axis, Orientation
from .keylist import Labels
from .layout import BETWEEN, MAP_GAP, SIDE, TOP, Layout, Setting, lying, setting
from .leaves import among_numbers, foot
from .shortkey import ShortKeys
from .wholepage import whole_page

LEAST_MAP, MOST_MAP = (20.0, 14.0), (32.0, 22.0)  # mm; room for the small map
SMALLER = 4  # sizes of cells that are tried to save pages
SHARED = 0.75  # how small cells may get, of those on pages of their own, to share a page
TURNED = 0.9  # how much larger cells must be on pages that are turned, to be worth the turning


def laid_out(
    worked: WorkedChart, options: Options, codes: Labels, names: Labels
) -> Layout | Diagnostic:
    """Return the layout of the chart pages, or what there is to say where there can be none.

    codes, names: as for `plan`.
    """
    try:
        if options.whole:
            return whole_page(worked, ShortKeys(worked, names), options.cell)
        return plan(worked, options, codes, names)
    except ValueError:
        pass
    place, paper = worked.design.chart.span, options.paper
    if options.whole:
        return finding(
            "no-room",
            f"{worked.width:,} x {worked.height:,} crosses make a page larger than a PDF can have.",
            place,
            "Choose a smaller cell, or leave --whole out.",
        )
    return finding(
        "no-room",
        f"No chart cell fits on pages of {paper.width:g} x {paper.height:g} mm beside the key.",
        place,
        "Choose larger paper or a smaller cell.",
    )


def plan(worked: WorkedChart, options: Options, codes: Labels, names: Labels) -> Layout:
    """Cut the chart into pages, leaving each the room that its own short key needs.

    names: what the short key prints beside each symbol. codes: the least of it, printed where the
    rest has no room at all.

    Pages lie as is said, else as fits best: with the fewest for the size of the cell. A cell
    smaller than usual is taken where it saves a larger share of the pages than it takes of the
    cell.

    Raises:
        ValueError: when the paper has no room for a single cell.
    """
    form = setting(options.paper, options.large, options.gutter or 0.0)
    try:
        return _best(_Chart(worked, ShortKeys(worked, names)), form, options)
    except ValueError:
        return _best(_Chart(worked, ShortKeys(worked, codes)), form, options)


def _best(chart: _Chart, form: Setting, options: Options) -> Layout:
    """Return the layout with the largest cells for its number of pages.

    Of those with as many pages or fewer that is taken whose cells are largest for what is cut.
    """
    layouts: list[Layout] = []
    for orientation in _orientations(chart.worked, options):
        planning = _Planning(chart, form, lying(options.paper, orientation), options.cell)
        printed = math.inf
        for least in _leasts(form, options):
            try:
                if planning.fewest(least) < printed:
                    rival = max(layouts, key=partial(_cells, form), default=None)
                    layouts.append(replace(planning, rival=rival).layout(least))
                    printed = layouts[-1].printed
            except ValueError:  # there may be room in another way
                pass
    if not layouts:
        raise ValueError("no cell fits on the page")
    few = max(layouts, key=partial(_cells, form)).printed
    layouts = [each for each in layouts if each.printed <= few]
    return _mapped(max(layouts, key=lambda each: _cells(form, each) / (1 + each.pagination.cost)))


def _cells(form: Setting, layout: Layout) -> float:
    """Return how large a cell is for each printed page, less for pages that are turned."""
    turned = layout.page != lying(form.paper, None)
    return layout.pagination.cell * (TURNED if turned else 1.0) / layout.printed


def _mapped(layout: Layout) -> Layout:
    """Return the layout with as large a map as leaves every short key the lines it has room for."""
    cut, bands = layout.pagination, layout.bands
    if not layout.keyed or len(cut.pages) == 1:
        return layout
    tallest = max(page.rows for page in cut.pages) * cut.cell + 2 * margins(cut.height).end
    free = layout.own_height - bands.head - 2 * bands.join - bands.gap - tallest
    width, height = _within(cut.width, cut.height, (MOST_MAP[0], min(free, MOST_MAP[1])))
    larger = replace(layout, map_width=width, map_height=height)
    feet = (foot(larger, page) for page in cut.pages)
    fits = all(at + short.height <= layout.own_height + 1e-6 for at, short in feet)
    return larger if fits else layout


def _orientations(worked: WorkedChart, options: Options) -> tuple[Orientation | None, ...]:
    """Return how chart pages may lie, the likeliest first; None: as all others do."""
    if not options.turns:
        return (None,)
    said = options.orientation or worked.design.paging.orientation
    if said is not None:
        return (said,)
    usual = lying(options.paper, None)
    return (None, *(each for each in Orientation if lying(options.paper, each) != usual))


def _leasts(form: Setting, options: Options) -> list[float]:
    """Return the smallest cells to be tried, in mm, the largest first."""
    if options.cell is not None:
        return [options.cell]
    step = (form.least - form.readable) / SMALLER
    return [form.least - each * step for each in range(SMALLER + 1 if step else 1)]


@dataclass(frozen=True)
class _Chart:
    """What is planned, and what is known of it on whatever pages.

    keys: the short keys of its pages.
    """

    worked: WorkedChart
    keys: ShortKeys

    @cached_property
    def figures(self) -> Figures:
        """What a break had better not cut."""
        return figures(self.worked)

    @cached_property
    def wishes(self) -> Wishes:
        """What the designer says of the pages; what lies outside the chart is told by a check."""
        paging = self.worked.design.paging
        at: dict[Axis, set[int]] = {axis: set() for axis in Axis}
        for each in paging.breaks:
            at[each.axis].add(each.before - 1)
        return Wishes(
            tuple(sorted(at[Axis.COLUMN] & set(range(1, self.worked.width)))),
            tuple(sorted(at[Axis.ROW] & set(range(1, self.worked.height)))),
            paging.overlap,
        )


@dataclass(frozen=True)
class _Planning:
    """The pages of a chart on paper that lies one way; page: width and height of that, in mm.

    cell: side of a cell in mm where it is said. rival: a layout that is to be bettered.
    """

    chart: _Chart
    form: Setting
    page: tuple[float, float]
    cell: float | None
    rival: Layout | None = None

    @property
    def own(self) -> tuple[float, float]:
        """Width and height of a page's own area, in units of `Setting.scale`."""
        scale = self.form.scale  # what printers need stays
        width = (self.page[0] - 2 * SIDE - self.form.gutter) / scale
        return width, self.page[1] / scale - TOP / scale - self.form.bands.foot

    def fewest(self, least: float) -> int:
        """Return how many printed pages there are at the least; 0 where charts may share one.

        Raises:
            ValueError: as for `layout`.
        """
        request = self._request(self.own, least)
        cut = request.with_room(0.0, request.least_below)
        return 0 if 1 in (cut.across, cut.down) else len(cut.pages)

    def layout(self, least: float) -> Layout:
        """Return the layout with cells of so many mm or more.

        Raises:
            ValueError: when the paper has no room for a single cell, or the rival is better.
        """
        alone = self._arranged(least)
        cut = alone.pagination
        # Pages that are all as somebody says stay pages of their own.
        said = (self.chart.wishes.breaks_x, self.chart.wishes.breaks_y)
        if 1 not in (cut.across, cut.down) or said == (cut.breaks_x[1:-1], cut.breaks_y[1:-1]):
            return alone
        cells = max(least / self.form.scale, SHARED * cut.cell)
        shared = [*self._stacked(alone), *self._abreast(least, cut.across)]
        worth = [each for each in shared if each.pagination.cell >= cells - 1e-9]
        return max((alone, *worth), key=lambda each: each.pagination.cell / each.printed)

    def _request(self, page: tuple[float, float], least: float) -> _Request:
        scale = self.form.scale
        cell = None if self.cell is None else self.cell / scale
        cells = _Cells(cell, least / scale, self.form.most / scale)
        return _Request(self.chart, self.form, cells, page, self.rival)

    def _arranged(self, least: float, abreast: int = 1) -> Layout:
        width, height = self.own
        own = (width - BETWEEN * (abreast - 1)) / abreast, height
        cut = self._request(own, least).cut()
        small_map = _within(cut.width, cut.height, LEAST_MAP) if self.form.keyed else (0.0, 0.0)
        return Layout(
            self.form.scale,
            cut,
            SIDE / self.form.scale,
            TOP / self.form.scale,
            width,
            height,
            self.chart.keys,
            *small_map,
            self.page,
            self.form.bands,
            self.form.gutter / self.form.scale,
            abreast,
            keyed=self.form.keyed,
            ring=self.form.ring,
        )

    def _abreast(self, least: float, across: int) -> Iterator[Layout]:
        """Give the layout with two charts side by side on each printed page, if there is one."""
        try:
            layout = self._arranged(least, 2)
        except ValueError:
            return
        if layout.pagination.across == across:
            yield layout

    def _stacked(self, alone: Layout) -> Iterator[Layout]:
        """Give the layouts with charts one below another, with the largest cells for each.

        There are no more to a page than it takes, so that the last is not left nearly bare.
        """
        cut = alone.pagination
        feet = [(page.rows, *foot(alone, page)) for page in cut.pages]
        charts = len(feet)
        for pages in range(1, charts):
            layout = replace(alone, stacked=math.ceil(charts / pages))
            cell = min(
                (layout.own_height - at - max(alone.map_height, short.height)) / rows + cut.cell
                for rows, at, short in feet
            )
            cell = min(cut.cell, math.floor(cell / STEP + 1e-9) * STEP)
            if cell == cut.cell or self.cell is None:
                yield replace(layout, pagination=replace(cut, cell=cell))


@dataclass(frozen=True)
class _Cells:
    """Side of a cell, None to choose it between the least and the most."""

    side: float | None
    least: float
    most: float


@dataclass(frozen=True)
class _Request:
    """What pages are asked for; page: width and height of each, in units of `Setting.scale`."""

    chart: _Chart
    form: Setting
    cells: _Cells
    page: tuple[float, float]
    rival: Layout | None

    @property
    def least_below(self) -> float:
        """What stands below the chart of every page, at the least: its small map."""
        return LEAST_MAP[1] if self.form.keyed else 0.0

    def cut(self) -> Pagination:
        """Return the pages that leave room for the short key of each and for the small map."""
        for beside in (0.0, self.form.bands.join):
            below = self.least_below
            cut = self.with_room(beside, below)
            while (higher := self._wanted(cut, below)) > below:
                below = higher
                cut = self.with_room(beside, below)
                if self._is_worse(cut):
                    raise ValueError("others have larger cells on fewer pages")
            if cut.across == 1 or among_numbers(cut, self.form.bands):
                break
        return cut

    def _is_worse(self, cut: Pagination) -> bool:
        """Whether the rival has fewer pages and larger cells for them, whichever way these lie."""
        if self.rival is None or 1 in (cut.across, cut.down):
            return False
        printed, pages = self.rival.printed, len(cut.pages)
        return pages > printed and cut.cell / pages < TURNED * self.rival.pagination.cell / printed

    def with_room(self, beside: float, below: float) -> Pagination:
        """Return the pages that leave so much room.

        beside: on each side of the drawing for the ways to the neighbours. below: under it.
        """
        worked = self.chart.worked
        inner = self.page[0] - 2 * beside, self.page[1] - self._taken - below
        return paginate(
            worked.width,
            worked.height,
            room=room(inner, worked.height),
            cell=self.cells.side,
            least=self.cells.least,
            most=self.cells.most,
            readable=self.form.readable / self.form.scale,
            overlap=self.form.overlap,
            wishes=self.chart.wishes,
            figures=self.chart.figures,
        )

    @property
    def _taken(self) -> float:
        """How much of the height is taken by what stands above the drawing and below it."""
        bands = self.form.bands
        return bands.head + 2 * bands.join + bands.gap

    def _wanted(self, cut: Pagination, below: float) -> float:
        """Return how much room to leave below: more by the least that some page lacks, or a mm."""
        if not self.form.keyed:
            return below
        taken = self._taken + 2 * margins(cut.height).end
        width = self.page[0] - LEAST_MAP[0] - MAP_GAP
        keys, lacking = self.chart.keys, []
        for page in cut.pages:
            height = keys.of(keys.met(page), width).height
            free = self.page[1] - taken - page.rows * cut.cell
            if height > free + 1e-6:
                lacking.append(height - free)
        return below + max(1.0, min(lacking)) if lacking else below


def _within(width: float, height: float, most: tuple[float, float]) -> tuple[float, float]:
    """Return the size of a picture scaled to lie within another, keeping its shape."""
    scale = min(most[0] / width, most[1] / height)
    return width * scale, height * scale
