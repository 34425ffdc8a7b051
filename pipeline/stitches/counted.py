"""Counted stitches: turned, beside each other, and in which order their strokes are worked.

A run is a number of repeats, each a step from the one before. `each` is worked wherever it lies
wholly within the run, so that a stitch which reaches ahead ends where the run does; `first` comes
before the first of them and `last` after the last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise, product

import numpy as np
from numpy.typing import NDArray

from ..core.counted import Counted, Point, Stroke
from .turn import AS_DRAWN, Turn

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

TURNS = tuple(Turn(flip, quarters) for flip, quarters in product((False, True), range(4)))


# --- turning -----------------------------------------------------------------------------------


@lru_cache(maxsize=1024)
def turned(stitch: Counted, turn: Turn) -> Counted:
    """Return a stitch as it is worked where what it stands in is mirrored and turned.

    One whose strokes fall on themselves keeps its order. If those of several ways to turn it are
    the same, it is that way which leaves its upper legs as they were drawn, so that they lie one
    way over a whole piece.
    """
    if stitch.keeps or turn == AS_DRAWN or _falls_on_itself(stitch, turn):
        return stitch
    alike = [own for own in TURNS if _falls_on_itself(stitch, own)]
    ways = [_transformed(stitch, own.then(turn)) for own in alike]
    return min(ways, key=lambda way: _legs_turned(stitch, way))


def _transformed(stitch: Counted, turn: Turn) -> Counted:
    width, height = stitch.over

    def moved(places: Sequence[Point]) -> tuple[Point, ...]:
        points = turn.points(np.array(places, dtype=np.float64), width, height)
        return tuple((float(x), float(y)) for x, y in points)

    def strokes(of: tuple[Stroke, ...]) -> tuple[Stroke, ...]:
        return tuple(
            Stroke(way[0], way[-1], each.layer, way[1:-1])
            for each in of
            for way in (moved(each.way),)
        )

    def vector(of: tuple[int, int]) -> tuple[int, int]:
        x, y = turn.points(np.array([of], dtype=np.float64), 0, 0)[0].tolist()
        return round(x), round(y)

    return replace(
        stitch,
        each=strokes(stitch.each),
        first=strokes(stitch.first),
        last=strokes(stitch.last),
        turn=strokes(stitch.turn),
        second=strokes(stitch.second),
        over=turn.size(*stitch.over),
        reach=turn.size(*stitch.reach),
        step=vector(stitch.step),
        row=vector(stitch.row),
        withdrawn=None if stitch.withdrawn is None else _box(moved, stitch.withdrawn),
    )


def _box(
    moved: Callable[[Sequence[Point]], tuple[Point, ...]], box: tuple[float, float, float, float]
) -> tuple[float, float, float, float]:
    (x0, y0), (x1, y1) = moved([box[:2], box[2:]])
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def _falls_on_itself(stitch: Counted, turn: Turn) -> bool:
    """Tell whether the strokes of a field of repeats are the same ones, whichever way worked.

    Those of a row may lie a little farther along it.
    """
    if not stitch.stands.in_rows:
        way = _transformed(stitch, turn)
        return way.over == stitch.over and _segments(way, 0) == _segments(stitch, 0)
    way = replace(_transformed(stitch, turn), step=stitch.step)
    along = max(abs(stitch.step[0]), abs(stitch.step[1]))
    own = _segments(stitch, 0)
    return turn.quarters % 2 == 0 and any(_segments(way, off) == own for off in range(along))


_Segments = tuple[frozenset[tuple[Point, ...]], ...]


def _segments(stitch: Counted, off: int) -> _Segments:
    """Return the ways of strokes, either end first, of both threads.

    Of a row those of all repeats are one; off: how many threads farther along it they lie.
    """
    step_x, step_y = stitch.step
    long = max(abs(step_x), abs(step_y), 1)
    threads = []
    for strokes in (stitch.each, stitch.second):
        found = set()
        for each in strokes:
            x, y = off * step_x / long, off * step_y / long
            way = [(px + x, py + y) for px, py in min(each.way, each.way[::-1])]
            if stitch.stands.in_rows:
                ahead = (way[0][0] * step_x + way[0][1] * step_y) // (step_x**2 + step_y**2)
                way = [(px - ahead * step_x, py - ahead * step_y) for px, py in way]
            found.add(tuple(way))
        threads.append(frozenset(found))
    return tuple(threads)


def _legs_turned(stitch: Counted, way: Counted) -> int:
    pairs = zip((*stitch.each, *stitch.second), (*way.each, *way.second), strict=True)
    return sum(slope(one) != slope(other) for one, other in pairs)


def slope(stroke: Stroke) -> tuple[int, int]:
    """Return how a stroke lies: level, upright, rising or falling."""
    x, y = stroke.down[0] - stroke.up[0], stroke.down[1] - stroke.up[1]
    return (int(x != 0), int(y != 0) * (1 if x == 0 or x * y > 0 else -1))


# --- beside each other -------------------------------------------------------------------------


@lru_cache(maxsize=1024)
def own(stitch: Counted) -> Mask:
    """Return which crossings of threads in its box are one repeat's own, (height, width).

    Boxes of neighbours in a field may overlap, as those of stitches set like bricks do. A crossing
    is then that repeat's whose middle it lies nearest to, and the first one's where two are. Where
    threads are withdrawn there is no crossing to be had.
    """
    width, height = stitch.over
    rows, columns = np.mgrid[0:height, 0:width] + 0.5
    others = [
        (i * stitch.step[0] + j * stitch.row[0], i * stitch.step[1] + j * stitch.row[1])
        for i, j in product(range(-4, 5), repeat=2)
    ]
    mine = np.abs(columns - width / 2) + np.abs(rows - height / 2)
    kept = np.ones((height, width), dtype=np.bool_)
    for x, y in set(others) - {(0, 0)}:
        theirs = np.abs(columns - x - width / 2) + np.abs(rows - y - height / 2)
        inside = (columns > x) & (columns < x + width) & (rows > y) & (rows < y + height)
        kept &= ~(inside & ((theirs < mine) | ((theirs == mine) & ((y, x) < (0, 0)))))
    if stitch.withdrawn is not None:
        left, top, right, bottom = stitch.withdrawn
        gone = (columns > left) & (columns < right) & (rows > top) & (rows < bottom)
        kept &= ~gone | gone.all()
    return kept


# --- in order ----------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Worked:
    """The strokes of a run in working order.

    ways: (n,) places that the thread goes through on the front, of each stroke, in threads from
    the corner of the first repeat. repeat: (n,) the repeat that each belongs to.
    """

    ways: tuple[tuple[Point, ...], ...]
    repeat: tuple[int, ...]

    def ends(self) -> tuple[Floats, Floats]:
        """Return where each comes up and goes down, (n, 2) each."""
        places = np.array([(way[0], way[-1]) for way in self.ways], dtype=np.float64)
        places = places.reshape(-1, 2, 2)
        return places[:, 0], places[:, 1]

    def lengths(self, width: float = 1.0, height: float = 1.0) -> tuple[float, float]:
        """Return how much thread lies on the front and on the back, threads being so far apart."""
        size = np.array([width, height])
        up, down = self.ends()
        front = np.hypot(*((down - up) * size).T)
        for at, way in enumerate(self.ways):
            if len(way) > 2:
                places = np.array(way) * size
                front[at] = np.hypot(*(places[1:] - places[:-1]).T).sum()
        back = np.hypot(*((up[1:] - down[:-1]) * size).T)
        return float(front.sum()), float(back.sum())


def repeats_within(stitch: Counted, many: int) -> range:
    """Return which repeats of a run of so many lie within it with all their strokes."""
    if not stitch.stands.in_rows:
        return range(many)
    places = [place for each in stitch.each for place in each.way]
    kept = range(many)
    for axis in (0, 1):
        step, size = stitch.step[axis], stitch.over[axis]
        low, high = (pick(place[axis] for place in places) for pick in (min, max))
        start, end = min(0, (many - 1) * step), max(0, (many - 1) * step) + size
        inside = [at for at in kept if start <= at * step + low and at * step + high <= end]
        kept = range(inside[0], inside[-1] + 1) if inside else range(0)
    return kept


@lru_cache(maxsize=4096)
def worked(stitch: Counted, many: int, *, second: bool = False) -> Worked:
    """Return the strokes of a run of so many repeats, or those of the second thread.

    A stroke through the very holes of an earlier repeat's is worked once.
    """
    ways: list[tuple[Point, ...]] = []
    repeat: list[int] = []
    done: dict[tuple[Point, ...], int] = {}
    order = _second(stitch, many) if second else _order(stitch, many)
    for at, stroke in order:
        x, y = at * stitch.step[0], at * stitch.step[1]
        way = tuple((px + x, py + y) for px, py in stroke.way)
        if done.setdefault(min(way, way[::-1]), at) == at:
            ways.append(way)
            repeat.append(at)
    return Worked(tuple(ways), tuple(repeat))


def _second(stitch: Counted, many: int) -> Iterator[tuple[int, Stroke]]:
    return ((at, stroke) for at in range(many) for stroke in stitch.second)


def _order(stitch: Counted, many: int) -> Iterator[tuple[int, Stroke]]:
    if stitch.laid:
        yield 0, Stroke(stitch.each[0].up, (many * stitch.over[0], 0))
        return
    yield from ((0, stroke) for stroke in stitch.first)
    repeats = repeats_within(stitch, many)
    for number, (strokes, share, of) in enumerate(_journeys(stitch)):
        home = number % 2 == 1
        some = [at for at in repeats if at % of == share]
        for at in reversed(some) if home else some:
            for stroke in strokes:
                yield at, _along(stroke, stitch, home) if of > 1 else stroke
        if number == 0 and stitch.journeys > 1:
            yield from ((many - 1, stroke) for stroke in stitch.turn)
    yield from ((many - 1, stroke) for stroke in stitch.last)


def _journeys(stitch: Counted) -> Iterator[tuple[tuple[Stroke, ...], int, int]]:
    """Yield the strokes worked on each journey, and in which of how many repeats.

    With fewer journeys than strokes the first takes those that are left over. With more, each
    stroke is worked in every second repeat on the way out and in the others on the way home.
    """
    strokes, journeys = stitch.each, stitch.journeys
    if journeys <= len(strokes):
        first = len(strokes) - journeys + 1
        yield strokes[:first], 0, 1
        yield from (((stroke,), 0, 1) for stroke in strokes[first:])
        return
    of = journeys // len(strokes)
    yield from (((stroke,), share, of) for stroke in strokes for share in range(of))


def _along(stroke: Stroke, stitch: Counted, home: bool) -> Stroke:
    """Return a stroke worked the way that the journey goes."""
    (x0, y0), (x1, y1) = stroke.up, stroke.down
    ahead = (x1 - x0) * stitch.step[0] + (y1 - y0) * stitch.step[1]
    if ahead == 0 or (ahead < 0) == home:
        return stroke
    return Stroke(stroke.down, stroke.up, stroke.layer, stroke.by[::-1])


@lru_cache(maxsize=256)
def bar(stitch: Counted, many: int) -> Counted:
    """Return a stitch in bars that reaches over so many signs below each other."""
    return _stretched(stitch, 1, many)


@lru_cache(maxsize=256)
def for_cross(stitch: Counted, cell: int) -> Counted:
    """Return a stitch as it stands in a cell of so many threads."""
    return _stretched(stitch, cell / 2, cell / 2) if stitch.per_cross else stitch


def _stretched(stitch: Counted, across: float, down: float) -> Counted:
    def vector(of: tuple[int, int]) -> tuple[int, int]:
        return round(of[0] * across), round(of[1] * down)

    def strokes(of: tuple[Stroke, ...]) -> tuple[Stroke, ...]:
        ways = [tuple((x * across, y * down) for x, y in one.way) for one in of]
        return tuple(
            Stroke(way[0], way[-1], one.layer, way[1:-1]) for one, way in zip(of, ways, strict=True)
        )

    return replace(
        stitch,
        each=strokes(stitch.each),
        second=strokes(stitch.second),
        over=vector(stitch.over),
        reach=vector(stitch.reach),
        step=vector(stitch.step),
        row=vector(stitch.row),
    )


# --- what cannot be worked ---------------------------------------------------------------------


def hole_just_left(stitch: Counted) -> Point | None:
    """Return a hole in which the thread comes up right after it has gone down there, if any is.

    The stroke before would be pulled out, unless a bow or loop holds its thread. Looked for within
    a repeat, from one to the next, and at both ends of a run. A coil holds its thread itself.
    """
    if stitch.coiled:
        return None
    for second in (False, True):
        ways = worked(stitch, 4, second=second).ways
        for before, after in pairwise(ways):
            if before[-1] == after[0] and len(before) == 2:
                return after[0]
    return None
