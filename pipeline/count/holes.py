"""Where a fabric has no hole for a stitch, so that it has to be pierced."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedChart, present
from ..core.model import Fabric, Kind, Part
from ..stitches.kinds import strokes
from ..stitches.lines import NEAR


def pierced(worked: WorkedChart, fabric: Fabric) -> tuple[tuple[int, Kind], ...]:
    """Return the key lines, and of each the kinds of stitch, for which a fabric has no hole.

    Holes lie at the corners of its blocks or between its threads; of a line every written point
    is looked at. Pieces that cannot be worked on the fabric at all are left out (see
    `size.unworkable`).
    """
    grids = [(worked.grid, fabric.over)]
    grids += [(piece.grid, round(piece.cell * fabric.over)) for piece in worked.pieces]
    found = {
        (index, part.kind)
        for grid, over in grids
        for index in present(grid)
        if index and over
        for part in worked.entry(index).parts
        if _inside(part, over)
    }
    places = [(line.index, line.points) for line in worked.lines]
    places += [(knot.index, np.array([knot.x, knot.y])) for knot in worked.knots]
    for index, points in places:
        if _beside(points * fabric.over):
            found.add((index, worked.entry(index).parts[0].kind))
    return tuple(sorted(found))


def _inside(part: Part, over: int) -> bool:
    """Tell whether a stitch in a cell over so many threads begins or ends beside the holes."""
    ends = [end for stroke in strokes(part) for end in (stroke.up, stroke.down)]
    return _beside(np.array(ends) * over)


def _beside(places: NDArray[np.float64]) -> bool:
    """Tell whether any of some places, in threads, lies in no hole."""
    return bool(np.any(np.abs(places - np.rint(places)) > NEAR))
