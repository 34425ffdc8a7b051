"""What each needle takes for lines, knots and counted stitches: always on to the nearest."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import product
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from ..compose.strokework import Lot
from ..compose.worked import WorkedChart, WorkedKnot
from ..core.ground import Fabric
from ..core.items import Point
from ..stitches.kinds import STITCHES
from ..stitches.runs import turns
from .carrying import MOST_CROSSES, Habit
from .forest import Floats
from .stints import KNOT, WRAPS, Needle, Stint, needle_of, sheets

_SQUARE = 3.0  # crosses; side of the squares in which ends are looked up
_HOLES: WeakKeyDictionary[WorkedChart, NDArray[np.bool_]] = WeakKeyDictionary()


def order(
    ends: Sequence[Sequence[Point]],
    reach: float,
    side: float,
    one_way: frozenset[int] = frozenset(),
) -> tuple[list[int], list[bool], list[float]]:
    """Order things by going from each to the nearest within reach.

    ends: the places where each can be begun: one, or two of which the other is then its end.
    side: of the squares in which places are looked up. one_way: the things that are only ever begun
    at the first of two places. Returns the order, whether each is begun
    at its second end, and the way to each from the one before, NaN where none lay within reach
    (then the first not yet worked follows).

    The loop runs over lines and knots, which are few as against crosses.
    """
    squares: dict[tuple[int, int], list[tuple[int, int]]] = {}
    side = max(side, reach / 40)
    for number, places in enumerate(ends):
        for which, place in enumerate(places[:1] if number in one_way else places):
            squares.setdefault(_square(place, side), []).append((number, which))
    rings = _rings(math.ceil(reach / side))
    done = [False] * len(ends)
    sequence: list[int] = []
    turned: list[bool] = []
    ways: list[float] = []
    here: Point | None = None
    waiting = 0
    for _ in range(len(ends)):
        nearest = None if here is None else _nearest(here, ends, squares, rings, side, reach)
        if nearest is None:
            while done[waiting]:
                waiting += 1
            nearest = math.nan, waiting, 0
        way, number, which = nearest
        done[number] = True
        begun = ends[number][:1] if number in one_way else ends[number]
        for place_number, place in enumerate(begun):
            squares[_square(place, side)].remove((number, place_number))
        sequence.append(number)
        turned.append(which == 1)
        ways.append(way)
        here = ends[number][len(ends[number]) - 1 - which]
    return sequence, turned, ways


def _square(place: Point, side: float) -> tuple[int, int]:
    return math.floor(place[0] / side), math.floor(place[1] / side)


@cache
def _rings(farthest: int) -> list[list[tuple[int, int]]]:
    """Return squares round one (across, down), by how far off they are."""
    rings: list[list[tuple[int, int]]] = [[] for _ in range(farthest + 1)]
    for across, down in product(range(-farthest, farthest + 1), repeat=2):
        rings[max(abs(across), abs(down))].append((across, down))
    return rings


def _nearest(
    here: Point,
    ends: Sequence[Sequence[Point]],
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


# Booklets ask again for each colourway, and a chart that is edited has most lines as before.
_ordered = lru_cache(maxsize=64)(order)


def line_stints(worked: WorkedChart, fabric: Fabric) -> list[Stint]:
    """Return what each needle takes for back stitch and straight stitches."""
    by_needle: dict[Needle, list[int]] = {}
    for number, line in enumerate(worked.lines):
        part = worked.entry(line.index).parts[0]
        if part.stitch is not None:
            continue  # worked by its own strokes, see `counted_stints`
        needle = needle_of(part.needle)
        by_needle.setdefault(needle, []).append(number)
    if not by_needle:
        return []
    taken = _taken(worked, fabric)
    return [_lines(worked, fabric, needle, numbers, taken) for needle, numbers in by_needle.items()]


@dataclass(frozen=True, eq=False)
class _Taken:
    """What each line takes, in mm: on the front, on the back, and its longest stitch with its way.

    Each stitch is worked backwards: up one stitch ahead, down where the last one began. So the
    needle goes from the start of each to the end of the next behind the fabric: in a straight
    line of n stitches of length d, (3 n - 2) d in all.
    """

    front: Floats
    back: Floats
    step: Floats


def _taken(worked: WorkedChart, fabric: Fabric) -> _Taken:
    many = len(worked.lines)
    ends, line = worked.stitched.ends()
    ends *= fabric.cross_width, fabric.cross_height
    front = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    back = np.zeros(len(line))
    back[1:] = np.hypot(*(ends[1:, 1] - ends[:-1, 0]).T)
    back[1:][line[1:] != line[:-1]] = 0
    back[:1] = 0
    step = np.zeros(many)
    np.maximum.at(step, line, front + back)
    fronts = np.bincount(line, front, minlength=many).astype(np.float64)
    backs = np.bincount(line, back, minlength=many).astype(np.float64)
    return _Taken(fronts, backs, step)


def _lines(
    worked: WorkedChart, fabric: Fabric, needle: Needle, numbers: Sequence[int], taken: _Taken
) -> Stint:
    lines = [worked.lines[number] for number in numbers]
    ends: list[list[Point]] = [[(x, y) for x, y in line.points[[0, -1]].tolist()] for line in lines]
    front, back = taken.front[numbers], taken.back[numbers]
    lengths = front + back
    entries: dict[int, float] = {}
    for line, length in zip(lines, lengths.tolist(), strict=True):
        entries[line.index] = entries.get(line.index, 0.0) + length
    sums = float(front.sum()), float(back.sum())
    return _stint(
        worked, fabric, needle, ends, lengths.tolist(), taken.step[numbers].tolist(), entries, sums
    )


def counted_stints(worked: WorkedChart, fabric: Fabric) -> list[Stint]:
    """Return what each needle takes for counted stitches and those along lines.

    On the front the sum of the strokes, on the back the way from where each goes down to where the
    next of its run comes up.
    """
    by_needle: dict[Needle, list[Lot]] = {}
    for lot in worked.counted:
        part = worked.entry(lot.index, lot.strands).parts[lot.part]
        by_needle.setdefault(needle_of(part.needle), []).append(lot)
    return [_counted(worked, fabric, needle, some) for needle, some in by_needle.items()]


def _counted(worked: WorkedChart, fabric: Fabric, needle: Needle, some: Sequence[Lot]) -> Stint:
    over = worked.design.ground.fabric.over
    size = fabric.cross_width / over, fabric.cross_height / over
    ends: list[list[Point]] = []
    lengths: list[float] = []
    steps: list[float] = []
    entries: dict[int, float] = {}
    fronts = backs = 0.0
    one_way: set[int] = set()
    for lot in some:
        strokes = lot.strokes
        front, back = strokes.fronts(size), strokes.backs(size)
        if lot.stitch.coiled:
            # The needle goes behind the stitch before the thread is wound, and then along it.
            back += front
            front += turns(lot.stitch, strokes) * (KNOT / WRAPS)
        first = np.flatnonzero(np.diff(strokes.run, prepend=-1))
        last = np.append(first[1:], len(strokes.run)) - 1
        begin, end = strokes.up[first] / over, strokes.down[last] / over
        end = begin if strokes.closed else end
        if lot.stitch.stands.in_bars:
            # Worked round, behind each to where the next begins, whether it lies close or not.
            one_way |= set(range(len(ends), len(ends) + len(first)))
        ends += [[tuple(a), tuple(b)] for a, b in zip(begin.tolist(), end.tolist(), strict=True)]
        lengths += np.add.reduceat(front + back, first).tolist()
        steps += np.maximum.reduceat(front + back, first).tolist()
        entries[lot.index] = entries.get(lot.index, 0.0) + float(front.sum() + back.sum())
        fronts += float(front.sum())
        backs += float(back.sum())
    sums = fronts, backs
    way = frozenset(one_way)
    return _stint(worked, fabric, needle, ends, lengths, steps, entries, sums, way)


def knot_stints(worked: WorkedChart, fabric: Fabric) -> list[Stint]:
    """Return what each needle takes for knots.

    Beads are left out: they are sewn on with sewing thread, which is no thread of the key.
    """
    by_needle: dict[Needle, list[WorkedKnot]] = {}
    for knot in worked.knots:
        part = worked.entry(knot.index).parts[0]
        if STITCHES[part.kind].bead:
            continue
        needle = needle_of(part.needle)
        by_needle.setdefault(needle, []).append(knot)
    return [_knots(worked, fabric, *each) for each in by_needle.items()]


def _knots(
    worked: WorkedChart, fabric: Fabric, needle: Needle, knots: Sequence[WorkedKnot]
) -> Stint:
    lengths = [_wound(worked, knot) for knot in knots]
    entries: dict[int, float] = {}
    for knot, length in zip(knots, lengths, strict=True):
        entries[knot.index] = entries.get(knot.index, 0.0) + length
    ends: list[list[Point]] = [[(knot.x, knot.y)] for knot in knots]
    return _stint(worked, fabric, needle, ends, lengths, lengths, entries, (sum(lengths), 0.0))


def _wound(worked: WorkedChart, knot: WorkedKnot) -> float:
    """Return what a knot takes, in mm: as often as it is wound."""
    stitch = worked.entry(knot.index).parts[0].stitch
    return KNOT if stitch is None else KNOT * stitch.wraps / WRAPS


def _stint(
    worked: WorkedChart,
    fabric: Fabric,
    needle: Needle,
    ends: Sequence[Sequence[Point]],
    lengths: Sequence[float],
    steps: Sequence[float],
    entries: dict[int, float],
    sums: tuple[float, float],
    one_way: frozenset[int] = frozenset(),
) -> Stint:
    sequence, turned, ways = _ordered(tuple(map(tuple, ends)), MOST_CROSSES, _SQUARE, one_way)
    chosen = np.array(sequence)
    begun = [ends[at][turned[number]] for number, at in enumerate(sequence)]
    left = [ends[at][len(ends[at]) - 1 - turned[number]] for number, at in enumerate(sequence)]
    start, to = np.array(left[:-1]).reshape(-1, 2), np.array(begun[1:]).reshape(-1, 2)
    way = np.hypot(*((to - start) * (fabric.cross_width, fabric.cross_height)).T)
    bare = _bare(_holes(worked), start, to)
    habit = Habit.of(worked.design.working, fabric.cross_width, fabric.cross_height)
    anew = np.where(np.isnan(np.array(ways[1:])), 1.0, habit.share(way, bare))
    return Stint(
        needle,
        *sums,
        entries,
        np.array(lengths)[chosen],
        np.append(0.0, (1 - anew) * way),
        np.append(1.0, anew),
        np.array(steps)[chosen],
    )


def _holes(worked: WorkedChart) -> NDArray[np.bool_]:
    """Return at which holes of a chart (rows and columns of crosses) there are stitches."""
    if worked not in _HOLES:
        covered = sheets(worked)[0].covered
        holes = np.zeros((covered.shape[0] + 1, covered.shape[1] + 1), dtype=bool)
        for row, column in product((0, 1), repeat=2):
            holes[row : row + covered.shape[0], column : column + covered.shape[1]] |= covered
        x, y = np.rint(worked.stitched.ends()[0].reshape(-1, 2)).astype(np.int64).T
        inside = (x >= 0) & (y >= 0) & (x < holes.shape[1]) & (y < holes.shape[0])
        holes[y[inside], x[inside]] = True
        _HOLES[worked] = holes
    return _HOLES[worked]


def _bare(holes: NDArray[np.bool_], start: Floats, to: Floats) -> Floats:
    """Return the longest stretch of each straight way where there is no stitch, in crosses."""
    longest, here = np.zeros(len(start)), np.zeros(len(start))
    long = np.hypot(*(to - start).T)
    steps = np.where(long <= MOST_CROSSES, np.ceil(long), 0)
    for step in range(1, int(steps.max(initial=0))):
        going = step < steps
        at = start + (to - start) * (step / np.maximum(steps, 1))[:, None]
        x, y = np.rint(at).astype(np.int64).T
        x, y = np.clip(x, 0, holes.shape[1] - 1), np.clip(y, 0, holes.shape[0] - 1)
        here = np.where(going & ~holes[y, x], here + 1, 0)
        longest = np.maximum(longest, here)
    return np.asarray(longest * long / np.maximum(steps, 1), dtype=np.float64)
