"""A part of the worked piece as if from near by: where most is going on, or where one says."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from ..cloth.cloth import paint
from ..cloth.scale import LARGEST, MOST_PIXELS
from ..compose.strokework import Stand
from ..compose.worked import Gap, WorkedChart

ACROSS = 48  # crosses that are shown at most
SHARE = 0.6  # of the width and of the height of the piece, at most
AROUND = 3  # crosses beyond, that stitches which reach in are whole
RATIO = 4 / 3  # of width to height, where no other is asked for
# What each thing adds to how much is going on, as against a change of thread between two cells.
PIECE, LINE, KNOT = 2.0, 1.5, 4.0

Box = tuple[int, int, int, int]  # x0, y0, x1, y1 in crosses
Floats = NDArray[np.floating[Any]]


def detail(
    worked: WorkedChart, ratio: float | None, width: int, box: Box | None = None
) -> Image.Image:
    """Return a picture of a part, so many pixels wide, if that is not too much.

    ratio: of its width to its height; of a stated box it is that of the box. box: None for where
    most is going on.
    """
    x0, y0, x1, y1 = box or busiest(worked, ratio or RATIO)
    width = min(width, math.isqrt(int(LARGEST * (x1 - x0) / (y1 - y0))))
    wider = max(0, x0 - AROUND), max(0, y0 - AROUND), x1 + AROUND, y1 + AROUND
    part = cut_out(worked, (*wider[:2], min(wider[2], worked.width), min(wider[3], worked.height)))
    pixels = min(MOST_PIXELS, -(-width // (x1 - x0)))
    image = paint(part, pixels_per_cross=pixels, margin=0)
    across, down = image.width / part.width, image.height / part.height
    left, top = (x0 - wider[0]) * across, (y0 - wider[1]) * down
    wide, high = (x1 - x0) * across, (y1 - y0) * down
    if box is None:  # whole crosses may be a little off the shape
        inner = min(high, wide / (ratio or RATIO))
        top, high = top + (high - inner) / 2, inner
    shown = left, top, left + wide, top + high
    height = max(1, round(width * high / wide))
    return image.resize((width, height), Image.Resampling.LANCZOS, shown)


def busiest(worked: WorkedChart, ratio: float) -> Box:
    """Return where most is going on: the first such place, row by row, in the wished-for shape."""
    fabric = worked.design.ground.fabric
    shape = ratio * fabric.cross_height / fabric.cross_width  # in crosses
    across = min(ACROSS, worked.width * SHARE, worked.height * SHARE * shape)
    columns = max(1, round(across))
    rows = max(1, min(worked.height, math.ceil(columns / shape)))
    total = np.zeros((worked.height + 1, worked.width + 1))
    total[1:, 1:] = _going_on(worked).cumsum(axis=0).cumsum(axis=1)
    windows = (total[rows:, columns:] - total[:-rows, columns:] - total[rows:, :-columns]) + total[
        :-rows, :-columns
    ]
    y, x = np.unravel_index(int(np.argmax(windows.round(6))), windows.shape)
    return int(x), int(y), int(x) + columns, int(y) + rows


def _going_on(worked: WorkedChart) -> Floats:
    """Return for each cell how much is going on there."""
    grid, over = worked.grid.copy(), worked.design.ground.fabric.over
    for stand in worked.stands:
        x, y = np.minimum(stand.at // over, np.array(grid.shape[::-1]) - 1).T
        grid[np.maximum(y, 0), np.maximum(x, 0)] = stand.index
    much = np.zeros(grid.shape)
    much[:, 1:] += grid[:, 1:] != grid[:, :-1]
    much[1:] += grid[1:] != grid[:-1]

    def add(x: Floats, y: Floats, worth: float) -> None:
        columns = np.clip(np.floor(x).astype(np.int64), 0, worked.width - 1)
        rows = np.clip(np.floor(y).astype(np.int64), 0, worked.height - 1)
        np.add.at(much, (rows, columns), worth)

    for piece in worked.pieces:
        rows, columns = np.nonzero(piece.grid)
        worth = PIECE * piece.cell**2
        add(piece.x + columns * piece.cell, piece.y + rows * piece.cell, worth)
    ends, _ = worked.stitched.ends()
    middles = ends.mean(axis=1)
    add(middles[:, 0], middles[:, 1], LINE)
    for knot in worked.knots:
        add(np.array([knot.x]), np.array([knot.y]), KNOT)
    return much


def cut_out(worked: WorkedChart, box: Box) -> WorkedChart:
    """Return what is stitched in a part, as a chart of that size."""
    x0, y0, x1, y1 = box
    over = worked.design.ground.fabric.over
    corner = np.array([x0, y0])

    def inside(low: Floats, high: Floats) -> bool:
        return bool((high >= corner).all() and (low <= (x1, y1)).all())

    return replace(
        worked,
        grid=worked.grid[y0:y1, x0:x1],
        owner=worked.owner[y0:y1, x0:x1],
        pieces=tuple(
            replace(each, x=each.x - x0, y=each.y - y0)
            for each in worked.pieces
            if inside(
                np.array([each.x, each.y]), np.array([each.x + each.width, each.y + each.height])
            )
        ),
        lines=tuple(
            replace(each, points=each.points - corner)
            for each in worked.lines
            if inside(each.points.min(axis=0), each.points.max(axis=0))
        ),
        knots=tuple(
            replace(each, x=each.x - x0, y=each.y - y0)
            for each in worked.knots
            if inside(np.array([each.x, each.y]), np.array([each.x, each.y]))
        ),
        stands=tuple(
            moved
            for each in worked.stands
            if len((moved := _moved(each, corner * over, np.array([x1, y1]) * over)).at)
        ),
        gaps=tuple(_shifted(each, x0 * over, y0 * over) for each in worked.gaps),
    )


def _moved(stand: Stand, corner: NDArray[np.int64], end: NDArray[np.int64]) -> Stand:
    near = ((stand.at + stand.stitch.over > corner) & (stand.at < end)).all(axis=1)
    return replace(stand, at=stand.at[near] - corner, placed=stand.placed[near])


def _shifted(gap: Gap, x: int, y: int) -> Gap:
    return replace(gap, x0=gap.x0 - x, y0=gap.y0 - y, x1=gap.x1 - x, y1=gap.y1 - y)
