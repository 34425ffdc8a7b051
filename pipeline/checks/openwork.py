"""Withdrawn threads: what lies on them, what should and does not, and fabrics that cannot do it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from ..compose.misplaced import place
from ..compose.openwork import tied
from ..compose.positions import threads
from ..compose.strokework import Stand
from ..compose.worked import Gap, WorkedChart
from ..core.diagnostics import Hint
from ..core.ground import Fabric
from ..core.source import Span
from ..core.suggest import all_of
from ..stitches.counted import own
from .checking import Check, Fault

_Found = tuple[str, Span | None, float, float]  # what, its place, and where first, in crosses


def _on_withdrawn(worked: WorkedChart) -> Iterator[Fault]:
    for gap in worked.gaps:
        told: dict[str, _Found] = {}
        for each in _on(worked, gap):
            told.setdefault(each[0], each)
        for what, span, x, y in told.values():
            yield Fault(
                f"{what} lies on withdrawn threads, first at {place((x, y))}.",
                span,
                (
                    Hint("they are withdrawn here", gap.span),
                    "move it off them, or withdraw fewer threads: there is no fabric to hold it",
                ),
            )


def _on(worked: WorkedChart, gap: Gap) -> Iterator[_Found]:
    over = worked.design.ground.fabric.over
    box = np.array(gap.box) / over
    for x, y, cell, grid in (
        (0.0, 0.0, 1.0, worked.grid),
        *((piece.x, piece.y, piece.cell, piece.grid) for piece in worked.pieces),
    ):
        low = np.maximum(np.floor((box[:2] - (x, y)) / cell + 1e-6).astype(int), 0)
        high = np.maximum(np.ceil((box[2:] - (x, y)) / cell - 1e-6).astype(int), 0)
        part = grid[low[1] : high[1], low[0] : high[0]]
        for row, column in np.argwhere(part)[:1].tolist():
            symbol = worked.entry(int(part[row, column])).symbol
            at = x + (low[0] + column) * cell, y + (low[1] + row) * cell
            yield f"`{symbol}`", _owner(worked, *at) or gap.span, *at
    for stand in worked.stands:
        for number in np.flatnonzero(_meets(stand, gap))[:1].tolist():
            placed = worked.placed[int(stand.placed[number])]
            x, y = (stand.at[number] / over).tolist()
            yield f"`{worked.entry(stand.index).symbol}`", placed.span, x, y
    ends, line = worked.stitched.ends()
    inside = ((ends > box[:2]) & (ends < box[2:])).all(axis=2)
    for number, end in np.argwhere(inside)[:1].tolist():
        drawn = worked.lines[int(line[number])]
        x, y = ends[number, end].tolist()
        yield f"`{worked.entry(drawn.index).symbol}`", drawn.span, x, y
    for knot in worked.knots:
        if box[0] < knot.x < box[2] and box[1] < knot.y < box[3]:
            yield f"`{worked.entry(knot.index).symbol}`", knot.span, knot.x, knot.y


def _owner(worked: WorkedChart, x: float, y: float) -> Span | None:
    """Return the place of what put the cross there that begins at x, y."""
    for placed in reversed(worked.placed):
        if placed.x <= x < placed.x + placed.width and placed.y <= y < placed.y + placed.height:
            return placed.span
    return None


def _meets(stand: Stand, gap: Gap) -> NDArray[np.bool_]:
    """Return which stitches take a crossing of threads in a gap, (n,)."""
    rows, columns = np.nonzero(own(stand.stitch))
    x, y = stand.at[:, :1] + columns, stand.at[:, 1:] + rows
    inside = (x >= gap.x0) & (x < gap.x1) & (y >= gap.y0) & (y < gap.y1)
    return np.asarray(inside.any(axis=1))


def _not_withdrawn(worked: WorkedChart) -> Iterator[Fault]:
    over = worked.design.ground.fabric.over
    for stand in worked.stands:
        box = stand.stitch.withdrawn
        if box is None:
            continue
        ties = np.zeros(len(stand.at), dtype=np.bool_)
        for gap in worked.gaps:
            ties |= tied(gap, stand)
        for number in np.flatnonzero(~ties)[:1].tolist():
            at = stand.at[number]
            first = place(tuple(((at + box[:2]) / over).tolist()))
            last = place(tuple(((at + box[2:]) / over).tolist()))
            ways = "rows" if stand.stitch.step[1] == 0 else "columns"
            yield Fault(
                f"`{worked.entry(stand.index).symbol}` ties threads from {first} to {last}, "
                "where none are withdrawn.",
                worked.placed[int(stand.placed[number])].span,
                (
                    f"add `withdrawn {ways} {first} to {last}` to the chart, as long as the row of "
                    "stitches",
                ),
            )


def _not_on_fabric(worked: WorkedChart) -> Iterator[Fault]:
    if not worked.gaps:
        return
    ground = worked.design.ground
    lacking = [each for each in (ground.fabric, *ground.also) if not _can(worked, each)]
    if lacking:
        names = all_of(each.written for each in lacking)
        yield Fault(
            f"The threads that are withdrawn cannot be withdrawn from {names}.",
            lacking[0].span,
            (
                Hint("they are withdrawn here", worked.gaps[0].span),
                "a block weave has no single threads to withdraw and to tie, and over another "
                "number of threads the same ones may not be there: name fabrics that have them",
            ),
        )


def _can(worked: WorkedChart, fabric: Fabric) -> bool:
    return not fabric.block and all(
        threads(each, fabric.over) is not None
        for stated in worked.design.chart.withdrawals
        for each in (stated.x0, stated.y0, stated.x1, stated.y1)
    )


CHECKS = (
    Check("on-withdrawn", _on_withdrawn),
    Check("not-withdrawn", _not_withdrawn),
    Check("withdrawn-on-fabric", _not_on_fabric),
)
