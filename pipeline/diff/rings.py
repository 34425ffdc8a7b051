"""What is drawn round changed cells: their outline, and a ring that catches the eye."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..chart.clip import meet
from .areas import NEAR
from .labelling import boxes, label
from .units import Box
from .views import Side

AROUND = 0.75  # cells between what changed and its ring
_HANDLE = 0.4477  # what a curve leaves of a radius, to stand for a quarter circle
MOST_OUTLINED = 5_000  # cells; more are seen without, and take minutes to draw
RADIUS = 0.7  # cells, of the corners of a ring


@dataclass(frozen=True)
class Marks:
    """Paths in cells from the corner of a window."""

    outline: str
    rings: str


def marks(side: Side) -> Marks:
    """Return what is drawn over one side of a view."""
    x0, y0, x1, y1 = side.window
    mask = np.zeros((y1 - y0, x1 - x0), dtype=bool)
    x, y = side.cells.T
    inside = (x >= x0) & (x < x1) & (y >= y0) & (y < y1)
    mask[y[inside] - y0, x[inside] - x0] = True
    ringed = boxes(*label(mask, NEAR)).tolist()
    for each in side.rings:
        box = meet(each, (x0, y0, x1, y1))
        if box is not None:
            ringed.append([box[0] - x0, box[1] - y0, box[2] - x0, box[3] - y0])
    rings = "".join(_ring((each[0], each[1], each[2], each[3])) for each in ringed)
    few = np.count_nonzero(mask) <= MOST_OUTLINED
    return Marks(outline(mask) if few else "", rings)


def outline(mask: NDArray[np.bool_]) -> str:
    """Return the edges between marked cells and others as a path, each straight run once."""
    padded = np.pad(mask, 1)
    level = padded[1:, 1:-1] != padded[:-1, 1:-1]
    upright = padded[1:-1, 1:] != padded[1:-1, :-1]
    runs = [f"M{x0} {y}H{x1}" for y, x0, x1 in _runs(level)]
    runs += [f"M{x} {y0}V{y1}" for x, y0, y1 in _runs(upright.T)]
    return "".join(runs)


def _runs(mask: NDArray[np.bool_]) -> list[list[int]]:
    """Return row, start and end of each run of marked cells along the rows."""
    steps = np.diff(np.pad(mask, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    rows, starts = np.nonzero(steps == 1)
    ends = np.nonzero(steps == -1)[1]
    runs: list[list[int]] = np.stack([rows, starts, ends], axis=1).tolist()
    return runs


def _ring(box: Box) -> str:
    """Return a rectangle with round corners round a box."""
    x0, y0, x1, y1 = box[0] - AROUND, box[1] - AROUND, box[2] + AROUND, box[3] + AROUND
    r = min(RADIUS, (x1 - x0) / 2, (y1 - y0) / 2)
    h = r * _HANDLE
    across, down = x1 - x0 - 2 * r, y1 - y0 - 2 * r

    turn, back = f"{r - h:.4g}", f"{h:.4g}"
    end = f"{r:.4g}"
    return (
        f"M{x0 + r:.5g} {y0:.5g}h{across:.5g}c{turn} 0 {end} {back} {end} {end}"
        f"v{down:.5g}c0 {turn} -{back} {end} -{end} {end}"
        f"h{-across:.5g}c-{turn} 0 -{end} -{back} -{end} -{end}"
        f"v{-down:.5g}c0 -{turn} {back} -{end} {end} -{end}z"
    )
