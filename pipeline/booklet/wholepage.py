"""The whole chart with its key on one page as large as that takes: for a tablet, or to fold out."""

from __future__ import annotations

import math

from ..chart.edges import margins
from ..chart.options import READABLE_CELL, USUAL_CELL
from ..chart.paginate import Pagination
from ..compose.worked import WorkedChart
from .layout import MAP_GAP, SIDE, TOP, USUAL_BANDS, Layout
from .shortkey import ShortKeys

# mm. No side of a page is longer: 14,400 units of 1/72 in, ISO 32000-1, annex C.2.
LONGEST = 14_400 / 72 * 25.4
SCREEN, MOST = 250.0, 6.0  # a chart smaller than this has larger cells, at most so large
SHEET = 300.0  # a larger chart has larger words around it
NARROWEST = 130.0  # for the words at head and foot


def whole_page(worked: WorkedChart, keys: ShortKeys, cell: float | None = None) -> Layout:
    """Return the layout of the one page. The key stands beside a tall chart, below a wide one.

    keys: with what the key says beside each symbol. cell: side of a cell in mm; None for
    the usual one, larger for a small chart and smaller for one that makes too large a page.

    Raises:
        ValueError: when the page would be larger than a PDF can have it.
    """
    longest = max(worked.width, worked.height)
    if cell is None:
        cell = max(USUAL_CELL, min(MOST, math.floor(20 * SCREEN / longest) / 20))
    layout = _laid_out(worked, keys, cell)
    if max(layout.page) > LONGEST:
        # What stands around the cells grows with them.
        cell *= math.floor(100 * LONGEST / max(layout.page)) / 100
        if cell < READABLE_CELL:
            raise ValueError("the page would be too large")
        layout = _laid_out(worked, keys, cell)
    return layout


def _laid_out(worked: WorkedChart, keys: ShortKeys, side: float) -> Layout:
    across, down = worked.width, worked.height
    # Whoever sees all of a large page at once reads its key too.
    scale = max(1.0, max(across, down) * side / SHEET)
    cell = side / scale
    pagination = Pagination(across, down, cell, 0, (0, across), (0, down))
    around, bands = margins(down), USUAL_BANDS
    width, height = across * cell + 2 * around.side, down * cell + 2 * around.end
    beside = 0.0
    if down > across:
        beside = width + MAP_GAP
        wide = keys.whole(0.0).width
        while keys.whole(wide).height > max(height, wide):
            wide *= 1.25
        width = beside + keys.whole(wide).width
    width = max(width, NARROWEST)
    short = keys.whole(width - beside)
    own_height = bands.head + 3
    own_height += max(height, short.height) if beside else height + bands.gap + short.height
    own = width + 2 * SIDE, TOP + own_height + bands.foot
    return Layout(
        scale,
        pagination,
        SIDE,
        TOP,
        width,
        own_height,
        keys,
        0.0,
        0.0,
        (round(own[0] * scale, 2), round(own[1] * scale, 2)),
        bands,
        beside=beside,
    )
