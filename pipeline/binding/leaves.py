"""The chart pages as the booklet sees them: where everything stands on each, and its short key.

Lengths are mm from the top left corner of the page's own area, inside its margins. Large print is
planned like any other, in units larger than a mm: see `Layout.scale`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ..composing.worked import WorkedChart, present
from ..drawing.edges import margins, room
from ..drawing.options import Options
from ..drawing.paginate import Page, Pagination, paginate
from .setting import setting
from .textwidth import text_width

SIDE, TOP, BOTTOM = 7.0, 8.0, 13.5  # margins of a chart page; the running foot stands in the last
HEAD = 6.5  # the line with the number of the chart
JOIN = 4.6  # room on each side of the drawing for the arrow to a neighbour
GAP = 2.0  # between the lower arrow and the short key
LINE = 4.6  # one line of the short key
TYPE = 7.5  # points; size of its words
SYMBOL, DRAWN = 5.0, 7.6  # room for a symbol and the blank after it; the same where lines are used
APART = 3.5  # at the least, from one entry to the next
LEAST_MAP, MOST_MAP = (20.0, 14.0), (32.0, 22.0)  # room for the small map
SHRINK = 0.88  # how much smaller cells may get to make room for names
MAP_GAP = 4.0  # between short key and map


@dataclass(frozen=True)
class ShortKey:
    """How the short key of a page is set.

    labels: the words beside each symbol, by key line. symbol: room for the symbol. item: width of
    an entry. across: entries in a line. height: of the whole.
    """

    labels: Mapping[int, str]
    symbol: float
    item: float
    across: int
    height: float


@dataclass(frozen=True)
class Arrow:
    """The way to a neighbouring page. x, y: the middle of its sign."""

    side: str
    page: int
    x: float
    y: float


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
    map.
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


def plan(
    worked: WorkedChart, options: Options, codes: Mapping[int, str], names: Mapping[int, str]
) -> Layout:
    """Cut the chart into pages, leaving just the room that the fullest short key needs.

    codes: the least that the short key prints beside each symbol, by key line in use. names: what
    it prints where the pages have room to spare.

    Raises:
        ValueError: when the paper has no room for a single cell.
    """
    form = setting(options.paper, options.large)
    scale = form.scale
    side, top = SIDE / scale, TOP / scale  # what printers need stays
    width = form.paper.width / scale - 2 * side
    height = form.paper.height / scale - top - BOTTOM
    cells = _Cells(
        None if options.cell is None else options.cell / scale,
        form.least / scale,
        form.most / scale,
    )
    pagination = _cut(worked, cells, (width, height), codes, LEAST_MAP)
    try:
        other = _cut(worked, cells, (width, height), names, MOST_MAP)
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
    return Layout(scale, pagination, side, top, BOTTOM, width, height, codes, names, *small_map)


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
    most = len(labels)
    # The first round leaves room for the whole key, the next for the fullest page before.
    for _ in range(2):
        short = _short_key(worked, labels, page[0] - small_map[0] - MAP_GAP, most)
        foot = max(small_map[1], short.height)
        inner = page[0] - 2 * JOIN, page[1] - HEAD - 2 * JOIN - GAP - foot
        pagination = paginate(
            worked.width,
            worked.height,
            room=room(inner, worked.height),
            cell=cells.side,
            least=cells.least,
            most=cells.most,
        )
        most = max(len(entries_on(worked, each)) for each in pagination.pages)
    return pagination


def _short_key(
    worked: WorkedChart, labels: Mapping[int, str], width: float, most: int | None = None
) -> ShortKey:
    """Return how a short key with these words is set in so wide a room.

    most: how many entries it has; as many as there are words by default.
    """
    lines = any(worked.entry(index).is_line for index in labels)
    symbol = DRAWN if lines else SYMBOL
    widest = max((text_width(each, TYPE) for each in labels.values()), default=0.0)
    item = symbol + widest + APART
    across = max(1, math.floor((width + APART) / item))
    down = math.ceil((len(labels) if most is None else most) / across)
    return ShortKey(labels, symbol, item, across, down * LINE)


def _chosen_key(
    worked: WorkedChart, layout: Layout, entries: Sequence[int], room: float
) -> ShortKey:
    """Return the short key of a page: with names where there is room for them."""
    width = layout.width - layout.map_width - MAP_GAP
    keys = [
        _short_key(worked, {index: words[index] for index in entries}, width)
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
    width = page.columns * pagination.cell + 2 * around.side
    height = page.rows * pagination.cell + 2 * around.end
    x, y = (layout.width - width) / 2, HEAD + JOIN
    entries = entries_on(worked, page)
    foot_y = y + height + JOIN + GAP
    short = _chosen_key(worked, layout, entries, layout.height - foot_y)
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
        _arrows(page, x, y, width, height),
        entries,
        short,
        _columns(entries, short.across),
        foot_y,
        page.core_x0 * scale_x,
        page.core_y0 * scale_y,
        (page.core_x1 - page.core_x0) * scale_x,
        (page.core_y1 - page.core_y0) * scale_y,
    )


def _columns(entries: tuple[int, ...], across: int) -> tuple[tuple[int, ...], ...]:
    """Return entries in columns of equal height, as few lines as fit."""
    down = max(1, math.ceil(len(entries) / across))
    return tuple(entries[at : at + down] for at in range(0, len(entries), down))


def _arrows(page: Page, x: float, y: float, width: float, height: float) -> tuple[Arrow, ...]:
    """Return the ways to the neighbours, each in the middle of its side of the drawing."""
    middle_x, middle_y, out = x + width / 2, y + height / 2, JOIN / 2
    places = (
        ("left", page.left, x - out, middle_y),
        ("right", page.right, x + width + out, middle_y),
        ("above", page.above, middle_x, y - out),
        ("below", page.below, middle_x, y + height + out),
    )
    return tuple(Arrow(side, to, at_x, at_y) for side, to, at_x, at_y in places if to is not None)


def entries_on(worked: WorkedChart, page: Page) -> tuple[int, ...]:
    """Return the key lines of which anything is seen on a page, in the order of the key."""
    found = set(present(worked.grid[page.y0 : page.y1, page.x0 : page.x1]))
    for piece in worked.pieces:
        x0, x1 = ((each - piece.x) / piece.cell for each in (page.x0, page.x1))
        y0, y1 = ((each - piece.y) / piece.cell for each in (page.y0, page.y1))
        rows = slice(max(0, math.floor(y0)), max(0, math.ceil(y1)))
        columns = slice(max(0, math.floor(x0)), max(0, math.ceil(x1)))
        found |= set(present(piece.grid[rows, columns]))
    for line in worked.lines:
        low, high = line.points.min(axis=0), line.points.max(axis=0)
        if low[0] <= page.x1 and high[0] >= page.x0 and low[1] <= page.y1 and high[1] >= page.y0:
            found.add(line.index)
    for knot in worked.knots:
        if page.x0 <= knot.x <= page.x1 and page.y0 <= knot.y <= page.y1:
            found.add(knot.index)
    return tuple(sorted(found - {0}))


def _within(width: float, height: float, most: tuple[float, float]) -> tuple[float, float]:
    """Return the size of a picture scaled to lie within another, keeping its shape."""
    scale = min(most[0] / width, most[1] / height)
    return width * scale, height * scale
