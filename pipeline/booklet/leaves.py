"""The chart pages as the booklet sees them: where everything stands on each, and its short key.

Lengths are those of `layout`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..chart.badges import RADIUS, badges
from ..chart.edges import margins
from ..chart.paginate import Page
from ..compose.worked import WorkedChart
from .keylist import address
from .layout import GAP, HEAD, MAP_GAP, Layout
from .neighbours import JOIN, Arrow, arrows
from .places import Places, numbered
from .samplesize import sample_size
from .shortkeys import LINE, ShortKey, entries_on, in_columns, short_key

SMALL, WIDEST = 3.7, 6.4  # height and most width of a drawing in a short key
BEFORE = 30.0  # what a reader who is led to a ring sees to the left of it and above it


@dataclass(frozen=True)
class Shown:
    """A line of the key in a short key, from the corner of that.

    address: of its drawing; x, y, width, height: where this stands. words_x, line_y: where its
    words begin, and the top of their line.
    """

    address: str
    x: float
    y: float
    width: float
    height: float
    words: str
    words_x: float
    line_y: float


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
    this page. short: how its short key is set; shown: what stands in it; foot_y: where it begins.
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
    shown: tuple[Shown, ...]
    foot_y: float
    here_x: float
    here_y: float
    here_width: float
    here_height: float
    rings: tuple[Ring, ...] = ()


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
    return tuple(_leaf(worked, layout, page) for page in layout.pagination.pages)


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
        page, size = leaf.page, 2 * RADIUS
        view = float(page.x0), float(page.y0), float(page.x1), float(page.y1)
        rings = []
        for badge in badges(notes, worked.pieces, worked.grid, view, cell):
            x = leaf.x + around.side + (badge.x - page.x0) * cell - RADIUS
            y = leaf.y + around.end + (badge.y - page.y0) * cell - RADIUS
            rings.append(Ring(badge.number, x, y, size, page.number in firsts[badge.number]))
        ringed.append(replace(leaf, rings=tuple(rings)))
    return tuple(ringed)


def _leaf(worked: WorkedChart, layout: Layout, page: Page) -> Leaf:
    pagination = layout.pagination
    around = margins(pagination.height)
    joins = JOIN if pagination.down > 1 else 1.5
    width = page.columns * pagination.cell + 2 * around.side
    height = page.rows * pagination.cell + 2 * around.end
    x, y = (layout.own_width - width) / 2, HEAD + joins
    entries = entries_on(worked, page)
    foot_y = y + height + joins + GAP
    short = _chosen_key(worked, layout, entries, layout.own_height - foot_y)
    scale_x, scale_y = layout.map_width / worked.width, layout.map_height / worked.height
    return Leaf(
        page,
        f"chart:{page.number}",
        x,
        y,
        width,
        height,
        arrows(page, pagination, x, y),
        entries,
        short,
        _shown(worked, entries, short),
        foot_y,
        page.core_x0 * scale_x,
        page.core_y0 * scale_y,
        (page.core_x1 - page.core_x0) * scale_x,
        (page.core_y1 - page.core_y0) * scale_y,
    )


def _shown(worked: WorkedChart, entries: tuple[int, ...], short: ShortKey) -> tuple[Shown, ...]:
    """Return where each line of the key stands in a short key."""
    found = []
    for across, column in enumerate(in_columns(entries, short.across)):
        for down, index in enumerate(column):
            width, height = sample_size(worked.entry(index))
            scale = min(SMALL / height, WIDEST / width)
            x, y = across * short.item, down * LINE
            found.append(
                Shown(
                    address(index),
                    x,
                    y + (LINE - height * scale) / 2,
                    width * scale,
                    height * scale,
                    short.labels[index],
                    x + short.symbol,
                    y,
                )
            )
    return tuple(found)
