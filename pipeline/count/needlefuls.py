"""Cutting the way of one needle into needlefuls."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..core.model import Working
from .forest import Floats

ROUNDING = 1e-6  # mm: a stitch that lacks less can be finished


@dataclass(frozen=True)
class Cut:
    """What a needle takes, in mm, besides its stitches.

    carried: on the back from one area to the next. tails: at both ends of every start.
    left: too short to go on with. needlefuls: lengths cut. starts: how often it is begun anew
    within a needleful. longest: of a needleful; the working length, but where one stitch takes
    more.
    """

    carried: float
    tails: float
    left: float
    needlefuls: int
    starts: int
    longest: float


def cut(stitched: Floats, carry: Floats, step: Floats, working: Working) -> Cut:
    """Work areas one after the other, and cut a new needleful whenever the thread runs short.

    stitched: mm of each area. carry: mm carried to each from the one before, NaN for a new
    start (which the first is). step: mm of one stitch of each; a stitch is never begun that
    cannot be finished. The last needleful is cut no longer than needed.
    """
    if not len(stitched):
        return Cut(0.0, 0.0, 0.0, 0, 0, 0.0)
    ends_and_starts = 2 * working.tail
    fresh = np.isnan(carry)
    move = np.where(fresh, ends_and_starts, carry)
    move[0] = 0.0
    before = np.cumsum(move)  # all moves up to each area
    end = before + np.cumsum(stitched)
    begin = end - stitched
    # However short a needleful is asked for, one stitch can be worked with it.
    usable = max(working.needleful - ends_and_starts, float(step.max()))
    carried = float(carry[1:][~fresh[1:]].sum())
    starts = int(np.count_nonzero(fresh[1:]))
    return _cut_up(
        (begin.tolist(), end.tolist(), move.tolist(), step.tolist(), fresh.tolist()),
        usable,
        Cut(carried, ends_and_starts, 0.0, 1, starts, usable + ends_and_starts),
    )


def _cut_up(
    areas: tuple[
        Sequence[float], Sequence[float], Sequence[float], Sequence[float], Sequence[bool]
    ],
    usable: float,
    whole: Cut,
) -> Cut:
    """Return the cuts; the loop runs once for each needleful."""
    begin, end, move, step, fresh = areas
    carried, starts, left, needlefuls = whole.carried, whole.starts, 0.0, 1
    at = begin[0]
    while True:
        limit = at + usable
        area = bisect_right(end, limit + ROUNDING)
        if area == len(end):
            break
        begun = max(begin[area], at)
        steps = int((limit - begun + ROUNDING) / step[area]) if limit > begun else 0
        needlefuls += 1
        if steps > 0:
            stop = begun + steps * step[area]
            left += max(0.0, limit - stop)
            at = min(stop, end[area])
        else:
            # The next area is begun with a new needleful: nothing is carried to it.
            left += max(0.0, limit - end[area - 1]) if area else 0.0
            if fresh[area]:
                starts -= 1
            else:
                carried -= move[area]
            at = begin[area]
    tails = whole.tails * (needlefuls + starts)
    return Cut(carried, tails, left, needlefuls, starts, whole.longest)
