"""Counted stitches, lines, knots and beads on the painted cloth, over the crosses.

Stitches that look alike and lie alike on the pixels share one drawing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, assert_never

import numpy as np
from numpy.typing import NDArray

from ..compose.strokework import Lot
from ..compose.worked import WorkedChart
from ..core.counted import Counted
from ..core.key import Kind, Lies, Part
from ..stitches.bows import sampled
from ..stitches.counted import slope
from .scale import Lattice
from .strands import Bytes, Reals, Swatch, rgb, thread_width
from .tiles import seen

FINE = 4  # drawn points per pixel, fewer for large drawings
MOST_POINTS = 400_000
INSET_MM = 0.19  # a stitch ends inside its holes, and its round end reaches almost to them
MOST_INSET = 0.12  # of its length
SHEEN = 2.2  # gloss of strokes side by side, as a share of that of others
CURVED = 5  # pieces of a bow or loop
BOW = 3  # places that it goes through; by more a thread goes straight from each to the next
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
    part: Part
    dx: float  # from start to end in pixels; 0 for knots and beads
    dy: float
    lustre: float = 1.0


@dataclass(frozen=True)
class _StitchStamp:
    """A drawing of a stitch or of a part of a long one, and where it lies from its first pixel."""

    layer: Bytes
    left: int
    top: int


_Stamps = dict[tuple[int, float, float, int, int, float], list[_StitchStamp]]


def overlay(picture: Bytes, worked: WorkedChart, lattice: Lattice) -> None:
    """Draw what lies over the crosses, knots and beads last, into a picture (height, width, 3)."""
    stamps: _Stamps = {}
    for lot in worked.counted:
        _counted(picture, stamps, worked, lot, lattice)
    ends, of = worked.stitched.ends()
    for number, (first, last) in zip(of.tolist(), ends.tolist(), strict=True):
        part = worked.entry(worked.lines[number].index).parts[0]
        if part.stitch is not None:
            continue  # drawn by its strokes
        start, end = lattice.pixel(*first), lattice.pixel(*last)
        stitch = _Stitch(part, end[0] - start[0], end[1] - start[1])
        _stamp(picture, stamps, stitch, start, lattice)
    for knot in worked.knots:
        stitch = _Stitch(worked.entry(knot.index).parts[0], 0, 0)
        _stamp(picture, stamps, stitch, lattice.pixel(knot.x, knot.y), lattice)


def _counted(
    picture: Bytes, stamps: _Stamps, worked: WorkedChart, lot: Lot, lattice: Lattice
) -> None:
    """Draw counted stitches: the holes that they pull open, then their strokes in order."""
    part = worked.entry(lot.index, lot.strands).parts[lot.part]
    over, strokes = worked.design.ground.fabric.over, lot.seen
    pitch = np.array([lattice.across, lattice.down]) / over
    margin = np.array([lattice.margin * lattice.across, lattice.margin * lattice.down])
    up, down = strokes.up * pitch + margin, strokes.down * pitch + margin
    pulled: NDArray[np.floating[Any]] = np.zeros((2, len(up)))
    if lot.stitch.pulled:
        pulled = _holes(picture, np.stack([up, down]), float(pitch.min()), worked)
    lustre = SHEEN if _is_satin(lot.stitch) else 1.0
    for at in range(len(up)):
        way: NDArray[np.floating[Any]] = np.array([up[at], down[at]])
        if strokes.by[at] >= 0:
            bent = strokes.way(at) * pitch + margin
            way = sampled(bent, CURVED) if len(bent) == BOW else bent
        else:
            length = max(float(np.hypot(*(way[1] - way[0]))), 1e-6)
            ahead = (way[1] - way[0]) / length
            room = min(1.0, 0.7 * length / max(float(pulled[:, at].sum()), 1e-6))
            way += np.stack([ahead, -ahead]) * pulled[:, at, None] * room
        for (x0, y0), (x1, y1) in pairwise(way.tolist()):
            dx, dy = round(x1 - x0, 2), round(y1 - y0, 2)
            if dx or dy:
                _stamp(picture, stamps, _Stitch(part, dx, dy, lustre), (x0, y0), lattice)


def _is_satin(stitch: Counted) -> bool:
    """Tell whether strokes lie smoothly side by side, so that they shine together."""
    slopes = {slope(stroke) for stroke in stitch.each}
    return stitch.stands.in_bars or (len(slopes) == 1 and len(stitch.each) > 2)


def _holes(picture: Bytes, ends: Reals, pitch: float, worked: WorkedChart) -> Reals:
    """Darken the holes that strokes pull open; ends: (2, n, 2) in pixels.

    Returns how far from their middles strokes are seen to end, (2, n) in pixels. A hole opens the
    wider, the more strokes go into it.
    """
    places, of, many = np.unique(
        np.rint(ends.reshape(-1, 2) * 8), axis=0, return_inverse=True, return_counts=True
    )
    radius = pitch * np.minimum(0.12 + 0.07 * many, 0.62)
    ground = rgb(worked.design.ground.colour) * 0.3
    layers: dict[float, Bytes] = {}
    for (x, y), size in zip((places / 8).tolist(), radius.tolist(), strict=True):
        layer = layers.get(size)
        if layer is None:
            layers[size] = layer = _dark(size, ground)
        half = layer.shape[0] // 2
        blend_at(picture, layer, round(x) - half, round(y) - half)
    return np.asarray(radius[of.reshape(2, -1)] * 0.8)


def _dark(radius: float, colour: Reals) -> Bytes:
    """Return a soft dark disc with cover."""
    half = math.ceil(radius) + 1
    x = np.arange(-half, half + 1)
    far = np.hypot(x[:, None], x[None, :])
    cover = np.clip((radius + 0.7 - far) / 1.4, 0, 1) * 0.85
    out = np.empty((*cover.shape, 4), dtype=np.uint8)
    out[..., :3] = np.rint(colour * cover[..., None])
    out[..., 3] = np.rint(255 * cover)
    return out


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
    same = (id(stitch.part), stitch.dx, stitch.dy, part_x, part_y, stitch.lustre)
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
    part = stitch.part
    side = min(lattice.width, lattice.height)
    mm_x, mm_y = lattice.width / lattice.across, lattice.height / lattice.down
    strands = sum(each.strands for each in part.needle)
    # Thread thinner than a pixel would fade away.
    thick = max(thread_width(strands), 0.95 * max(mm_x, mm_y))
    reach = side if part.kind.lies is Lies.POINT else thick
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
            case Kind.KNOT | Kind.WOUND:
                swatch.knot(x, y, KNOT_SHARE * side * (0.75 + 0.125 * min(strands, 4)), slots)
            case Kind.BACK | Kind.STRAIGHT | Kind.COUNTED | Kind.LINED:
                start = np.array([[x, y]], dtype=np.float32)
                run = np.array([[stitch.dx * mm_x, stitch.dy * mm_y]], dtype=np.float32)
                inset = min(INSET_MM / float(np.hypot(*run[0])), MOST_INSET) * run
                twisted = len(set(slots)) > 1
                ends = start + inset, start + run - inset
                swatch.lay(*ends, slots, thick, twisted=twisted, lustre=stitch.lustre)
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
