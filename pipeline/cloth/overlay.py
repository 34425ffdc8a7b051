"""Lines, knots and beads on the painted cloth, over the crosses.

Stitches that look alike and lie alike on the pixels share one drawing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import assert_never

import numpy as np

from ..compose.worked import WorkedChart
from ..core.key import KeyEntry, Kind
from .scale import Lattice
from .strands import Bytes, Reals, Swatch, rgb, thread_width
from .tiles import seen

FINE = 4  # drawn points per pixel, fewer for large drawings
MOST_POINTS = 400_000
INSET_MM = 0.19  # a stitch ends inside its holes, and its round end reaches almost to them
MOST_INSET = 0.12  # of its length
LONGEST = 12  # crosses; a longer stitch is drawn in windows of that length
STEPS = 4  # places within a pixel that are told apart
KNOT_SHARE, BEAD_SHARE = 0.29, 0.37  # radius as a share of a cross


def blend(below: Bytes, above: Bytes) -> None:
    """Lay premultiplied red, green, blue, cover (..., 4) over colours (..., 3), in place."""
    clear = 255 - above[..., 3:].astype(np.uint16)
    clear += clear >> 7  # 0..256, so that a shift can divide
    mixed = below * clear
    mixed += 128
    mixed >>= 8
    mixed += above[..., :3]
    np.minimum(mixed, 255, out=mixed)
    below[...] = mixed


def blend_at(picture: Bytes, layer: Bytes, x: int, y: int) -> None:
    """Lay a layer (height, width, 4) over a picture (height, width, 3), its corner at x, y.

    What lies beyond the picture's edges is left out.
    """
    left, top = max(0, -x), max(0, -y)
    right = min(layer.shape[1], picture.shape[1] - x)
    bottom = min(layer.shape[0], picture.shape[0] - y)
    if right > left and bottom > top:
        spot = picture[y + top : y + bottom, x + left : x + right]
        blend(spot, layer[top:bottom, left:right])


@dataclass(frozen=True)
class _Stitch:
    entry: KeyEntry
    dx: float  # from start to end in pixels; 0 for knots and beads
    dy: float


@dataclass(frozen=True)
class _StitchStamp:
    """A drawing of a stitch or of a part of a long one, and where it lies from its first pixel."""

    layer: Bytes
    left: int
    top: int


_Stamps = dict[tuple[int, float, float, int, int], list[_StitchStamp]]


def overlay(picture: Bytes, worked: WorkedChart, lattice: Lattice) -> None:
    """Draw the lines, then the knots and beads, into a picture (height, width, 3)."""
    stamps: _Stamps = {}
    ends, of = worked.stitched.ends()
    for number, (first, last) in zip(of.tolist(), ends.tolist(), strict=True):
        start, end = lattice.pixel(*first), lattice.pixel(*last)
        entry = worked.entry(worked.lines[number].index)
        stitch = _Stitch(entry, end[0] - start[0], end[1] - start[1])
        _stamp(picture, stamps, stitch, start, lattice)
    for knot in worked.knots:
        stitch = _Stitch(worked.entry(knot.index), 0, 0)
        _stamp(picture, stamps, stitch, lattice.pixel(knot.x, knot.y), lattice)


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
        stamps[same] = list(_drawn(stitch, (part_x / STEPS, part_y / STEPS), lattice))
    for each in stamps[same]:
        blend_at(picture, each.layer, corner[0] + each.left, corner[1] + each.top)


def _drawn(
    stitch: _Stitch, within: tuple[float, float], lattice: Lattice
) -> Iterator[_StitchStamp]:
    """Draw a stitch, a long one in windows that lie side by side along it.

    within: where in its pixel the stitch begins.
    """
    part = stitch.entry.parts[0]
    side = min(lattice.width, lattice.height)
    mm_x, mm_y = lattice.width / lattice.across, lattice.height / lattice.down
    strands = sum(each.strands for each in part.needle)
    # Thread thinner than a pixel would fade away.
    thick = max(thread_width(strands), 0.95 * max(mm_x, mm_y))
    reach = thick if stitch.entry.is_line else side
    pad = math.ceil(1.6 * reach / min(mm_x, mm_y)) + 2
    colours: Reals = np.stack([rgb(each.thread.colour) for each in part.needle])
    slots = seen(part.needle, 0)
    for left, top, right, bottom in _windows(stitch, lattice, pad):
        columns, rows = right - left, bottom - top
        fine = max(1, min(FINE, math.isqrt(MOST_POINTS // (columns * rows))))
        swatch = Swatch(columns, rows, width=columns * mm_x, height=rows * mm_y, fine=fine)
        x, y = (within[0] - left) * mm_x, (within[1] - top) * mm_y
        match part.kind:
            case Kind.BEAD:
                swatch.bead(x, y, BEAD_SHARE * side, slots[0])
            case Kind.KNOT:
                swatch.knot(x, y, KNOT_SHARE * side * (0.75 + 0.125 * min(strands, 4)), slots)
            case Kind.BACK | Kind.STRAIGHT:
                start = np.array([[x, y]], dtype=np.float32)
                run = np.array([[stitch.dx * mm_x, stitch.dy * mm_y]], dtype=np.float32)
                inset = min(INSET_MM / float(np.hypot(*run[0])), MOST_INSET) * run
                twisted = len(set(slots)) > 1
                swatch.lay(start + inset, start + run - inset, slots, thick, twisted=twisted)
            case Kind.FULL | Kind.HALF | Kind.QUARTER | Kind.THREE_QUARTER | Kind.UPRIGHT:
                raise ValueError(f"{part.kind} lies in a cell, not over it")
            case _:
                assert_never(part.kind)
        yield _StitchStamp(swatch.tile(len(colours)).dyed(colours)[0], left, top)


def _windows(stitch: _Stitch, lattice: Lattice, pad: int) -> Iterator[tuple[int, int, int, int]]:
    """Give the pixels to draw a stitch in, from that in which it begins: left, top, right, bottom.

    Each window is as long as LONGEST crosses at most, and as broad as the stitch there, with a
    pad on every side of the whole.
    """
    across = abs(stitch.dx) / lattice.across >= abs(stitch.dy) / lattice.down
    way, aside = (stitch.dx, stitch.dy) if across else (stitch.dy, stitch.dx)
    long = math.ceil(LONGEST * (lattice.across if across else lattice.down))
    first = min(0, math.floor(way)) - pad
    last = min(0, math.floor(way)) + math.ceil(abs(way)) + 1 + pad
    many = math.ceil(abs(way) / long) or 1
    cuts = [first, *(first + pad + long * each for each in range(1, many)), last]
    for low, high in pairwise(cuts):
        if many == 1:
            near = far = min(0, math.floor(aside))
            far += math.ceil(abs(aside)) + 1
        else:
            # What is cast from the thread beyond the window reaches as far as the pad.
            at = [min(max(each / way, 0), 1) * aside for each in (low - pad, high + pad)]
            near, far = math.floor(min(at)), math.ceil(max(at)) + 1
        near, far = near - pad, far + pad
        yield (low, near, high, far) if across else (near, low, far, high)
