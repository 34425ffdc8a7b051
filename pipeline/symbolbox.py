"""Where in its cell a symbol stands: the middle, or the part that a part stitch covers."""

from __future__ import annotations

from .model import KeyEntry, Kind, Way

WHOLE = (0.0, 0.0, 1.0)
# A key line with several parts has one symbol; it stands in the first of these.
_WEIGHT = (Kind.FULL, Kind.THREE_QUARTER, Kind.HALF, Kind.UPRIGHT, Kind.QUARTER)


def symbol_box(entry: KeyEntry) -> tuple[float, float, float]:
    """Return the corner (x, y) and side of the box of a symbol, in cells from the top left."""
    if not entry.is_cell:
        return WHOLE
    part = min(entry.parts, key=lambda each: _WEIGHT.index(each.kind))
    if part.kind is Kind.FULL:
        return WHOLE
    if part.kind in (Kind.HALF, Kind.UPRIGHT):
        return 0.13, 0.13, 0.74
    side, inset = (0.62, 0.02) if part.kind is Kind.THREE_QUARTER else (0.5, 0.0)
    far = 1 - inset - side
    left = part.way in (Way.TOP_LEFT, Way.BOTTOM_LEFT)
    top = part.way in (Way.TOP_LEFT, Way.TOP_RIGHT)
    return inset if left else far, inset if top else far, side
