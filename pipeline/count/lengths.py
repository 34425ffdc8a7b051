"""What one stitch takes of the needle's thread: on the front, on the back, and to the next.

Lengths in mm. w, h: width and height of a cross, d: its diagonal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import assert_never

from ..core.model import Method, Part, Point
from ..stitches.kinds import STITCHES, strokes

KNOT = 12.7  # mm for a knot of two wraps, half an inch; common practice, no single source
WRAPS = 2


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


def take(part: Part, width: float, height: float, method: Method) -> Take:
    """Return what a stitch of a cell takes; width and height of its cross in mm.

    On the front the sum of its strokes. On the back the way from where each goes down to where
    the next comes up, and on to the first of the stitch beside it. Crosses in rows go out in half
    crosses and come back in upper legs, from each to the same of the next cell: always straight
    down (or up) behind the fabric, (2 n - 1) h on the back of a row of n (T. de Dillmont,
    Encyclopedia of Needlework, at fig. 253). With each finished it is h within the cross, then d
    to the next (School Sewing, paragraph 124).
    """
    needle = strokes(part)

    def long(start: Point, end: Point, along: int = 0) -> float:
        return math.hypot((end[0] + along - start[0]) * width, (end[1] - start[1]) * height)

    front = sum(long(each.up, each.down) for each in needle)
    match method:
        case Method.ROWS if STITCHES[part.kind].rows:
            out, home = needle
            last = long(home.down, home.up, -1)
            return Take(front, long(out.down, out.up, 1) + last, last)
        case Method.ROWS | Method.EACH:
            within = sum(long(one.down, other.up) for one, other in pairwise(needle))
            last = long(needle[-1].down, needle[0].up, 1)
            return Take(front, within + last, last)
        case _:
            assert_never(method)
