"""Withdrawn threads on the cloth: a gap that only the threads of the other direction still cross.

Threads that a hemstitch ties stand in groups (`compose.openwork`). Pictures as an array of pixels.
"""

from __future__ import annotations

import numpy as np

from ..compose.openwork import left_standing
from ..compose.worked import Gap, WorkedChart
from ..core.ground import Fabric
from .scale import Lattice
from .strands import Bytes, Reals, rgb
from .weave import texture

DEEP = 0.42  # light in a gap, as a share of that of the cloth: one looks through it
FINE = 3  # drawn points to a pixel, each way


def open_gaps(picture: Bytes, worked: WorkedChart, at: Lattice) -> None:
    """Take the withdrawn threads out of a bare cloth, in place: picture (height, width, 3)."""
    fabric = worked.design.ground.fabric
    colour = rgb(worked.design.ground.colour)
    pitch = np.array([at.across, at.down]) / fabric.over
    corner = np.array([at.across, at.down]) * at.margin
    for gap in worked.gaps:
        box = np.rint(np.array(gap.box).reshape(2, 2) * pitch + corner).astype(int)
        (x0, y0), (x1, y1) = box.tolist()
        ends = left_in(worked, gap) * np.tile(pitch, 2) + np.tile(corner, 2)
        ends -= np.tile([x0, y0], 2)
        half = strand_width(fabric) * pitch[gap.axis] / 2
        part = picture[y0:y1, x0:x1]
        if gap.axis == 1:  # the same, lying on its side
            part, ends = part.transpose(1, 0, 2), ends[:, [1, 0, 3, 2]]
        if part.size:
            part[...] = _painted(part.shape[0], part.shape[1], ends, float(half), colour)


def left_in(worked: WorkedChart, gap: Gap) -> Reals:
    """Return what stands in a gap as it is drawn, (m, 4): a block shows all of its threads."""
    fabric = worked.design.ground.fabric
    pieces = left_standing(worked, gap)
    many = texture(fabric).threads // fabric.over
    if many == 1:
        return pieces
    aside = np.zeros(4)
    aside[[gap.axis, 2 + gap.axis]] = 1.0
    places = (np.arange(many) + 0.5) / many - 0.5
    return np.concatenate([pieces + place * aside for place in places])


def strand_width(fabric: Fabric) -> float:
    """Return how wide a thread is drawn, as a share of the room of a thread or block."""
    how = texture(fabric)
    return how.fill * fabric.over / how.threads


def _painted(height: int, width: int, ends: Reals, half: float, colour: Reals) -> Reals:
    """Return a gap that upright threads cross, (height, width, 3).

    ends: (m, 4) x, y where each begins and ends, in pixels. half: of their width.
    """
    x = (np.arange(width * FINE) + 0.5) / FINE
    light = np.empty((height * FINE, width * FINE))
    cuts = np.unique(ends[:, [1, 3]])  # between two of these the same threads stand
    band = np.searchsorted(cuts, (np.arange(height * FINE) + 0.5) / FINE, side="right")
    for each in np.unique(band):
        rows = np.flatnonzero(band == each)
        y = (rows[0] + 0.5) / FINE
        here = ends[(ends[:, 1] <= y) & (y < ends[:, 3])]
        for row in rows:
            light[row] = _row(here, x, (row + 0.5) / FINE, half)
    even = light.reshape(height, FINE, width, FINE).mean(axis=(1, 3))[..., None]
    # As the cloth around is lit: dark threads catch a little light too.
    painted: Reals = np.clip(colour * even + 22.0 * (even - 1.0) + 0.5, 0, 255)
    return painted


def _row(here: Reals, x: Reals, y: float, half: float) -> Reals:
    """Return the light along one row of points of a gap; here: the threads that it meets."""
    light = np.full(len(x), DEEP)
    if not len(here):
        return light
    share = (y - here[:, 1]) / (here[:, 3] - here[:, 1])
    middle = np.sort(here[:, 0] + (here[:, 2] - here[:, 0]) * share)
    after = np.searchsorted(middle, x).clip(1, len(middle) - 1) if len(middle) > 1 else None
    if after is None:
        away = x - middle[0]
    else:
        before, behind = x - middle[after - 1], x - middle[after]
        away = np.where(np.abs(before) <= np.abs(behind), before, behind)
    side = away / half
    lit = 1.0 - 0.20 * np.abs(side) ** 3 - 0.07 * side
    return np.where(np.abs(side) < 1, lit, light)
