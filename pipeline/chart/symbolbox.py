"""Where in its cell a symbol stands: the middle, or the part that a part stitch covers."""

from __future__ import annotations

from ..core.model import KeyEntry, Kind, Part, Way

WHOLE = (0.0, 0.0, 1.0)
# A key line with several parts has one symbol; it stands in the first of these.
_WEIGHT = (Kind.FULL, Kind.THREE_QUARTER, Kind.HALF, Kind.UPRIGHT, Kind.QUARTER)


def main_part(entry: KeyEntry) -> Part:
    """Return the part of a cell's key line that its symbol stands in."""
    return min(entry.parts, key=lambda each: _WEIGHT.index(each.kind))


def symbol_box(entry: KeyEntry) -> tuple[float, float, float]:
    """Return the corner (x, y) and side of the box of a symbol, in cells from the top left.

    The box lies within the shape that `crosses` draws for the part stitch.
    """
    if not entry.is_cell:
        return WHOLE
    part = main_part(entry)
    if part.kind is Kind.FULL:
        return WHOLE
    if part.kind in (Kind.HALF, Kind.UPRIGHT):
        side = 0.6 if part.kind is Kind.HALF else 0.56
        return (1 - side) / 2, (1 - side) / 2, side
    side, inset = (0.54, 0.02) if part.kind is Kind.THREE_QUARTER else (0.5, 0.0)
    far = 1 - inset - side
    left = part.way in (Way.TOP_LEFT, Way.BOTTOM_LEFT)
    top = part.way in (Way.TOP_LEFT, Way.TOP_RIGHT)
    return inset if left else far, inset if top else far, side
