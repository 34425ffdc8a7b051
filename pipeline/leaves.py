"""The chart pages as the booklet sees them: where everything stands on each, and its short key.

Lengths are mm from the top left corner of the page's own area, inside its margins.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .edges import links, margins, room
from .options import Options, Paper
from .paginate import Page, Pagination, paginate
from .worked import WorkedChart

SIDE, TOP, BOTTOM = 7.0, 8.0, 13.5  # margins of a chart page; the running foot stands in the last
HEAD = 6.5  # the line with the number of the chart
JOIN = 4.6  # room on each side of the drawing for the arrow to a neighbour
GAP = 2.0  # between the lower arrow and the short key
LINE = 4.6  # one line of the short key
MAP = (20.0, 16.1)  # the largest the small map gets
FIGURE = 1.42  # mean width of a character of the short key at 7.5 pt, generous
SWATCH = 6.4  # a symbol of the short key with the blank after it, and the gap to the next
LARGE_PRINT = 5.0  # mm; the least cell that keeps the pages few is LEAST
LEAST = 3.0


@dataclass(frozen=True)
class Arrow:
    """The way to a neighbouring page. x, y: the middle of the edge it leads over."""

    side: str
    page: int
    x: float
    y: float


@dataclass(frozen=True)
class Leaf:
    """One chart page.

    address: of its drawing. x, y, width, height: of the drawing. entries: the key lines met on
    this page. here_x ... here_height: the frame on the small map.
    """

    page: Page
    address: str
    x: float
    y: float
    width: float
    height: float
    arrows: tuple[Arrow, ...]
    entries: tuple[int, ...]
    here_x: float
    here_y: float
    here_width: float
    here_height: float


@dataclass(frozen=True)
class Layout:
    """What all chart pages share.

    pagination: which cells go where. side, top, bottom: margins. width, height: of a page's own area. foot_y: where the short
    key begins. item: width of one of its entries. map_width, map_height: of the small map.
    """

    pagination: Pagination
    side: float
    top: float
    bottom: float
    width: float
    height: float
    foot_y: float
    item: float
    map_width: float
    map_height: float


def plan(worked: WorkedChart, options: Options, labels: Sequence[str]) -> Layout:
    """Cut the chart into pages, leaving just the room that the fullest short key needs.

    labels: what the short key prints beside each symbol, for every key line in use.

    Raises:
        ValueError: when the paper has no room for a single cell.
    """
    paper = options.paper
    width, height = paper.width - 2 * SIDE, paper.height - TOP - BOTTOM
    item = SWATCH + FIGURE * max((len(each) for each in labels), default=3)
    map_width, map_height = _within(worked.width, worked.height, MAP)
    across = max(1, math.floor((width - MAP[0] - 4) / item))
    most = len(labels)
    pagination = None
    # The first round leaves room for the whole key; the second for the fullest page of the first.
    for _ in range(2):
        foot = max(map_height, LINE * math.ceil(most / across))
        inner = width - 2 * JOIN, height - HEAD - 2 * JOIN - GAP - foot
        pagination = paginate(
            worked.width,
            worked.height,
            room=room(inner, worked.height),
            cell=options.cell,
            least=LEAST,
        )
        most = max(len(entries_on(worked, page)) for page in pagination.pages)
    assert pagination is not None
    return Layout(pagination, SIDE, TOP, BOTTOM, width, height, height - foot, item, map_width, map_height)


def leaves(worked: WorkedChart, layout: Layout) -> tuple[Leaf, ...]:
    """Return all chart pages in reading order."""
    return tuple(_leaf(worked, layout, page) for page in layout.pagination.pages)


def _leaf(worked: WorkedChart, layout: Layout, page: Page) -> Leaf:
    pagination = layout.pagination
    around = margins(pagination.height)
    width = page.columns * pagination.cell + 2 * around.side
    height = page.rows * pagination.cell + 2 * around.end
    x, y = (layout.width - width) / 2, HEAD + JOIN
    scale_x, scale_y = layout.map_width / worked.width, layout.map_height / worked.height
    return Leaf(
        page,
        f"chart:{page.number}",
        x,
        y,
        width,
        height,
        tuple(Arrow(link.side, link.page, x + link.x, y + link.y) for link in links(page, pagination)),
        entries_on(worked, page),
        page.core_x0 * scale_x,
        page.core_y0 * scale_y,
        (page.core_x1 - page.core_x0) * scale_x,
        (page.core_y1 - page.core_y0) * scale_y,
    )


def entries_on(worked: WorkedChart, page: Page) -> tuple[int, ...]:
    """Return the key lines of which anything is seen on a page, in the order of the key."""
    found = set(np.unique(worked.grid[page.y0 : page.y1, page.x0 : page.x1]).tolist())
    for piece in worked.pieces:
        x0, x1 = ((each - piece.x) / piece.cell for each in (page.x0, page.x1))
        y0, y1 = ((each - piece.y) / piece.cell for each in (page.y0, page.y1))
        rows = slice(max(0, math.floor(y0)), max(0, math.ceil(y1)))
        columns = slice(max(0, math.floor(x0)), max(0, math.ceil(x1)))
        found |= set(np.unique(piece.grid[rows, columns]).tolist())
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


def text_room(paper: Paper) -> tuple[float, float]:
    """Return width and height of a text page's own area: see templates/paper.css.j2."""
    edge = 30.0 if paper.width > 250 else 14.0 if paper.width < 180 else 20.0
    return paper.width - 2 * edge, paper.height - 2 * edge - 2
