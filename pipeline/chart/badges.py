"""Where the numbers of notes stand on a page, and which area each one means."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..compose.worked import IndexGrid, Piece
from ..core.items import Box
from ..core.matter import Note
from .overdrawn import meet


@dataclass(frozen=True)
class Ring:
    """How a ring with a number is drawn, in mm. radius: of the ring. figure: size of the number."""

    radius: float
    figure: float


USUAL_RING = Ring(1.45, 2.1)
CROWDED = 2.1  # radii from middle to middle, below which rings are too near each other


@dataclass(frozen=True)
class Badge:
    """The ringed number of one note, in cells of the chart.

    x, y: middle of the ring. area: what the note means, which may go on beyond the view; a point
    has no extent. tip: where the leader ends, None where the ring touches its area.
    """

    number: int
    x: float
    y: float
    area: Box
    tip: tuple[float, float] | None


class _Rings:
    """The middles of rings, in squares as wide as rings look around."""

    def __init__(self, near: float) -> None:
        self._near = near
        self._squares: dict[tuple[int, int], list[tuple[float, float]]] = {}

    def add(self, x: float, y: float) -> None:
        self._squares.setdefault(self._square(x, y), []).append((x, y))

    def crowding(self, x: float, y: float) -> int:
        """Return how many rings are too near."""
        column, row = self._square(x, y)
        return sum(
            math.hypot(x - each[0], y - each[1]) < self._near
            for across in (column - 1, column, column + 1)
            for down in (row - 1, row, row + 1)
            for each in self._squares.get((across, down), ())
        )

    def _square(self, x: float, y: float) -> tuple[int, int]:
        return math.floor(x / self._near), math.floor(y / self._near)


def badges(
    notes: Sequence[tuple[int, Note]],
    pieces: Sequence[Piece],
    grid: IndexGrid,
    view: Box,
    cell: float,
    radius: float = USUAL_RING.radius,
) -> tuple[Badge, ...]:
    """Return the badges of the notes that mean something in view.

    A ring stands beside what it points at, and on it only where there is no room beside it.

    radius: of a ring in mm. notes: the printed number of each note, and the note. A note on a
    piece off the grid means the whole piece. Rings keep to bare fabric where they can, and apart
    from each other.
    """
    radius /= cell
    placed: list[Badge] = []
    rings = _Rings(CROWDED * radius)
    solid = [(piece.x, piece.y, piece.x + piece.width, piece.y + piece.height) for piece in pieces]
    for number, note in notes:
        meant = _meant(note, pieces)
        area = meet(meant, view)
        point = meant[0] == meant[2] and meant[1] == meant[3]
        if area is None or (not point and (area[0] == area[2] or area[1] == area[3])):
            continue  # out of view, or its edge just touches
        gap = radius + (0.75 if point else 0.12)
        spots = _spots(area, gap, radius, view)
        costs = [_cost(spot, radius, grid, solid, rings, area) for spot in spots]
        x, y = spots[costs.index(min(costs))]
        rings.add(x, y)
        placed.append(Badge(number, x, y, meant, (area[0], area[1]) if point else None))
    return tuple(placed)


def _meant(note: Note, pieces: Sequence[Piece]) -> Box:
    area = (note.x0, note.y0, note.x1, note.y1)
    point = note.x0 == note.x1 and note.y0 == note.y1
    for piece in pieces if point else ():
        bounds = (piece.x, piece.y, piece.x + piece.width, piece.y + piece.height)
        if meet(area, bounds):
            return bounds
    return area


def _spots(area: Box, gap: float, radius: float, view: Box) -> list[tuple[float, float]]:
    """Return places for a ring around an area, best first: corners, then sides; all in view."""
    x0, y0, x1, y1 = area
    point = x0 == x1 and y0 == y1
    slant = gap * math.sqrt(0.5) if point else gap
    middle_x, middle_y = (x0 + x1) / 2, (y0 + y1) / 2
    around = [
        (x1 + slant, y0 - slant),
        (x0 - slant, y0 - slant),
        (x1 + slant, y1 + slant),
        (x0 - slant, y1 + slant),
        (x1 + gap, middle_y),
        (middle_x, y0 - gap),
        (x0 - gap, middle_y),
        (middle_x, y1 + gap),
    ]
    if not point:
        around.append((x1 - radius, y0 + radius))
    inside = [
        (x, y)
        for x, y in around
        if view[0] + radius <= x <= view[2] - radius and view[1] + radius <= y <= view[3] - radius
    ]
    return inside or [
        (
            min(max(around[0][0], view[0] + radius), max(view[0] + radius, view[2] - radius)),
            min(max(around[0][1], view[1] + radius), max(view[1] + radius, view[3] - radius)),
        )
    ]


def _cost(
    spot: tuple[float, float],
    radius: float,
    grid: IndexGrid,
    pieces: Sequence[Box],
    rings: _Rings,
    area: Box,
) -> tuple[bool, int, int]:
    """Return how ill a ring would stand somewhere: on what it means, near others, on stitches."""
    x, y = spot
    top, bottom = max(0, math.floor(y - radius)), max(0, math.ceil(y + radius))
    left, right = max(0, math.floor(x - radius)), max(0, math.ceil(x + radius))
    covered = int(np.count_nonzero(grid[top:bottom, left:right]))
    covered += sum(_reaches(spot, radius, piece) for piece in pieces) * (bottom - top)
    return _reaches(spot, radius, area), rings.crowding(x, y), covered


def _reaches(spot: tuple[float, float], radius: float, area: Box) -> bool:
    """Tell whether a ring lies on a part of an area."""
    x = min(max(spot[0], area[0]), area[2])
    y = min(max(spot[1], area[1]), area[3])
    return math.hypot(spot[0] - x, spot[1] - y) < radius
