"""What a chart says of the part that a photograph shows, as cells of threads."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedChart
from ..core.key import KeyEntry
from ..core.matter import Showing
from ..photograph.differences import Expected

Mask = NDArray[np.bool_]
_STEP = 0.25  # of a cross, between points of a line that are looked at


@dataclass(frozen=True, eq=False)
class Part:
    """The part of a chart that a photograph shows.

    left, top: of its first cell. expected: its cells. threads: the key lines that their numbers
    stand for, from 1; lines of one thread share one number.
    """

    left: int
    top: int
    expected: Expected
    threads: tuple[KeyEntry, ...]


def part_of(worked: WorkedChart, showing: Showing) -> Part:
    """Return what a chart says of a part that lies in it, on whole crosses."""
    left, top, right, bottom = (round(each) for each in box_of(showing))
    here = slice(top, bottom), slice(left, right)
    numbers, threads = _numbered(worked)
    grid = worked.grid[here]
    lone = np.array([True, *(is_lone_cross(entry) for entry in worked.design.key)])
    plain = lone[grid] & ~_beset(worked)[here]
    expected = Expected(numbers[grid].astype(np.int32), plain, _said_apart(worked)[here])
    return Part(left, top, expected, threads)


def box_of(showing: Showing) -> tuple[float, float, float, float]:
    """Return left, top, right and bottom of what is shown, in crosses."""
    return showing.x0, showing.y0, showing.x1, showing.y1


def _numbered(worked: WorkedChart) -> tuple[NDArray[np.int64], tuple[KeyEntry, ...]]:
    """Return the number of the thread of each key line, 0 first, and a key line for each."""
    first: dict[object, int] = {}
    numbers, entries = [0], []
    for entry in worked.design.key:
        threads = tuple(each.thread for each in entry.parts[0].needle)
        if threads not in first:
            first[threads] = len(first) + 1
            entries.append(entry)
        elif not is_lone_cross(entries[first[threads] - 1]) and is_lone_cross(entry):
            entries[first[threads] - 1] = entry
        numbers.append(first[threads])
    return np.array(numbers), tuple(entries)


def is_lone_cross(entry: KeyEntry) -> bool:
    """Return whether a key line is a whole cross by itself, as cells are that are compared."""
    return len(entry.parts) == 1 and entry.parts[0].kind.covers


def _beset(worked: WorkedChart) -> Mask:
    """Return which cells hold more than their cross: pieces, strokes, lines, knots, gaps."""
    beset = np.zeros((worked.height, worked.width), dtype=bool)
    over = worked.design.ground.fabric.over

    def cover(x0: float, y0: float, x1: float, y1: float) -> None:
        rows = slice(max(0, math.floor(y0)), max(0, math.ceil(y1)))
        beset[rows, max(0, math.floor(x0)) : max(0, math.ceil(x1))] = True

    for piece in worked.pieces:
        cover(piece.x, piece.y, piece.x + piece.width, piece.y + piece.height)
    for stand in worked.stands:
        wide, high = stand.stitch.over
        for x, y in stand.at.tolist():
            cover(x / over, y / over, (x + wide) / over, (y + high) / over)
    for gap in worked.gaps:
        cover(*(side / over for side in gap.box))
    for knot in worked.knots:
        cover(knot.x - 0.5, knot.y - 0.5, knot.x + 0.5, knot.y + 0.5)
    for line in worked.lines:
        for start, end in zip(line.points[:-1], line.points[1:], strict=True):
            many = max(2, math.ceil(float(np.abs(end - start).max()) / _STEP) + 1)
            along = start + np.linspace(0, 1, many)[:, None] * (end - start)
            # On a grid line it lies between the inner parts of cells, which alone are looked at.
            inside = (np.abs(along - np.rint(along)) > _STEP / 2).all(axis=1)
            for x, y in along[inside].tolist():
                cover(x, y, x, y)
                cover(math.floor(x), math.floor(y), math.floor(x) + 1, math.floor(y) + 1)
    return beset


def _said_apart(worked: WorkedChart) -> Mask:
    """Return the cells of which a note says that they are not, or not surely, as in the piece."""
    apart = np.zeros((worked.height, worked.width), dtype=bool)
    for note in worked.design.notes:
        if note.kind.sets_apart:
            left, top = max(0, math.floor(note.x0)), max(0, math.floor(note.y0))
            apart[top : math.ceil(note.y1), left : math.ceil(note.x1)] = True
    return apart
