"""Positions of the chart, which count crosses, as whole threads of the fabric."""

from __future__ import annotations

import math

from ..core.items import Anchor

# How far, in threads, a position may be off: a third of a cross cannot be written out in full.
TOLERANCE = 0.01


def threads(position: float, over: int) -> int | None:
    """Return a position or distance in crosses as whole threads, None where it splits one."""
    exact = position * over
    if not math.isfinite(exact):
        return None
    whole = round(exact)
    return whole if abs(exact - whole) <= TOLERANCE else None


def middle_start(
    position: float, length: int, cell: int, over: int, *, later: bool = False
) -> int | None:
    """Return where a thing begins, in threads, whose middle stands at a position in crosses.

    length: its length in threads. cell: threads that one of its crosses spans. Where the middle
    would fall inside a cross, the thing moves up or left to the next whole cross (later: down or
    right), or to the next whole thread if the position is itself off the grid of its crosses.
    """
    halves = threads(position, 2 * over)
    if halves is None:
        return None
    start = halves - length  # in half threads
    on_grid = halves % (2 * cell) == 0
    step = 2 * cell if on_grid else 2
    whole = -(-start // step) if later else start // step
    return whole * step // 2


def corner(
    at: tuple[float, float], anchor: Anchor, size: tuple[int, int], cell: int, over: int
) -> tuple[int, int] | None:
    """Return the top left corner in threads of a thing placed by one of its anchors.

    size: its width and height in threads. None where the position splits a thread.
    """
    right, bottom = anchor.share
    if 0.5 in anchor.share:
        x = middle_start(at[0], size[0], cell, over)
        y = middle_start(at[1], size[1], cell, over)
        return None if x is None or y is None else (x, y)
    x, y = threads(at[0], over), threads(at[1], over)
    if x is None or y is None:
        return None
    return x - size[0] * int(right), y - size[1] * int(bottom)
