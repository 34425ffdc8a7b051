"""Where in its cell a symbol stands: the middle, or the part that a part stitch covers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import assert_never

from ..core.model import KeyEntry, Kind, Part
from ..stitches.kinds import CORNERS

WHOLE = (0.0, 0.0, 1.0)


@dataclass(frozen=True)
class _Stand:
    """How a symbol stands in a part stitch.

    weight: of several parts it stands in that of the least. side: of its box, in cells. inset:
    from the corner that the stitch lies in, None where it stands in the middle.
    """

    weight: int
    side: float
    inset: float | None = None


def _stand(kind: Kind) -> _Stand:
    match kind:
        case Kind.FULL:
            return _Stand(0, 1.0)
        case Kind.THREE_QUARTER:
            return _Stand(1, 0.54, 0.02)
        case Kind.HALF:
            return _Stand(2, 0.6)
        case Kind.UPRIGHT:
            return _Stand(3, 0.56)
        case Kind.QUARTER:
            return _Stand(4, 0.5, 0.0)
        case Kind.BACK | Kind.STRAIGHT | Kind.KNOT | Kind.BEAD:
            raise ValueError(f"{kind} bears no symbol")
        case _:
            assert_never(kind)


def main_part(entry: KeyEntry) -> Part:
    """Return the part of a cell's key line that its symbol stands in."""
    return min(entry.parts, key=lambda each: _stand(each.kind).weight)


def symbol_box(entry: KeyEntry) -> tuple[float, float, float]:
    """Return the corner (x, y) and side of the box of a symbol, in cells from the top left.

    The box lies within the shape that `crosses` draws for the part stitch.
    """
    if not entry.is_cell:
        return WHOLE
    part = main_part(entry)
    stand = _stand(part.kind)
    side, inset = stand.side, stand.inset
    if inset is None or part.way is None:
        return (1 - side) / 2, (1 - side) / 2, side
    far = 1 - inset - side
    x, y = CORNERS[part.way]
    return far if x else inset, far if y else inset, side
