"""The chart pages as the booklet sees them: where everything stands on each, and its short key.

Lengths are those of `layout`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..chart.edges import margins
from ..chart.paginate import Page
from ..compose.worked import WorkedChart
from .layout import GAP, HEAD, MAP_GAP, Layout
from .neighbours import JOIN, Arrow, arrows
from .shortkeys import ShortKey, entries_on, in_columns, short_key


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
