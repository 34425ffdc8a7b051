"""Counted stitches, lines, knots and beads on the painted cloth, over the crosses.

Stitches that look alike and lie alike on the pixels share one drawing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import assert_never

import numpy as np

from ..compose.strokework import Lot
from ..compose.worked import WorkedChart
from ..core.counted import Counted
from ..core.key import Kind, Lies, Part
from ..stitches.bows import sampled
from ..stitches.counted import slope
from .overdyed import Ints, along_steps, knots_in_turn, stretches, stroke_steps
from .scale import Lattice
from .stamping import Stamp, blend_at, lay
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


@dataclass(frozen=True)
class _Stitch:
    part: Part
    dx: float  # from start to end in pixels; 0 for knots and beads
    dy: float
    lustre: float = 1.0


@dataclass(frozen=True, eq=False)
class Pieces:
    """Straight pieces of thread in the order in which they lie, in pixels: (n, 2) each."""

    start: Reals
    way: Reals


def overlay(picture: Bytes, worked: WorkedChart, lattice: Lattice) -> None:
    """Draw what lies over the crosses, knots and beads last, into a picture (height, width, 3)."""
    for lot in worked.counted:
        part = worked.entry(lot.index, lot.strands).parts[lot.part]
        pieces, of = _of_strokes(picture, worked, lot, lattice)
        far = stroke_steps(lot, worked.design.ground.fabric.over)[of]
        sheen = SHEEN if _is_satin(lot.stitch) else 1.0
        lay_pieces(picture, lattice, list(_dyed(part, pieces, far)), sheen)
    ends, of = worked.stitched.ends()
    margin = np.array(lattice.pixel(0, 0))
    pixels = ends * (lattice.across, lattice.down) + margin
    index = np.array([line.index for line in worked.lines], dtype=np.int64)[of]
    runs: list[tuple[Part, Pieces]] = []
    first = np.flatnonzero(np.diff(index, prepend=-1))
    for low, high in pairwise([*first.tolist(), len(index)]):
        line = worked.entry(int(index[low])).parts[0]
        start, end = pixels[low:high, 0], pixels[low:high, 1]
        if line.stitch is None:  # the others are drawn by their strokes
            far = along_steps(np.hypot(*((end - start) / (lattice.across, lattice.down)).T))
            runs += _dyed(line, Pieces(start, end - start), far)
    for part, x, y in knots_in_turn(worked):
        runs.append((part, Pieces(np.array([lattice.pixel(x, y)]), np.zeros((1, 2)))))
    lay_pieces(picture, lattice, runs)


def _dyed(part: Part, pieces: Pieces, far: Ints) -> Iterator[tuple[Part, Pieces]]:
    """Give pieces of one stitch in the colours that its thread has so far on, in crosses."""
    for shown, some in stretches(far, part):
        yield shown, Pieces(pieces.start[some], pieces.way[some])


def _of_strokes(
    picture: Bytes, worked: WorkedChart, lot: Lot, lattice: Lattice
) -> tuple[Pieces, Ints]:
    """Return counted stitches piece by piece, and of which stroke each piece is.

    The holes that they pull open are drawn.
    """
    over, strokes = worked.design.ground.fabric.over, lot.seen
    pitch = np.array([lattice.across, lattice.down]) / over
    margin = np.array(lattice.pixel(0, 0))
    up, down = strokes.up * pitch + margin, strokes.down * pitch + margin
    straight = strokes.by < 0
    start, end = up.copy(), down.copy()
    if lot.stitch.pulled:
        pulled = _holes(picture, np.stack([up, down]), float(pitch.min()), worked)
        length = np.maximum(np.hypot(*(down - up).T), 1e-6)
        share = 0.7 * length / np.maximum(pulled.sum(axis=0), 1e-6)
        short = (pulled * np.minimum(share, 1.0) / length)[:, :, None] * (down - up)
        start, end = start + short[0], end - short[1]
    parts = [(np.flatnonzero(straight), start[straight], (end - start)[straight])]
    for at in np.flatnonzero(~straight).tolist():
        way = strokes.way(at) * pitch + margin
        way = sampled(way, CURVED) if len(way) == BOW else way
        parts.append((np.full(len(way) - 1, at), way[:-1], way[1:] - way[:-1]))
    of, begin, long = (np.concatenate(each) for each in zip(*parts, strict=True))
    order = np.argsort(of, kind="stable")
    return Pieces(begin[order], long[order]), of[order]


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


def lay_pieces(
    picture: Bytes, lattice: Lattice, runs: Sequence[tuple[Part, Pieces]], lustre: float = 1.0
) -> None:
    """Lay pieces of thread, each run over those before; those that look alike are drawn once."""
    stamps: list[Stamp] = []
    which, places = [np.empty(0, dtype=np.int64)], [np.empty((0, 2), dtype=np.int64)]
    drawn: dict[tuple[object, ...], list[int]] = {}
    for part, pieces in runs:
        corner = np.floor(pieces.start).astype(np.int64)
        within = ((pieces.start - corner) * STEPS).astype(np.int64)
        looks, look = np.unique(
            np.column_stack([np.round(pieces.way, 2), within]), axis=0, return_inverse=True
        )
        own = []
        for dx, dy, x, y in looks.tolist():
            same = (id(part), dx, dy, x, y)
            if same not in drawn:
                fresh: list[Stamp] = []
                if dx or dy or part.kind.lies is Lies.POINT:
                    stitch = _Stitch(part, dx, dy, lustre)
                    fresh = list(_drawn(stitch, (x / STEPS, y / STEPS), lattice))
                drawn[same] = list(range(len(stamps), len(stamps) + len(fresh)))
                stamps += fresh
            own.append(drawn[same])
        many = np.array([len(each) for each in own], dtype=np.int64)[look]
        first = np.cumsum(many) - many
        nth = np.arange(int(many.sum())) - np.repeat(first, many)
        table = np.zeros((len(own), max(map(len, own), default=0)), dtype=np.int64)
        for at, numbers in enumerate(own):
            table[at, : len(numbers)] = numbers
        which.append(table[np.repeat(look, many), nth])
        places.append(np.repeat(corner, many, axis=0))
    if stamps:
        lay(picture, stamps, np.concatenate(which), np.concatenate(places))


def _drawn(stitch: _Stitch, within: tuple[float, float], lattice: Lattice) -> Iterator[Stamp]:
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
        yield Stamp(swatch.tile(len(colours)).dyed(colours)[0], left, top)


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
