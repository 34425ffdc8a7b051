"""What each needle takes for lines, knots and beads."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..compose.strokework import Lot
from ..compose.worked import WorkedChart, WorkedKnot
from ..core.model import Fabric
from ..stitches.kinds import STITCHES
from .forest import Floats
from .lengths import KNOT, WRAPS
from .nearest import Place, order
from .stints import Needle, Stint, needle_of

# Booklets ask again for each colourway, and a chart that is edited has most lines as before.
_ordered = lru_cache(maxsize=64)(order)


def line_stints(worked: WorkedChart, fabric: Fabric) -> list[Stint]:
    """Return what each needle takes for back stitch and straight stitches."""
    by_needle: dict[Needle, list[int]] = {}
    for number, line in enumerate(worked.lines):
        part = worked.entry(line.index).parts[0]
        if part.stitch is not None:
            continue  # worked by its own strokes, see `counted_stints`
        needle = needle_of(part.needle)
        by_needle.setdefault(needle, []).append(number)
    if not by_needle:
        return []
    taken = _taken(worked, fabric)
    return [_lines(worked, fabric, needle, numbers, taken) for needle, numbers in by_needle.items()]


@dataclass(frozen=True, eq=False)
class _Taken:
    """What each line takes, in mm: on the front, on the back, and its longest stitch with its way.

    Each stitch is worked backwards: up one stitch ahead, down where the last one began. So the
    needle goes from the start of each to the end of the next behind the fabric: in a straight
    line of n stitches of length d, (3 n - 2) d in all.
    """

    front: Floats
    back: Floats
    step: Floats


def _taken(worked: WorkedChart, fabric: Fabric) -> _Taken:
    many = len(worked.lines)
    ends, line = worked.stitched.ends()
    ends *= fabric.cross_width, fabric.cross_height
    front = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    back = np.zeros(len(line))
    back[1:] = np.hypot(*(ends[1:, 1] - ends[:-1, 0]).T)
    back[1:][line[1:] != line[:-1]] = 0
    back[:1] = 0
    step = np.zeros(many)
    np.maximum.at(step, line, front + back)
    fronts = np.bincount(line, front, minlength=many).astype(np.float64)
    backs = np.bincount(line, back, minlength=many).astype(np.float64)
    return _Taken(fronts, backs, step)


def _lines(
    worked: WorkedChart, fabric: Fabric, needle: Needle, numbers: Sequence[int], taken: _Taken
) -> Stint:
    width, height = fabric.cross_width, fabric.cross_height
    lines = [worked.lines[number] for number in numbers]
    ends: list[list[Place]] = [
        [(x * width, y * height) for x, y in line.points[[0, -1]].tolist()] for line in lines
    ]
    front, back = taken.front[numbers], taken.back[numbers]
    lengths = front + back
    entries: dict[int, float] = {}
    for line, length in zip(lines, lengths.tolist(), strict=True):
        entries[line.index] = entries.get(line.index, 0.0) + length
    sums = float(front.sum()), float(back.sum())
    return _stint(
        worked, fabric, needle, ends, lengths.tolist(), taken.step[numbers].tolist(), entries, sums
    )


def counted_stints(worked: WorkedChart, fabric: Fabric) -> list[Stint]:
    """Return what each needle takes for counted stitches and those along lines.

    On the front the sum of the strokes, on the back the way from where each goes down to where the
    next of its run comes up.
    """
    by_needle: dict[Needle, list[Lot]] = {}
    for lot in worked.counted:
        part = worked.entry(lot.index, lot.strands).parts[lot.part]
        by_needle.setdefault(needle_of(part.needle), []).append(lot)
    return [_counted(worked, fabric, needle, some) for needle, some in by_needle.items()]


def _counted(worked: WorkedChart, fabric: Fabric, needle: Needle, some: Sequence[Lot]) -> Stint:
    over = worked.design.ground.fabric.over
    size = fabric.cross_width / over, fabric.cross_height / over
    ends: list[list[Place]] = []
    lengths: list[float] = []
    steps: list[float] = []
    entries: dict[int, float] = {}
    fronts = backs = 0.0
    for lot in some:
        strokes = lot.strokes
        front, back = strokes.fronts(size), strokes.backs(size)
        first = np.flatnonzero(np.diff(strokes.run, prepend=-1))
        last = np.append(first[1:], len(strokes.run)) - 1
        begin, end = strokes.up[first] * size, strokes.down[last] * size
        end = begin if strokes.closed else end
        ends += [[tuple(a), tuple(b)] for a, b in zip(begin.tolist(), end.tolist(), strict=True)]
        lengths += np.add.reduceat(front + back, first).tolist()
        steps += np.maximum.reduceat(front + back, first).tolist()
        entries[lot.index] = entries.get(lot.index, 0.0) + float(front.sum() + back.sum())
        fronts += float(front.sum())
        backs += float(back.sum())
    return _stint(worked, fabric, needle, ends, lengths, steps, entries, (fronts, backs))


def knot_stints(worked: WorkedChart, fabric: Fabric) -> list[Stint]:
    """Return what each needle takes for knots.

    Beads are left out: they are sewn on with sewing thread, which is no thread of the key.
    """
    by_needle: dict[Needle, list[WorkedKnot]] = {}
    for knot in worked.knots:
        part = worked.entry(knot.index).parts[0]
        if STITCHES[part.kind].bead:
            continue
        needle = needle_of(part.needle)
        by_needle.setdefault(needle, []).append(knot)
    return [_knots(worked, fabric, *each) for each in by_needle.items()]


def _knots(
    worked: WorkedChart, fabric: Fabric, needle: Needle, knots: Sequence[WorkedKnot]
) -> Stint:
    width, height = fabric.cross_width, fabric.cross_height
    lengths = [_wound(worked, knot) for knot in knots]
    entries: dict[int, float] = {}
    for knot, length in zip(knots, lengths, strict=True):
        entries[knot.index] = entries.get(knot.index, 0.0) + length
    ends: list[list[Place]] = [[(knot.x * width, knot.y * height)] for knot in knots]
    return _stint(worked, fabric, needle, ends, lengths, lengths, entries, (sum(lengths), 0.0))


def _wound(worked: WorkedChart, knot: WorkedKnot) -> float:
    """Return what a knot takes, in mm: as often as it is wound."""
    stitch = worked.entry(knot.index).parts[0].stitch
    return KNOT if stitch is None else KNOT * stitch.wraps / WRAPS


def _stint(
    worked: WorkedChart,
    fabric: Fabric,
    needle: Needle,
    ends: Sequence[Sequence[Place]],
    lengths: Sequence[float],
    steps: Sequence[float],
    entries: dict[int, float],
    sums: tuple[float, float],
) -> Stint:
    side = min(fabric.cross_width, fabric.cross_height)
    found, _, ways = _ordered(tuple(map(tuple, ends)), worked.design.working.carry, side)
    chosen = np.array(found)
    return Stint(
        needle,
        *sums,
        entries,
        np.array(lengths)[chosen],
        np.array([math.nan, *ways[1:]]),
        np.array(steps)[chosen],
    )
