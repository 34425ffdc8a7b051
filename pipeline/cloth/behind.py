"""The back of the worked piece: from stitch to stitch of a run the thread goes on behind the cloth.

Runs are those in which crosses are worked, row by row there and back or one by one, those of
counted stitches and those of lines. Where the thread is carried on from one run to the next, and
where it is fastened, is for the stitcher to choose and not shown.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import IndexGrid, WorkedChart, present
from ..core.key import Kind, Part
from ..stitches.counted import for_cross
from ..stitches.runs import Strokes, along_lines, in_runs
from ..stitches.shipped import shipped

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Behind:
    """What one needle leaves on the back. ends: (n, 2, 2), in crosses as seen from the front."""

    part: Part
    ends: Floats


def behind(worked: WorkedChart) -> Iterator[Behind]:
    """Yield the thread on the back, what is worked first first."""
    over = worked.design.ground.fabric.over
    yield from _of_grid(worked, worked.grid, over, None, np.zeros(2))
    for piece in worked.pieces:
        corner = np.array([piece.x, piece.y])
        yield from _of_grid(worked, piece.grid, piece.over, piece.strands, corner)
    for lot in worked.counted:
        part = worked.entry(lot.index, lot.strands).parts[lot.part]
        yield Behind(_laid(part), _between(lot.strokes) / over)
    ends, line = worked.stitched.ends()
    index = np.array([each.index for each in worked.lines], dtype=np.int64)[line]
    for each in np.unique(index).tolist():
        part = worked.entry(each).parts[0]
        if part.stitch is None:
            own = index == each
            strokes = along_lines(shipped()[part.kind.value], ends[own] * over, line[own])
            yield Behind(_laid(part), _between(strokes) / over)


def _of_grid(
    worked: WorkedChart, grid: IndexGrid, over: int, strands: int | None, corner: Floats
) -> Iterator[Behind]:
    """Yield what crosses over so many threads leave; corner: of their grid, in crosses."""
    journeys = worked.design.working.method.journeys
    for index in present(grid):
        at = np.argwhere(grid == index)[:, ::-1] * over
        for part in worked.entry(int(index), strands).parts if index else ():
            if part.stitch is not None:
                continue  # stands by itself, not in the grid
            name = part.kind.value if part.way is None else f"{part.kind.value}-{part.way.value}"
            stitch = for_cross(shipped()[name], over)
            if journeys is not None:
                stitch = replace(stitch, journeys=journeys)
            ends = _between(in_runs(stitch, at)) / worked.design.ground.fabric.over
            yield Behind(_laid(part), ends + corner)


def _between(strokes: Strokes) -> Floats:
    """Return the way from where each stroke goes down to where the next of its run comes up."""
    ends = np.stack([strokes.down[:-1], strokes.up[1:]], axis=1)
    on = strokes.run[1:] == strokes.run[:-1]
    return np.asarray(ends[on & (ends[:, 0] != ends[:, 1]).any(axis=1)])


def _laid(part: Part) -> Part:
    """Return a stitch of the same thread that lies from hole to hole."""
    return replace(part, kind=Kind.STRAIGHT, way=None)
