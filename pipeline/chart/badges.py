"""Where the numbers of notes stand on a page, and which area each one means."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

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
ALONG = (0.25, 0.75, 0.125, 0.375, 0.625, 0.875)  # of a side, where its middle is stitched over
FARTHER = (1.5, 3.0, 4.5, 6.0, 8.0)  # radii beyond the places next to an area
SLANTS = (0, 1, -1, 2, -2)  # eighths of a right angle, aside of straight away from there
CROWDED = 2.1  # radii from middle to middle, below which rings are too near each other
Ends = NDArray[np.float64]
NO_ENDS: Ends = np.empty((0, 4))


@dataclass(frozen=True)
class Badge:
    """The ringed number of one note, in cells of the chart.

    x, y: middle of the ring. area: what the note means, which may go on beyond the view; a point
    has no extent. tip: where the leader ends, None where the ring stands next to its area.
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
    drawn: Ends = NO_ENDS,
) -> tuple[Badge, ...]:
    """Return the badges of the notes that mean something in view.

    A ring stands beside what it points at, and on it only where there is no room beside it: next to
    it where the fabric is bare there, else on bare fabric a little farther off, else next to it.

    radius: of a ring in mm. notes: the printed number of each note, and the note. A note on a
    piece off the grid means the whole piece. drawn: x0, y0, x1, y1 of stitches that are drawn as
    they lie, (n, 4). Rings keep off all that is stitched where they can, and apart from each other.
    """
    radius /= cell
    placed: list[Badge] = []
    rings = _Rings(CROWDED * radius)
    solid = [(piece.x, piece.y, piece.x + piece.width, piece.y + piece.height) for piece in pieces]
    near = np.minimum(drawn[:, :2], drawn[:, 2:]) <= np.array(view[2:])
    near &= np.maximum(drawn[:, :2], drawn[:, 2:]) >= np.array(view[:2])
    cover = _Cover(grid, solid, drawn[near.all(axis=1)])
    for number, note in notes:
        meant = _meant(note, pieces)
        area = meet(meant, view)
        point = meant[0] == meant[2] and meant[1] == meant[3]
        if area is None or (not point and (area[0] == area[2] or area[1] == area[3])):
            continue  # out of view, or its edge just touches
        gap = radius + (0.75 if point else 0.12)
        spots = _spots(area, gap, radius, view)
        costs = [_cost(spot, radius, cover, rings, area) for spot in spots]
        x, y = spots[costs.index(min(costs))]
        led = point
        if min(costs) > _AT_EASE:
            for spot in _farther(area, gap, radius, view):
                # Of a chart that is stitched all over the grid says no at once.
                if not cover.crosses(spot, radius) and (
                    _cost(spot, radius, cover, rings, area) == _AT_EASE
                ):
                    (x, y), led = spot, True
                    break
        rings.add(x, y)
        placed.append(Badge(number, x, y, meant, _nearest((x, y), area) if led else None))
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
    """Return places for a ring, best first, all in view.

    They are the corners of the area, its sides, and places within it, for one that fills the view.
    """
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
        for share in ALONG:
            across, down = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
            around += [(across, y0 - gap), (across, y1 + gap), (x1 + gap, down), (x0 - gap, down)]
        around.append((x1 - radius, y0 + radius))
        shares = (0.5, *ALONG)
        around += [
            (x0 + across * (x1 - x0), y0 + down * (y1 - y0)) for down in shares for across in shares
        ]
    return [spot for spot in around if _in_view(spot, radius, view)] or [
        (
            min(max(around[0][0], view[0] + radius), max(view[0] + radius, view[2] - radius)),
            min(max(around[0][1], view[1] + radius), max(view[1] + radius, view[3] - radius)),
        )
    ]


def _farther(area: Box, gap: float, radius: float, view: Box) -> Iterator[tuple[float, float]]:
    """Yield places for a ring away from the corners and sides of an area, the nearest first."""
    x0, y0, x1, y1 = area
    ways = [(across, down) for across in (1, -1, 0) for down in (-1, 1, 0) if across or down]
    for more in FARTHER:
        for slant in SLANTS:
            for across, down in ways:
                angle = math.atan2(down, across) + slant * math.pi / 16
                away = gap + more * radius
                spot = (
                    (x0, (x0 + x1) / 2, x1)[across + 1] + away * math.cos(angle),
                    (y0, (y0 + y1) / 2, y1)[down + 1] + away * math.sin(angle),
                )
                if _in_view(spot, radius, view):
                    yield spot


def _in_view(spot: tuple[float, float], radius: float, view: Box) -> bool:
    x, y = spot
    return view[0] + radius <= x <= view[2] - radius and view[1] + radius <= y <= view[3] - radius


@dataclass(frozen=True, eq=False)
class _Cover:
    """What is stitched: crosses, pieces off the grid, the ends of stitches drawn as they lie."""

    grid: IndexGrid
    pieces: Sequence[Box]
    drawn: Ends

    def crosses(self, spot: tuple[float, float], radius: float) -> int:
        """Return how many crosses of the chart's own grid a ring would lie on, about."""
        x, y = spot
        top, bottom = max(0, math.floor(y - radius)), max(0, math.ceil(y + radius))
        left, right = max(0, math.floor(x - radius)), max(0, math.ceil(x + radius))
        return int(np.count_nonzero(self.grid[top:bottom, left:right]))

    def under(self, spot: tuple[float, float], radius: float) -> int:
        """Return how many stitches a ring would lie on, about."""
        covered = self.crosses(spot, radius)
        high = math.ceil(2 * radius)
        covered += sum(_reaches(spot, radius, piece) for piece in self.pieces) * high
        x0, y0, x1, y1 = self._reach
        x, y = spot
        near = (x0 < x + radius) & (x1 > x - radius) & (y0 < y + radius) & (y1 > y - radius)
        ends = self.drawn[near]
        start, along = ends[:, :2], ends[:, 2:] - ends[:, :2]
        long = np.maximum((along**2).sum(axis=1), 1e-12)
        share = np.clip(((np.array(spot) - start) * along).sum(axis=1) / long, 0, 1)
        away = np.hypot(*(start + share[:, None] * along - np.array(spot)).T)
        return covered + int(np.count_nonzero(away < radius))

    @cached_property
    def _reach(self) -> tuple[NDArray[np.float64], ...]:
        """From where to where each stitch reaches: left, top, right, bottom."""
        one, other = self.drawn[:, :2], self.drawn[:, 2:]
        corners = np.concatenate([np.minimum(one, other), np.maximum(one, other)], axis=1)
        return tuple(np.ascontiguousarray(corners.T))


_AT_EASE = (False, 0, 0)


def _cost(
    spot: tuple[float, float], radius: float, cover: _Cover, rings: _Rings, area: Box
) -> tuple[bool, int, int]:
    """Return how ill a ring would stand somewhere: on what it means, near others, on stitches."""
    return (
        _reaches(spot, radius, area),
        rings.crowding(*spot),
        cover.under(spot, radius),
    )


def _reaches(spot: tuple[float, float], radius: float, area: Box) -> bool:
    """Tell whether a ring lies on a part of an area."""
    return math.dist(spot, _nearest(spot, area)) < radius


def _nearest(spot: tuple[float, float], area: Box) -> tuple[float, float]:
    """Return the place in an area that is nearest."""
    return min(max(spot[0], area[0]), area[2]), min(max(spot[1], area[1]), area[3])
