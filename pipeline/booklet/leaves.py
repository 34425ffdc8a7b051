"""The chart pages as the booklet sees them: what stands where on each.

Lengths are those of `layout`. The short key under a page names the symbols on it. The ways to
neighbours above and below have a line of their own. At the sides they stand among the numbers of
the rows, turned on end, where two numbers leave room for one: a line of their own would cost
columns.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from ..chart.badges import badges
from ..chart.edges import FIGURE_HEIGHT, NUMBER_AT, margins, numbered_rows
from ..chart.options import Ink, Options
from ..chart.paginate import Page, Pagination
from ..compose.worked import WorkedChart
from .layout import MAP_GAP, Bands, Layout
from .places import Places, numbered
from .shortkey import ShortKey

CLEAR = 2.5  # between a way and the numbers before and after it, both together
BEFORE = 30.0  # what a reader who is led to a ring sees to the left of it and above it


@dataclass(frozen=True)
class LeafSet:
    """One run of all chart pages. name: what their anchors begin with; mark: their drawings.

    ink: None for that of the booklet.
    """

    name: str
    mark: str = ""
    ink: Ink | None = None


def sets(options: Options) -> tuple[LeafSet, ...]:
    """Return how often, and how, the chart is shown."""
    own = LeafSet("chart")
    return (own, LeafSet("symbols", "symbols:", Ink.SYMBOLS)) if options.with_symbols else (own,)


@dataclass(frozen=True)
class Arrow:
    """The way to a neighbouring page. x, y: the middle of its sign."""

    side: str
    page: int
    x: float
    y: float


def among_numbers(pagination: Pagination, bands: Bands) -> bool:
    """Whether the ways to the sides have room among the numbers on all pages."""
    first = pagination.pages[:: pagination.across]  # all others have the rows of one of these
    return all(_between_rows(page, pagination, bands) is not None for page in first)


def arrows(
    page: Page, pagination: Pagination, x: float, y: float, bands: Bands, *, among: bool
) -> tuple[Arrow, ...]:
    """Return the ways to the neighbours of a page whose drawing has its corner at x, y.

    among: whether those to the sides stand among the numbers, on all pages.
    """
    around = margins(pagination.height)
    width = page.columns * pagination.cell + 2 * around.side
    height = page.rows * pagination.cell + 2 * around.end
    middle, out = x + width / 2, bands.join / 2
    inside = _between_rows(page, pagination, bands) if among else None
    if inside is None:
        aside, at_y = -out, y + height / 2
    else:
        aside, at_y = (around.side - NUMBER_AT) / 2, y + around.end + inside
    places = (
        ("left", page.left, x + aside, at_y),
        ("right", page.right, x + width - aside, at_y),
        ("above", page.above, middle, y - out),
        ("below", page.below, middle, y + height + out),
    )
    return tuple(Arrow(side, to, at_x, at) for side, to, at_x, at in places if to is not None)


def _between_rows(page: Page, pagination: Pagination, bands: Bands) -> float | None:
    """Return where a way fits between two numbers of rows, in mm below the first row.

    None where no two are far enough apart. The gap nearest to the middle of the page is taken.
    """
    wanted = bands.aside + FIGURE_HEIGHT + CLEAR
    cell = pagination.cell
    rows = [(each - page.y0) * cell for each in numbered_rows(page, pagination)]
    fitting = [(one + two) / 2 for one, two in pairwise(rows) if two - one >= wanted]
    return min(fitting, key=lambda at: abs(at - page.rows * cell / 2), default=None)


@dataclass(frozen=True)
class Ring:
    """The ringed number of a note on the drawing of a chart page.

    x, y, size: the square around it. first: whether this is the first page that its note names.
    """

    number: int
    x: float
    y: float
    size: float
    first: bool

    @property
    def to_x(self) -> float:
        """Where the view of it begins, from the left."""
        return max(0.0, self.x - BEFORE)

    @property
    def to_y(self) -> float:
        """Where the view of it begins, from the top."""
        return max(0.0, self.y - BEFORE)


@dataclass(frozen=True)
class Leaf:
    """One chart page.

    address: of its drawing. x, y, width, height: of the drawing. entries: the key lines met on
    this page. short: its short key; foot_x, foot_y: where that begins.
    here_x, here_y, here_width, here_height: the frame on the small map. rings: of the notes.
    """

    page: Page
    address: str
    x: float
    y: float
    width: float
    height: float
    arrows: tuple[Arrow, ...]
    entries: tuple[int, ...]
    short: ShortKey
    foot_x: float
    foot_y: float
    here_x: float
    here_y: float
    here_width: float
    here_height: float
    rings: tuple[Ring, ...] = ()


def leaves(layout: Layout) -> tuple[Leaf, ...]:
    """Return all chart pages in reading order."""
    among = among_numbers(layout.pagination, layout.bands)
    return tuple(_leaf(layout, page, among=among) for page in layout.pagination.pages)


def with_rings(
    worked: WorkedChart,
    layout: Layout,
    leaves: Sequence[Leaf],
    groups: Sequence[Places],
) -> tuple[Leaf, ...]:
    """Return chart pages with the rings of the notes that stand on them."""
    around, cell = margins(layout.pagination.height), layout.pagination.cell
    notes = numbered(groups)
    firsts = {place.number: place.pages[:1] for group in groups for place in group.places}
    ringed = []
    for leaf in leaves:
        page, radius = leaf.page, layout.ring.radius
        view = float(page.x0), float(page.y0), float(page.x1), float(page.y1)
        rings = []
        placed = badges(notes, worked.pieces, worked.grid, view, cell, radius, worked.drawn_ends)
        for badge in placed:
            x = leaf.x + around.side + (badge.x - page.x0) * cell - radius
            y = leaf.y + around.end + (badge.y - page.y0) * cell - radius
            rings.append(Ring(badge.number, x, y, 2 * radius, page.number in firsts[badge.number]))
        ringed.append(replace(leaf, rings=tuple(rings)))
    return tuple(ringed)


def foot(layout: Layout, page: Page) -> tuple[float, ShortKey]:
    """Return where the short key of a page begins, from the top, and how it is set."""
    pagination, bands = layout.pagination, layout.bands
    around, joins = margins(pagination.height), _joins(layout)
    height = page.rows * pagination.cell + 2 * around.end
    at = bands.head + joins + (around.end if layout.beside else height + joins + bands.gap)
    told = layout.keys.met(page) if layout.keyed else ()
    width = layout.own_width - layout.beside
    if layout.map_width and len(pagination.pages) > 1:
        width -= layout.map_width + MAP_GAP
    return at, layout.keys.of(told, width)


def _joins(layout: Layout) -> float:
    return layout.bands.join if layout.pagination.down > 1 else 1.5


def _leaf(layout: Layout, page: Page, *, among: bool) -> Leaf:
    pagination, bands = layout.pagination, layout.bands
    around = margins(pagination.height)
    width = page.columns * pagination.cell + 2 * around.side
    height = page.rows * pagination.cell + 2 * around.end
    y = bands.head + _joins(layout)
    x = 0.0 if layout.beside else (layout.own_width - width) / 2
    entries = layout.keys.met(page)
    foot_y, short = foot(layout, page)
    scale_x, scale_y = layout.map_width / pagination.width, layout.map_height / pagination.height
    return Leaf(
        page,
        f"chart:{page.number}",
        x,
        y,
        width,
        height,
        arrows(page, pagination, x, y, bands, among=among),
        entries,
        short,
        layout.beside,
        foot_y,
        page.core_x0 * scale_x,
        page.core_y0 * scale_y,
        (page.core_x1 - page.core_x0) * scale_x,
        (page.core_y1 - page.core_y0) * scale_y,
    )
