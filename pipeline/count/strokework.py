"""What each needle takes for lines, knots and beads."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from ..compose.worked import WorkedChart, WorkedKnot, WorkedLine
from ..core.model import Fabric, Kind
from .forest import Floats
from .lengths import KNOT
from .nearest import Place, order
from .stints import Needle, Stint, needle_of

# Booklets ask again for each colourway, and a chart that is edited has most lines as before.
_ordered = lru_cache(maxsize=64)(order)


def line_stints(worked: WorkedChart, fabric: Fabric) -> list[Stint]:
    """Return what each needle takes for back stitch and straight stitches."""
    by_needle: dict[Needle, list[WorkedLine]] = {}
    for line in worked.lines:
        needle = needle_of(worked.entry(line.index).parts[0].needle)
        by_needle.setdefault(needle, []).append(line)
    return [_lines(worked, fabric, *each) for each in by_needle.items()]


def stitches(line: WorkedLine, kind: Kind, fabric: Fabric) -> Floats:
    """Return the holes of a line, (n + 1, 2) in mm, for its n stitches in order.

    A back stitch is at most one cross long, across or down; a straight stitch runs from point
    to point, however far.
    """
    pitch = np.array([fabric.cross_width, fabric.cross_height])
    points = line.points
    if kind is Kind.BACK and len(points) > 1:
        spans = np.abs(np.diff(points, axis=0)).max(axis=1)
        many = np.maximum(np.ceil(spans / line.cell - 1e-9), 1).astype(np.int64)
        at = np.repeat(np.arange(len(many)), many)
        within = np.arange(len(at)) - np.repeat(np.cumsum(many) - many, many)
        share = (within / many[at])[:, None]
        inner = points[at] * (1 - share) + points[at + 1] * share
        points = np.concatenate((inner, points[-1:]))
    return np.asarray(points * pitch, dtype=np.float64)


def taken(holes: Floats) -> tuple[float, float, float]:
    """Return what stitches from hole to hole take on the front and the back, and the longest.

    Each is worked backwards: up one stitch ahead, down where the last one began. So the needle
    goes from the start of each stitch to the end of the next behind the fabric: in a straight
    line of n stitches of length d, (3 n - 2) d in all.
    """
    front = np.hypot(*np.diff(holes, axis=0).T)
    back = np.hypot(*(holes[2:] - holes[:-2]).T)
    steps = front.copy()
    steps[1:] += back
    return float(front.sum()), float(back.sum()), float(steps.max(initial=0.0))


def _lines(
    worked: WorkedChart, fabric: Fabric, needle: Needle, lines: Sequence[WorkedLine]
) -> Stint:
    ends: list[list[Place]] = []
    lengths: list[float] = []
    steps: list[float] = []
    entries: dict[int, float] = {}
    fronts = backs = 0.0
    for line in lines:
        holes = stitches(line, worked.entry(line.index).parts[0].kind, fabric)
        front, back, step = taken(holes)
        first, last = holes[0], holes[-1]
        ends.append([(float(first[0]), float(first[1])), (float(last[0]), float(last[1]))])
        lengths.append(front + back)
        steps.append(step)
        entries[line.index] = entries.get(line.index, 0.0) + front + back
        fronts += front
        backs += back
    return _stint(worked, fabric, needle, ends, lengths, steps, entries, (fronts, backs))


def knot_stints(worked: WorkedChart, fabric: Fabric) -> list[Stint]:
    """Return what each needle takes for knots.

    Beads are left out: they are sewn on with sewing thread, which is no thread of the key.
    """
    by_needle: dict[Needle, list[WorkedKnot]] = {}
    for knot in worked.knots:
        part = worked.entry(knot.index).parts[0]
        if part.kind is Kind.BEAD:
            continue
        needle = needle_of(part.needle)
        by_needle.setdefault(needle, []).append(knot)
    return [_knots(worked, fabric, *each) for each in by_needle.items()]


def _knots(
    worked: WorkedChart, fabric: Fabric, needle: Needle, knots: Sequence[WorkedKnot]
) -> Stint:
    width, height = fabric.cross_width, fabric.cross_height
    lengths = [KNOT] * len(knots)
    entries: dict[int, float] = {}
    for knot in knots:
        entries[knot.index] = entries.get(knot.index, 0.0) + KNOT
    ends: list[list[Place]] = [[(knot.x * width, knot.y * height)] for knot in knots]
    return _stint(worked, fabric, needle, ends, lengths, lengths, entries, (sum(lengths), 0.0))


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
