"""Counted stitches: on cloths that cannot carry them, too long, too short, or out of step."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from ..compose.misplaced import place
from ..compose.strokework import Lot, Stand
from ..compose.worked import WorkedChart
from ..core.counted import Counted
from ..core.diagnostics import Hint
from ..core.source import Span
from ..core.suggest import all_of
from ..stitches.counted import slope
from ..stitches.runs import too_short
from .checking import Check, Fault

Ints = NDArray[np.int64]


def _where(worked: WorkedChart, at: Ints) -> str:
    x, y = (at / worked.design.ground.fabric.over).tolist()
    return place((x, y))


def _span(worked: WorkedChart, stand: Stand, number: int) -> Span | None:
    return worked.placed[int(stand.placed[number])].span


def _pulled_on_blocks(worked: WorkedChart) -> Iterator[Fault]:
    pulled = [lot for lot in worked.counted if lot.stitch.pulled]
    ground = worked.design.ground
    blocks = [fabric for fabric in (ground.fabric, *ground.also) if fabric.block]
    for fabric in blocks if pulled else ():
        symbols = list(dict.fromkeys(worked.entry(lot.index).symbol for lot in pulled))
        yield Fault(
            f"{all_of(symbols)} {'is' if len(symbols) == 1 else 'are'} pulled, but the blocks of "
            f"{fabric.written} cannot be drawn together.",
            fabric.span,
            (
                Hint("the key line", worked.entry(pulled[0].index).span),
                "choose an even weave, or take this fabric out",
            ),
        )


def _long_float(worked: WorkedChart) -> Iterator[Fault]:
    fabric, most = worked.design.ground.fabric, worked.design.working.loose
    size = fabric.cross_width / fabric.over, fabric.cross_height / fabric.over
    told: set[int] = set()
    for lot in worked.counted:
        if lot.index in told:
            continue
        for what, lengths in _floats(lot, size):
            if lengths.max(initial=0.0) > most + 1e-9:
                told.add(lot.index)
                at = int(lengths.argmax())
                x, y = (lot.strokes.up[at] / fabric.over).tolist()
                entry = worked.entry(lot.index)
                yield Fault(
                    f"Threads of `{entry.symbol}` lie {lengths[at]:.1f} mm long on the {what}, "
                    f"first at {place((x, y))}; above {most:g} mm they catch and snag.",
                    entry.span,
                    (
                        "make the stitch shorter, or tie it down",
                        f"or say what may lie loose: `float {np.ceil(lengths[at]):g} mm` below "
                        "`working`",
                    ),
                )
                break


def _floats(lot: Lot, size: tuple[float, float]) -> Iterable[tuple[str, NDArray[np.float64]]]:
    straight = np.where(lot.strokes.by < 0, lot.strokes.fronts(size), 0.0)
    yield "front", straight
    yield "back", lot.strokes.backs(size)


def _short_run(worked: WorkedChart) -> Iterator[Fault]:
    for stand in worked.stands:
        short = too_short(stand.stitch, stand.at)
        if len(short):
            first = int(short[0])
            yield Fault(
                f"A row of `{worked.entry(stand.index).symbol}` at "
                f"{_where(worked, stand.at[first])} is too short for its stitch, which reaches "
                "farther ahead.",
                _span(worked, stand, first),
                ("make the row longer, or work it in another stitch",),
            )


@cache
def _rim(stitch: Counted) -> frozenset[tuple[float, float]]:
    return frozenset(end for stroke in stitch.each for end in (stroke.up, stroke.down))


@cache
def _off(stitch: Counted) -> tuple[tuple[int, int], ...]:
    """Return how far away neighbours begin whose edges touch, but whose holes do not meet."""
    (width, height), rim = stitch.over, _rim(stitch)
    ways = [(width, y) for y in range(1 - height, height)]
    ways += [(x, height) for x in range(1 - width, width)]
    found = []
    for x, y in ways:
        if (x, y) in (stitch.step, stitch.row):
            continue
        theirs = {(px + x, py + y) for px, py in rim}
        shared = [(max(0, x), min(width, x + width)), (max(0, y), min(height, y + height))]
        one, other = (
            {
                (px, py)
                for px, py in holes
                if shared[0][0] <= px <= shared[0][1] and shared[1][0] <= py <= shared[1][1]
            }
            for holes in (rim, theirs)
        )
        if one != other:
            found.append((x, y))
    return tuple(found)


def _holes_apart(worked: WorkedChart) -> Iterator[Fault]:
    for stand in worked.stands:
        stitch = stand.stitch
        if not stitch.pulled or not stitch.stands.alone:
            continue
        here = {tuple(at): number for number, at in enumerate(stand.at.tolist())}
        for x, y in _off(stitch):
            wrong = (n for (px, py), n in here.items() if (px + x, py + y) in here)
            first = next(wrong, None)
            if first is not None:
                yield Fault(
                    f"Two `{worked.entry(stand.index).symbol}` touch at "
                    f"{_where(worked, stand.at[first] + (x, y))}, but their holes do not meet.",
                    _span(worked, stand, here[tuple((stand.at[first] + (x, y)).tolist())]),
                    ("move one of them, so that neighbours share the holes of their edges",),
                )
                break


def _direction_changes(worked: WorkedChart) -> Iterator[Fault]:
    fields: dict[int, list[Stand]] = {}
    for stand in worked.stands:
        if len({slope(stroke) for stroke in stand.stitch.each}) == 1:
            fields.setdefault(stand.index, []).append(stand)
    for index, stands in fields.items():
        met = _meeting(stands)
        if met is not None:
            stand, number = met
            yield Fault(
                f"The stitches of `{worked.entry(index).symbol}` change their direction within a "
                f"field, at {_where(worked, stand.at[number])}.",
                _span(worked, stand, number),
                (
                    "turn none of it, or say `keeps` in a stitch of your own, so that mirroring "
                    "leaves it as it is",
                ),
            )


def _meeting(stands: Sequence[Stand]) -> tuple[Stand, int] | None:
    """Return a stitch that touches one that lies another way, None where there is none."""
    lying = {
        (*at, *stand.stitch.over): slope(stand.stitch.each[0])
        for stand in stands
        for at in stand.at.tolist()
    }
    if len(set(lying.values())) == 1:
        return None
    ends = {(x + width, y): way for (x, y, width, height), way in lying.items()}
    feet = {(x, y + height): way for (x, y, width, height), way in lying.items()}
    for stand in stands:
        own = slope(stand.stitch.each[0])
        for number, (x, y) in enumerate(stand.at.tolist()):
            if any(table.get((x, y), own) != own for table in (ends, feet)):
                return stand, number
    return None


CHECKS = (
    Check("pulled-on-blocks", _pulled_on_blocks),
    Check("long-float", _long_float),
    Check("short-row", _short_run),
    Check("holes-apart", _holes_apart),
    Check("direction-changes", _direction_changes),
)
