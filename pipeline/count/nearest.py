"""The order in which lines and knots are worked: always on to the nearest not yet worked."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

Place = tuple[float, float]


def order(
    ends: Sequence[Sequence[Place]], reach: float, side: float
) -> tuple[list[int], list[bool], list[float]]:
    """Order things by going from each to the nearest within reach.

    ends: the places, in mm, where each can be begun: one, or two of which the other is then its
    end. side: of the squares in which places are looked up, about the size of a cross. Returns
    the order, whether each is begun at its second end, and the way to each from the one before,
    NaN where none lay within reach (then the first not yet worked follows).

    The loop runs over lines and knots, which are few as against crosses.
    """
    squares: dict[tuple[int, int], list[tuple[int, int]]] = {}
    side = max(side, reach / 40)
    for number, places in enumerate(ends):
        for which, place in enumerate(places):
            squares.setdefault(_square(place, side), []).append((number, which))
    rings = _rings(math.ceil(reach / side))
    done = [False] * len(ends)
    found: list[int] = []
    turned: list[bool] = []
    ways: list[float] = []
    here: Place | None = None
    waiting = 0
    for _ in range(len(ends)):
        nearest = None if here is None else _nearest(here, ends, squares, rings, side, reach)
        if nearest is None:
            while done[waiting]:
                waiting += 1
            nearest = math.nan, waiting, 0
        way, number, which = nearest
        done[number] = True
        for place_number, place in enumerate(ends[number]):
            squares[_square(place, side)].remove((number, place_number))
        found.append(number)
        turned.append(which == 1)
        ways.append(way)
        here = ends[number][len(ends[number]) - 1 - which]
    return found, turned, ways


def _square(place: Place, side: float) -> tuple[int, int]:
    return math.floor(place[0] / side), math.floor(place[1] / side)


def _rings(farthest: int) -> list[list[tuple[int, int]]]:
    return [list(_ring(size)) for size in range(farthest + 1)]


def _ring(size: int) -> Iterator[tuple[int, int]]:
    for across in range(-size, size + 1):
        for down in range(-size, size + 1):
            if max(abs(across), abs(down)) == size:
                yield across, down


def _nearest(
    here: Place,
    ends: Sequence[Sequence[Place]],
    squares: dict[tuple[int, int], list[tuple[int, int]]],
    rings: Sequence[Sequence[tuple[int, int]]],
    side: float,
    reach: float,
) -> tuple[float, int, int] | None:
    column, row = _square(here, side)
    best: tuple[float, int, int] | None = None
    for size, ring in enumerate(rings):
        if best is not None and best[0] <= (size - 1) * side:
            break  # nothing in this ring is nearer
        for across, down in ring:
            for number, which in squares.get((column + across, row + down), ()):
                way = math.dist(here, ends[number][which])
                if way <= reach and (best is None or (way, number, which) < best):
                    best = way, number, which
    return best
