"""What one stitch takes of the needle's thread: on the front, on the back, and to the next.

Lengths in mm. w, h: width and height of a cross, d: its diagonal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..core.model import Kind, Method

KNOT = 12.7  # mm for a knot of two wraps, half an inch; common practice, no single source


@dataclass(frozen=True)
class Take:
    """What a stitch takes.

    front: on the face. back: on the back in a row of its kind, with the way to the next.
    last: how much of `back` the last stitch of a row does not take.
    """

    front: float
    back: float
    last: float

    def __add__(self, other: Take) -> Take:
        """Return what both take, worked one after the other in one cell."""
        return Take(self.front + other.front, self.back + other.back, min(self.last, other.last))


def take(kind: Kind, width: float, height: float, method: Method) -> Take:
    """Return what a stitch of a cell takes; width and height of its cross in mm.

    Crosses in rows go out in half crosses and come back in upper legs, always straight down (or
    up) behind the fabric: (2 n - 1) h on the back of a row of n (T. de Dillmont, Encyclopedia of
    Needlework, at fig. 253). Each cross finished: h within the cross, then d to the next (School
    Sewing, paragraph 124). The others by their geometry:

    half: d; then straight down to the next, h.
    quarter: from a corner to the middle, d/2; then d/2 to the same corner of the next.
    three-quarter: a quarter, d/2 behind to the end of the half cross, and d to the next.
    upright: h and w on the face; d/2 between its legs and d/2 to the next.
    """
    d = math.hypot(width, height)
    match kind:
        case Kind.FULL:
            if method is Method.ROWS:
                return Take(2 * d, 2 * height, height)
            return Take(2 * d, height + d, d)
        case Kind.HALF:
            return Take(d, height, height)
        case Kind.QUARTER:
            return Take(d / 2, d / 2, d / 2)
        case Kind.THREE_QUARTER:
            return Take(1.5 * d, 1.5 * d, d)
        case Kind.UPRIGHT:
            return Take(width + height, d, d / 2)
        case _:
            raise ValueError(f"{kind} is no stitch of a cell")
