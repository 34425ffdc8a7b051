"""Single cells that differ where a move carries all around them onto its like."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .handdrawn import DrawnSheet
from .moves import Numbers, Pairs
from .squares import (
    ALL,
    FULL,
    MIDDLE,
    MOST_FOLLOWED,
    REACH,
    RIM,
    TOUCHING,
    Rows,
    bit_at,
    followed,
    many,
    part_of,
    spread,
    squares,
)

PARTLY = 0.5  # what a part of a figure counts against a whole one
SOME_VOTES = 12  # for a move that a figure is trusted to which goes on beyond reach
MANY_VOTES = 100  # for a move by which much of the piece is made, such as the step of a border

# Another figure may stand near, or the one in question on some ground: so one looks less far, or
# away from it.
_PARTS = (
    part_of((-5, 5), (-5, 5)),
    part_of((-4, 4), (-4, 4)),
    part_of((-REACH, 1), FULL),
    part_of((-1, REACH), FULL),
    part_of(FULL, (-REACH, 1)),
    part_of(FULL, (-1, REACH)),
    part_of((-1, 1), FULL),
    part_of(FULL, (-1, 1)),
)


@dataclass(frozen=True, eq=False)
class Suspects:
    """Pairs of cells of which one differs from what the other would make of it.

    cell, twin: (n, 2) row and column. way: (n,) how the twin lies. alike: (n,) stitches around the
    cell, joined to one another, that are as they are around the twin while nothing beside them
    differs, zero where something does. partly: (n,) half of what is so where one looks less far or
    away from one side.
    """

    cell: Numbers
    twin: Numbers
    way: Numbers
    alike: Numbers
    partly: NDArray[np.float64]


def suspects(sheet: DrawnSheet, alone: Pairs, least: int) -> Suspects:
    """Return the cells that differ alone, where a figure around them speaks for that.

    least: stitches of a figure that is large enough.
    """
    seen = squares(sheet, alone)
    # The cell itself is known to differ, and its twin as well where that lies near.
    differ = seen.differ & ~MIDDLE
    apart = alone.twin - alone.cell
    near = np.flatnonzero((np.abs(apart) <= REACH).all(axis=1))
    differ[near] &= ~bit_at(apart[near])
    whole, ends = figures(seen.alike, differ, ALL)
    # What goes on beyond reach may be any two edges; what ends within is a figure of its own.
    whole[~ends & (alone.votes < SOME_VOTES)] = 0
    # A mast goes on beyond reach, to its hull.
    short = np.flatnonzero((whole > 0) & ~ends & (whole < least))
    for each in short[:MOST_FOLLOWED].tolist():
        pair = alone.cell[each], alone.twin[each], int(alone.way[each])
        far = followed(sheet, pair, least, 1)
        whole[each] = 0 if far is None else far.figure
    partly = np.zeros(len(whole))
    rest = np.flatnonzero((whole == 0) & (alone.votes >= MANY_VOTES))
    for part in _PARTS:
        figure, _ = figures(seen.alike[rest], differ[rest], part)
        partly[rest] = np.maximum(partly[rest], figure * PARTLY)
    kept = (whole > 0) | (partly > 0)
    return Suspects(alone.cell[kept], alone.twin[kept], alone.way[kept], whole[kept], partly[kept])


def figures(alike: Rows, differ: Rows, part: Rows) -> tuple[Numbers, NDArray[np.bool_]]:
    """Return how many stitches a part of the figure around each cell has; zero if any differs.

    The second value tells whether the figure ends within reach.
    """
    alike, differ = alike & part, differ & part
    figure = alike & TOUCHING
    size = np.zeros(len(figure), np.int64)
    ends = np.ones(len(figure), np.bool_)
    left = np.arange(len(figure))
    while left.size:
        around = spread(figure)
        # As soon as one cell differs no more is asked.
        sound = ((around & differ[left]) == 0).all(axis=1)
        size[left[~sound]] = 0
        left, figure = left[sound], (around & alike[left])[sound]
        ends[left] = ~(figure & RIM).any(axis=1)
        grown = many(figure)
        growing = grown > size[left]
        size[left] = grown
        left, figure = left[growing], figure[growing]
    return size, ends
