"""Lines, knots and beads on the painted cloth, over the crosses.

Stitches that look alike and lie alike on the pixels share one drawing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ..compose.worked import WorkedChart, WorkedLine
from ..core.model import Fabric, KeyEntry, Kind
from .blend import blend_at
from .legs import seen
from .scale import Lattice
from .strands import Bytes, Floats, Swatch, rgb, thread_width

FINE = 4  # drawn points per pixel, fewer for large drawings
MOST_POINTS = 400_000
INSET_MM = 0.19  # a stitch ends inside its holes, and its round end reaches almost to them
MOST_INSET = 0.12  # of its length
LONGEST = 12  # crosses; a longer straight stitch is drawn in parts
KNOT_SHARE, BEAD_SHARE = 0.29, 0.37  # radius as a share of a cross
STEPS = 4  # places within a pixel that are told apart


@dataclass(frozen=True)
class _Stitch:
    entry: KeyEntry
    dx: float  # from start to end in pixels; 0 for knots and beads
    dy: float


_Stamps = dict[tuple[int, float, float, int, int], tuple[Bytes, int]]


def overlay(picture: Bytes, worked: WorkedChart, fabric: Fabric, lattice: Lattice) -> None:
    """Draw the lines, then the knots and beads, into a picture (height, width, 3)."""
    stamps: _Stamps = {}
    for line in worked.lines:
        entry = worked.entry(line.index)
        for x0, y0, x1, y1 in stitches(line, entry.parts[0].kind, fabric.over):
            start, end = lattice.pixel(x0, y0), lattice.pixel(x1, y1)
            stitch = _Stitch(entry, end[0] - start[0], end[1] - start[1])
            _stamp(picture, stamps, stitch, start, lattice)
    for knot in worked.knots:
        stitch = _Stitch(worked.entry(knot.index), 0, 0)
        _stamp(picture, stamps, stitch, lattice.pixel(knot.x, knot.y), lattice)


def stitches(
    line: WorkedLine, kind: Kind, over: int
) -> Iterator[tuple[float, float, float, float]]:
    """Give each stitch of a line; back stitch is broken at holes about a cross apart."""
    for (x0, y0), (x1, y1) in zip(line.points[:-1], line.points[1:], strict=True):
        dx, dy = float(x1 - x0), float(y1 - y0)
        longest = max(abs(dx), abs(dy))
        if longest == 0:
            continue
        if kind is Kind.BACK:
            holes = math.gcd(round(dx * over), round(dy * over)) or 1
            divisors = [each for each in range(1, min(holes, 4096) + 1) if holes % each == 0]
            parts = min(divisors, key=lambda each: abs(longest / each - line.cell))
        else:
            parts = math.ceil(longest / LONGEST)
        for number in range(parts):
            first, last = number / parts, (number + 1) / parts
            yield (
                float(x0) + first * dx,
                float(y0) + first * dy,
                float(x0) + last * dx,
                float(y0) + last * dy,
            )


def _stamp(
    picture: Bytes,
    stamps: _Stamps,
    stitch: _Stitch,
    start: tuple[float, float],
    lattice: Lattice,
) -> None:
    """Lay one stitch that begins at a pixel place."""
    corner = math.floor(start[0]), math.floor(start[1])
    part_x, part_y = (int((start[at] - corner[at]) * STEPS) for at in (0, 1))
    same = (id(stitch.entry), stitch.dx, stitch.dy, part_x, part_y)
    if same not in stamps:
        stamps[same] = _drawn(stitch, (part_x / STEPS, part_y / STEPS), lattice)
    layer, pad = stamps[same]
    left = corner[0] + min(0, math.floor(stitch.dx)) - pad
    top = corner[1] + min(0, math.floor(stitch.dy)) - pad
    blend_at(picture, layer, left, top)


def _drawn(stitch: _Stitch, within: tuple[float, float], lattice: Lattice) -> tuple[Bytes, int]:
    """Draw a stitch; return its layer and the pixels that it has been given on every side."""
    part = stitch.entry.parts[0]
    side = min(lattice.width, lattice.height)
    mm_x, mm_y = lattice.width / lattice.across, lattice.height / lattice.down
    strands = sum(each.strands for each in part.needle)
    # Thread thinner than a pixel would fade away.
    thick = max(thread_width(strands), 0.95 * max(mm_x, mm_y))
    reach = thick if part.kind in (Kind.BACK, Kind.STRAIGHT) else side
    pad = math.ceil(1.6 * reach / min(mm_x, mm_y)) + 2
    columns = math.ceil(abs(stitch.dx)) + 1 + 2 * pad
    rows = math.ceil(abs(stitch.dy)) + 1 + 2 * pad
    fine = max(1, min(FINE, math.isqrt(MOST_POINTS // (columns * rows))))
    swatch = Swatch(columns, rows, width=columns * mm_x, height=rows * mm_y, fine=fine)
    x = (pad + within[0] - min(0, math.floor(stitch.dx))) * mm_x
    y = (pad + within[1] - min(0, math.floor(stitch.dy))) * mm_y
    slots = seen(part.needle, 0)
    if part.kind is Kind.BEAD:
        swatch.bead(x, y, BEAD_SHARE * side, slots[0])
    elif part.kind is Kind.KNOT:
        swatch.knot(x, y, KNOT_SHARE * side * (0.75 + 0.125 * min(strands, 4)), slots)
    else:
        start = np.array([[x, y]], dtype=np.float32)
        run = np.array([[stitch.dx * mm_x, stitch.dy * mm_y]], dtype=np.float32)
        inset = min(INSET_MM / float(np.hypot(*run[0])), MOST_INSET) * run
        twisted = len(set(slots)) > 1
        swatch.lay(start + inset, start + run - inset, slots, thick, twisted=twisted)
    colours: Floats = np.stack([rgb(each.thread.colour) for each in part.needle])
    return swatch.tile(len(colours)).dyed(colours)[0], pad
