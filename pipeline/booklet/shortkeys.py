"""The short key under a chart page: which symbols it names, and how it is set. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ..chart.paginate import Page
from ..compose.worked import WorkedChart, present
from .textwidth import text_width

LINE = 4.6  # one line of the short key
TYPE = 7.5  # points; size of its words
SYMBOL, DRAWN = 5.0, 7.6  # room for a symbol and the blank after it; the same where lines are used
APART = 3.5  # at the least, from one entry to the next


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


def short_key(
    worked: WorkedChart, labels: Mapping[int, str], width: float, most: int | None = None
) -> ShortKey:
    """Return how a short key with these words is set in so wide a room.

    most: how many entries it has; as many as there are words by default.
    """
    wide = any(worked.entry(index).is_wide for index in labels)
    symbol = DRAWN if wide else SYMBOL
    widest = max((text_width(each, TYPE) for each in labels.values()), default=0.0)
    item = symbol + widest + APART
    across = max(1, math.floor((width + APART) / item))
    down = math.ceil((len(labels) if most is None else most) / across)
    return ShortKey(labels, symbol, item, across, down * LINE)


def in_columns(entries: tuple[int, ...], across: int) -> tuple[tuple[int, ...], ...]:
    """Return entries in columns of equal height, as few lines as fit."""
    down = max(1, math.ceil(len(entries) / across))
    return tuple(entries[at : at + down] for at in range(0, len(entries), down))


def entries_on(worked: WorkedChart, page: Page) -> tuple[int, ...]:
    """Return the key lines of which anything is seen on a page, in the order of the key."""
    found = set(present(worked.grid[page.y0 : page.y1, page.x0 : page.x1]))
    for piece in worked.pieces:
        x0, x1 = ((each - piece.x) / piece.cell for each in (page.x0, page.x1))
        y0, y1 = ((each - piece.y) / piece.cell for each in (page.y0, page.y1))
        rows = slice(max(0, math.floor(y0)), max(0, math.ceil(y1)))
        columns = slice(max(0, math.floor(x0)), max(0, math.ceil(x1)))
        found |= set(present(piece.grid[rows, columns]))
    over = worked.design.ground.fabric.over
    for stand in worked.stands:
        low = stand.at / over
        high = low + np.array(stand.stitch.over) / over
        if ((low < (page.x1, page.y1)) & (high > (page.x0, page.y0))).all(axis=1).any():
            found.add(stand.index)
    for line in worked.lines:
        low, high = line.points.min(axis=0), line.points.max(axis=0)
        if low[0] <= page.x1 and high[0] >= page.x0 and low[1] <= page.y1 and high[1] >= page.y0:
            found.add(line.index)
    for knot in worked.knots:
        if page.x0 <= knot.x <= page.x1 and page.y0 <= knot.y <= page.y1:
            found.add(knot.index)
    return tuple(sorted(found - {0}))
