"""What lies together on a chart, and is told together on a sheet of corrections."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar, assert_never

import numpy as np

from ..core.items import Box
from . import changes as kinds
from .areas import in_blocks
from .changes import Drawn
from .lines import around

MOST_AREAS = 24  # items of changed cells; more of them are told together, place by place
MOST_TOLD = 12  # sentences of one entry; of the others only their number
_Thing = TypeVar("_Thing")


def points_of(drawn: Drawn) -> Sequence[tuple[float, float]]:
    """Return the points of lines, knots or beads, or the corners of counted stitches, in cells."""
    match drawn:
        case kinds.Stretch() | kinds.Dotted():
            return drawn.points
        case kinds.Strayed():
            return drawn.now, drawn.was
        case kinds.Resewn():
            return [corner for box in drawn.boxes for corner in (box[:2], box[2:])]
        case _:
            assert_never(drawn)


def span_of(drawn: Drawn) -> Box:
    """Return the box of the points themselves."""
    xs, ys = zip(*points_of(drawn), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def bounds_of(drawn: Drawn) -> Box:
    """Return the box to look at, with a little room."""
    return around(points_of(drawn))


def box_round(boxes: Sequence[Box]) -> Box:
    """Return the box round some boxes."""
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def boxes_round(group: Sequence[Drawn]) -> tuple[Box, Box]:
    """Return the boxes to look at for lines and knots together: of the old ones, of the new ones.

    Where there are none of a sort it is the box of all.
    """
    boxes = [(bounds_of(member), member) for member in group]
    every = [box for box, _ in boxes]
    return (
        box_round([box for box, member in boxes if member.old] or every),
        box_round([box for box, member in boxes if member.new] or every),
    )


def by_block(things: Sequence[_Thing], boxes: Sequence[Box]) -> list[list[_Thing]]:
    """Return things together that lie in one block of the chart, in MOST_AREAS groups at most."""
    corners = np.floor(np.array(boxes)).astype(np.int64)
    corners -= np.tile(np.minimum(corners[:, :2].min(axis=0), 0), 2)
    block = in_blocks(corners, MOST_AREAS)
    groups: list[list[_Thing]] = [[] for _ in range(int(block.max()) + 1)]
    for thing, number in zip(things, block.tolist(), strict=True):
        groups[number].append(thing)
    return groups


def lying_together(drawn: Sequence[Drawn]) -> list[list[Drawn]]:
    """Group lines and knots whose surroundings touch; of many, those of a block of the chart."""
    groups: list[list[tuple[Drawn, Box]]] = []
    for each in drawn:
        box = bounds_of(each)
        joined = [(each, box)]
        apart = []
        for group in groups:
            if any(_meet(box, other) for _, other in group):
                joined = group + joined
            else:
                apart.append(group)
        groups = [*apart, joined]
    if len(groups) > MOST_AREAS:
        return by_block(drawn, [bounds_of(each) for each in drawn])
    parted = []
    for group in groups:
        lines, boxes = [each for each, _ in group], [box for _, box in group]
        parted += [lines] if len(lines) <= MOST_TOLD else by_block(lines, boxes)
    return parted


def _meet(one: Box, other: Box) -> bool:
    return one[0] <= other[2] and other[0] <= one[2] and one[1] <= other[3] and other[1] <= one[3]
