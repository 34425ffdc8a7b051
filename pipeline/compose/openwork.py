"""Threads withdrawn from the fabric, and how those that are left stand in the gap.

A hemstitch ties the threads left standing into groups: each is drawn together at the edge of the
gap along which it is tied, and where nothing ties it keeps its place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..core.counted import Counted
from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.model import Design, Withdrawal
from .misplaced import between_threads, place
from .positions import threads
from .strokework import Stand
from .worked import Gap, WorkedChart

Reals = NDArray[np.floating[Any]]

MOST_STANDING = 200_000  # threads left in all gaps of a chart
GATHERED = 0.35  # of its width that a tied group keeps; common practice, no single source


def gaps(design: Design) -> tuple[tuple[Gap, ...], list[Diagnostic]]:
    """Return where threads are withdrawn, in threads of the fabric, and what is wrong with it."""
    over = design.ground.fabric.over
    size = design.chart.width * over, design.chart.height * over
    made: list[Gap] = []
    found: list[Diagnostic] = []
    standing = 0
    for each in design.chart.withdrawals:
        x0, y0, x1, y1 = (threads(at, over) for at in (each.x0, each.y0, each.x1, each.y1))
        if x0 is None or y0 is None or x1 is None or y1 is None:
            found.append(between_threads(design, "An end of what is withdrawn", each.span))
            continue
        gap = Gap(each.threads, x0, y0, x1, y1, each.span)
        if x0 == x1 or y0 == y1:
            found.append(_nothing(each))
        elif min(x0, y0) < 0 or x1 > size[0] or y1 > size[1]:
            found.append(_outside(design, each))
        else:
            found.extend(_twice(gap, made, over))
            made.append(gap)
            standing += gap.box[gap.axis + 2] - gap.box[gap.axis]
            if standing > MOST_STANDING:
                found.append(_too_many(each))
                break
    return tuple(made), found


def _too_many(stated: Withdrawal) -> Diagnostic:
    return finding(
        "too-many-of-a-kind",
        f"With this more than {MOST_STANDING:,} threads are left standing in gaps.",
        stated.span,
        "withdraw fewer, or divide the work into several charts",
    )


def _nothing(stated: Withdrawal) -> Diagnostic:
    first, last = _corners(stated)
    return finding(
        "nothing-withdrawn",
        f"Between {first} and {last} there is no thread to withdraw.",
        stated.span,
        "state two corners: the threads between them are withdrawn from one side to the other",
    )


def _outside(design: Design, stated: Withdrawal) -> Diagnostic:
    first, last = _corners(stated)
    size = f"{design.chart.width} x {design.chart.height}"
    return finding(
        "withdrawn-outside",
        f"The threads withdrawn from {first} to {last} lie outside the chart, which is {size}.",
        stated.span,
        "move the corners in, or make the chart larger: what is withdrawn is counted in its size",
    )


def _corners(stated: Withdrawal) -> tuple[str, str]:
    return place((stated.x0, stated.y0)), place((stated.x1, stated.y1))


def _twice(gap: Gap, before: Sequence[Gap], over: int) -> Iterator[Diagnostic]:
    for other in before:
        shared = gap.shared(other)
        if shared is not None and gap.threads is other.threads:
            at = place((shared[0] / over, shared[1] / over))
            yield finding(
                "withdrawn-twice",
                f"From {at} on the same threads are withdrawn twice.",
                gap.span,
                Hint("they are withdrawn here", other.span),
                "let one begin where the other ends",
            )
            return


# --- what is left standing ---------------------------------------------------------------------


def along(stitch: Counted) -> int:
    """Return along which axis a row of stitches goes: 0 level, 1 upright."""
    return 0 if stitch.step[1] == 0 else 1


def tied_sides(stitch: Counted) -> tuple[int, ...]:
    """Return at which edges of a gap a stitch ties threads: 0 the first, 1 the last.

    One that is worked within the gap ties its threads in the middle: both ends are drawn to it.
    """
    box, across = stitch.withdrawn, 1 - along(stitch)
    if box is None:
        return ()
    middle, tie = stitch.over[across] / 2, (box[across] + box[across + 2]) / 2
    return (0, 1) if tie == middle else (int(middle > tie),)


def gathered(even: Reals, middle: Reals | float) -> Reals:
    """Return where threads stand that are tied about a middle."""
    return np.asarray(middle + GATHERED * (even - middle))


def tied(gap: Gap, stand: Stand) -> NDArray[np.bool_]:
    """Return which of some stitches tie threads of a gap into groups, (n,).

    All threads that such a stitch needs withdrawn are withdrawn there.
    """
    box = stand.stitch.withdrawn
    if box is None or along(stand.stitch) != gap.axis:
        return np.zeros(len(stand.at), dtype=np.bool_)
    low = stand.at + box[:2] >= (gap.x0, gap.y0)
    high = stand.at + box[2:] <= (gap.x1, gap.y1)
    return np.asarray((low & high).all(axis=1))


def left_standing(worked: WorkedChart, gap: Gap) -> Reals:
    """Return the threads left in a gap as pieces of thread, (m, 4): x, y of both ends.

    In threads of the fabric; the ends of each lie on the first and on the last edge of the gap, or
    where threads of the other direction are withdrawn too.
    """
    axis = gap.axis
    start, end = gap.box[axis], gap.box[axis + 2]
    edges = float(gap.box[1 - axis]), float(gap.box[3 - axis])
    even = np.arange(start, end) + 0.5
    at = np.stack([even, even], axis=1)
    for stand in worked.stands:
        _gather(at, stand, gap)
    # Of each piece its thread, and the shares of that where it begins and ends.
    pieces = np.zeros((end - start, 3))
    pieces[:, 0], pieces[:, 2] = np.arange(end - start), 1.0
    for other in worked.gaps:
        shared = gap.shared(other)
        if shared is not None and other.threads is not gap.threads:
            low, high = (
                (shared[each] - edges[0]) / (edges[1] - edges[0]) for each in (1 - axis, 3 - axis)
            )
            thread = pieces[:, 0] + start
            cut = (thread >= shared[axis]) & (thread < shared[axis + 2])
            pieces = np.concatenate([pieces[~cut], *_parted(pieces[cut], low, high)])
    pieces = pieces[np.lexsort((pieces[:, 1], pieces[:, 0]))]
    number = pieces[:, 0].astype(np.intp)
    out = np.empty((len(pieces), 4))
    for side, share in enumerate(pieces[:, 1:].T):
        first, last = at[number].T
        out[:, 2 * side + axis] = first + (last - first) * share
        out[:, 2 * side + 1 - axis] = edges[0] + (edges[1] - edges[0]) * share
    return out


def _gather(at: Reals, stand: Stand, gap: Gap) -> None:
    """Draw the threads together that stitches tie; at: (n, 2) the place of each on both edges."""
    here = stand.at[tied(gap, stand)]
    box = stand.stitch.withdrawn
    if box is None or not len(here):
        return
    axis = gap.axis
    width = round(box[axis + 2] - box[axis])
    first = here[:, axis] + round(box[axis]) - gap.box[axis]
    which = first[:, None] + np.arange(width)
    group = gap.box[axis] + first[:, None] + width / 2
    for side in tied_sides(stand.stitch):
        at[which, side] = gathered(gap.box[axis] + which + 0.5, group)


def _parted(pieces: Reals, low: float, high: float) -> tuple[Reals, Reals]:
    """Return what is left of pieces of thread before a share of their length and after another."""
    before, after = pieces.copy(), pieces.copy()
    before[:, 2] = np.minimum(before[:, 2], low)
    after[:, 1] = np.maximum(after[:, 1], high)
    return before[before[:, 1] < before[:, 2]], after[after[:, 1] < after[:, 2]]
