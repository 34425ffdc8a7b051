"""Small drawings of cell stitches in a few variants, leg by leg, kept for the next picture.

A leg is a thread that runs from one hole to another, in working order. Places are in shares of the
cell, x right and y down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..core.counted import Stroke
from ..core.items import Point
from ..core.key import KeyEntry, Part, Strands
from ..stitches.kinds import CORNERS, MIDDLE, strokes
from .strands import Bytes, Reals, Swatch, Tile, thread_width

MOST_STRANDS = 4  # more lie on top of each other and cannot be told apart
VARIANTS = 6  # of each stitch, so that no two neighbours need look the same
FINEST = 64  # points drawn across a cell, at least
FINE_SHADOW = 4
HOLLOW = 0.30  # how dark the cloth is that shows between thick legs of a cross
TONE = 0.014  # how much lighter or darker one cross is than the next
INSET = 0.075  # a leg ends a little inside its hole
SEED = 407
WIDEST, SLIMMEST = 0.60, 0.15  # of a thread, as a share of the cell
REACH, DEPTH = 0.24, 0.36  # of the shadow beside a cross, in crosses, and how dark


@dataclass(frozen=True)
class Leg:
    """One thread from hole to hole. part: index of the part it belongs to."""

    start: Point
    end: Point
    part: int
    order: int  # legs of a lower order are laid first


def legs_of(parts: Sequence[Part]) -> tuple[Leg, ...]:
    """Return the legs of a cell's parts in the order in which they lie on the cloth."""
    legs = [_leg(number, each) for number, part in enumerate(parts) for each in strokes(part)]
    return tuple(sorted(legs, key=lambda leg: (leg.order, leg.part)))


def _leg(number: int, stroke: Stroke) -> Leg:
    """Return a stroke as it is drawn: from the rim of its cell, from the left, or from below."""
    ends = stroke.up, stroke.down
    start, end = sorted(ends, key=lambda at: (at == MIDDLE, at[0], -at[1]))
    return Leg(start, end, number, stroke.layer)


@dataclass(frozen=True)
class Build:
    """How a key entry is drawn, colour apart, so that entries built alike share a drawing.

    legs: in working order. slots: for each part the colour slot of each strand seen.
    strands: for each part the strands in the needle.
    """

    legs: tuple[Leg, ...]
    slots: tuple[tuple[int, ...], ...]
    strands: tuple[int, ...]


def build(entry: KeyEntry) -> tuple[Build, tuple[str, ...]]:
    """Return how an entry is built and the colour (`#rrggbb`) of each slot."""
    colours: list[str] = []
    slots: list[tuple[int, ...]] = []
    for part in entry.parts:
        first = len(colours)
        colours.extend(each.thread.colour for each in part.needle)
        slots.append(seen(part.needle, first))
    strands = tuple(sum(each.strands for each in part.needle) for part in entry.parts)
    return Build(legs_of(entry.parts), tuple(slots), strands), tuple(colours)


def seen(needle: Sequence[Strands], first: int) -> tuple[int, ...]:
    """Return the colour slot of each strand that is seen.

    The slots of the needle's threads count from `first`. Strands of a blend are dealt out in
    turn, and each of its threads is seen at least once.
    """
    each = [[first + number] * max(1, needled.strands) for number, needled in enumerate(needle)]
    dealt = [slot for turn in range(max(map(len, each))) for slot in _nth(each, turn)]
    return tuple(dealt[: max(MOST_STRANDS, len(needle))])


def _nth(lists: Sequence[Sequence[int]], turn: int) -> list[int]:
    return [each[turn] for each in lists if turn < len(each)]


@lru_cache(maxsize=256)
def draw(build: Build, width: float, height: float, across: int, down: int) -> Tile:
    """Return a cell's stitches in all variants.

    width, height: of the cell in mm. across, down: of the cell in pixels.
    """
    fine = max(2, math.ceil(FINEST / max(across, down)))
    swatch = Swatch(across, down, width=width, height=height, fine=fine, variants=VARIANTS)
    rng = np.random.default_rng(SEED)
    side = min(width, height)
    closeness = 1.0
    for leg in build.legs:
        slots = build.slots[leg.part]
        thick = thread_width(build.strands[leg.part])
        thick = min(max(thick, SLIMMEST * side), WIDEST * side)
        start, end = _ends(leg, width, height)
        swatch.lay(
            start + _jitter(rng, 0.022 * side),
            end + _jitter(rng, 0.022 * side),
            slots,
            thick,
            twisted=len(set(slots)) > 1,
            turn=rng.random(VARIANTS, dtype=np.float32),
        )
        closeness = min(closeness, (thick / side - 0.2) / 0.2)
    ends = {end for leg in build.legs for end in (leg.start, leg.end)}
    if ends >= set(CORNERS.values()):
        swatch.hollow(HOLLOW * max(0.0, closeness))
    swatch.shade *= rng.normal(1, TONE, (VARIANTS, 1, 1)).astype(np.float32)
    return swatch.tile(1 + max(slot for part in build.slots for slot in part))


def _ends(leg: Leg, width: float, height: float) -> tuple[Reals, Reals]:
    """Return both ends in mm for every variant, drawn a little inside the holes."""
    start, end = np.array(leg.start), np.array(leg.end)
    run = end - start
    size = np.array([width, height])
    first = (start + INSET * run / np.abs(run).max()) * size
    last = (end - INSET * run / np.abs(run).max()) * size
    shape = (VARIANTS, 2)
    return (
        np.broadcast_to(first, shape).astype(np.float32),
        np.broadcast_to(last, shape).astype(np.float32),
    )


def _jitter(rng: np.random.Generator, spread: float) -> Reals:
    return rng.normal(0, spread, (VARIANTS, 2)).astype(np.float32)


def shadows(across: int, down: int) -> Bytes:
    """Return the shadow that crosses throw on bare cells beside them.

    (4, down, across, 4): none, from the cell to the left, from the cell above, from both.
    """
    x = ((np.arange(across * FINE_SHADOW) + 0.5) / (across * FINE_SHADOW))[None, :]
    y = ((np.arange(down * FINE_SHADOW) + 0.5) / (down * FINE_SHADOW))[:, None]
    # Legs meet at the corners, so the shadow is deepest there.
    left = np.clip(1 - x / REACH, 0, 1) ** 2 * (0.45 + 0.55 * np.abs(2 * y - 1))
    above = np.clip(1 - y / REACH, 0, 1) ** 2 * (0.45 + 0.55 * np.abs(2 * x - 1))
    both = np.stack([0 * left * above, left + 0 * y, above + 0 * x, np.maximum(left, above)])
    small = both.reshape(4, down, FINE_SHADOW, across, FINE_SHADOW).mean(axis=(2, 4))
    out = np.zeros((4, down, across, 4), dtype=np.uint8)
    out[..., 3] = np.rint(255 * DEPTH * small)
    return out
