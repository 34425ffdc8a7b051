"""Which stretches of back stitch and straight stitch, and which knots and beads, differ.

Lines are compared stitch by stitch, so that it does not matter where one line of the source ends
and the next begins; what differs is joined again to be told.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import stitch_length
from ..core.items import Point
from ..core.key import KeyEntry
from ..stitches.kinds import is_far
from ..stitches.lines import cut
from .changes import Dotted, Strayed, Stretch

PLACES = 3  # decimals of a cross to which positions are compared

Written = tuple[str, int, int]  # a path, and from where to where in that file


@dataclass(frozen=True, eq=False)
class Run:
    """A line of one chart: its key index, its class, its points (n, 2) on the new chart.

    cell: the side of a cross where it lies. written: where it stands in a source.
    """

    index: int
    kind: int
    points: NDArray[np.float64]
    cell: float
    written: Written | None = None


@dataclass(frozen=True)
class Mark:
    """A knot or bead of one chart: its key index, its class, its place on the new chart.

    written: where it stands in a source.
    """

    index: int
    kind: int
    x: float
    y: float
    written: Written | None = None


_Step = tuple[Point, Point]
_Place = TypeVar("_Place", bound=Hashable)


def unlike(old: Sequence[Run], new: Sequence[Run]) -> tuple[list[Run], list[Run]]:
    """Return the lines of each side that the other has not, point for point."""
    first = _rest(old, Counter(looks(run) for run in new))
    return first, _rest(new, Counter(looks(run) for run in old))


def _rest(runs: Sequence[Run], there: Counter[Hashable]) -> list[Run]:
    rest = []
    for run in runs:
        alike = looks(run)
        if there[alike]:
            there[alike] -= 1
        else:
            rest.append(run)
    return rest


def looks(run: Run) -> Hashable:
    """Return what is the same for the same lines."""
    # The same from either end; adding 0 makes of -0 a plain 0.
    points = np.round(run.points, PLACES) + 0.0
    return run.kind, min(points.tobytes(), points[::-1].tobytes())


def stretches(
    old: Sequence[Run],
    new: Sequence[Run],
    key: Sequence[KeyEntry],
    new_key: Sequence[KeyEntry],
    over: int,
) -> tuple[Stretch, ...]:
    """Return the stretches that differ between the lines of two charts, from top to bottom.

    key, new_key: of the old and the new chart. over: threads to a cross of the new one, by which
    both are cut into stitches: a chart for another fabric has the same lines. A stretch that stayed
    but is worked otherwise has both its indices.
    """
    # A line that is worked in another kind of stitch now is told of the key, not of each stitch.
    kinds = {run.kind: key[run.index - 1] for run in old}
    kinds |= {run.kind: new_key[run.index - 1] for run in new}
    by_pair = _paired(
        [(run.kind, run.index) for run in old],
        [(run.kind, run.index) for run in new],
        Counter(steps(old, kinds, over)),
        Counter(steps(new, kinds, over)),
    )
    made = [
        Stretch(one, other, tuple(points))
        for (one, other), steps in by_pair.items()
        for points in chains(steps)
    ]
    return tuple(sorted(made, key=lambda each: (each.points[0][::-1], not each.old, each.new)))


def _paired(
    old: Iterable[tuple[int, int]],
    new: Iterable[tuple[int, int]],
    gone: Counter[tuple[int, _Place]],
    come: Counter[tuple[int, _Place]],
) -> dict[tuple[int, int], list[_Place]]:
    """Return the places of what differs by old and new key index, 0 where there is nothing.

    old, new: class and key index of everything. gone, come: how often each class is at a place.
    """
    index_old, index_new = dict(old), dict(new)
    same = gone & come
    before, after = _by_place(gone - same), _by_place(come - same)
    places: dict[tuple[int, int], list[_Place]] = {}
    for place in {**before, **after}:
        kinds = zip_longest(before.get(place, ()), after.get(place, ()))
        for one, other in kinds:
            pair = (
                0 if one is None else index_old[one],
                0 if other is None else index_new[other],
            )
            places.setdefault(pair, []).append(place)
    return places


def _by_place(counted: Mapping[tuple[int, _Place], int]) -> dict[_Place, list[int]]:
    kinds: dict[_Place, list[int]] = {}
    for (kind, place), many in counted.items():
        kinds.setdefault(place, []).extend([kind] * many)
    return kinds


def steps(
    runs: Sequence[Run], kinds: Mapping[int, KeyEntry], over: int
) -> Iterator[tuple[int, _Step]]:
    """Give the class and the two ends of every stitch of lines, the lesser end first.

    kinds: a key line of each class. over: threads to a cross.
    """
    ends, line = cut(
        [run.points for run in runs],
        [stitch_length(kinds[run.kind], run.cell, over) for run in runs],
        [is_far(kinds[run.kind].parts[0]) for run in runs],
        over,
    ).ends()
    for of, (start, end) in zip(line.tolist(), ends.tolist(), strict=True):
        one, other = _rounded(*start), _rounded(*end)
        yield runs[of].kind, (min(one, other), max(one, other))


def _rounded(x: float, y: float) -> Point:
    return round(x, PLACES) + 0.0, round(y, PLACES) + 0.0


def chains(steps: Sequence[_Step]) -> list[list[Point]]:
    """Join steps that meet to lines as long as can be, without points on a straight run.

    Each line begins at an end if it has one, the upper left one first.
    """
    there: dict[Point, list[int]] = {}
    for number, step in enumerate(steps):
        for point in step:
            there.setdefault(point, []).append(number)
    used = [False] * len(steps)
    # Ends first: begun in the middle a line would fall in two.
    order = sorted(there, key=lambda point: (len(there[point]) % 2 == 0, point[1], point[0]))
    lines = []
    for start in order:
        while True:
            line = [start]
            while True:
                free = [each for each in there[line[-1]] if not used[each]]
                if not free:
                    break
                turns = [_turn(line, _other(steps[each], line)) for each in free]
                best = free[turns.index(min(turns))]
                used[best] = True
                line.append(_other(steps[best], line))
            if len(line) == 1:
                break
            lines.append(_straightened(line))
    return lines


def _other(step: _Step, line: list[Point]) -> Point:
    return step[1] if step[0] == line[-1] else step[0]


def _turn(line: list[Point], to: Point) -> float:
    """Return how sharply a line would turn to go on to a point: straight on is best."""
    if len(line) < 2:
        return 0.0
    (x0, y0), (x1, y1) = line[-2:]
    before, after = math.atan2(y1 - y0, x1 - x0), math.atan2(to[1] - y1, to[0] - x1)
    return abs(math.remainder(after - before, math.tau))


def _straightened(line: list[Point]) -> list[Point]:
    kept = line[:1]
    for at in range(1, len(line) - 1):
        (x0, y0), (x1, y1), (x2, y2) = kept[-1], line[at], line[at + 1]
        if abs((x1 - x0) * (y2 - y1) - (y1 - y0) * (x2 - x1)) > 1e-6:
            kept.append(line[at])
    return [*kept, line[-1]]


def dotted(old: Sequence[Mark], new: Sequence[Mark]) -> tuple[Dotted, ...]:
    """Return the knots and beads that differ, by key lines before and after."""
    by_pair = _paired(
        [(each.kind, each.index) for each in old],
        [(each.kind, each.index) for each in new],
        Counter((each.kind, _rounded(each.x, each.y)) for each in old),
        Counter((each.kind, _rounded(each.x, each.y)) for each in new),
    )
    return tuple(
        Dotted(one, other, tuple(sorted(points, key=lambda each: each[::-1])))
        for (one, other), points in sorted(by_pair.items())
    )


def with_strayed(
    dots: Sequence[Dotted], partner: Mapping[int, int]
) -> tuple[Dotted | Strayed, ...]:
    """Return knots and beads with a single one that went and came of one key line made one change.

    partner: the new index of each old one that lives on.
    """
    left = list(dots)
    strayed = []
    for gone in [each for each in left if not each.new and len(each.points) == 1]:
        for come in left:
            single = not come.old and len(come.points) == 1
            if single and come.new == partner.get(gone.old):
                strayed.append(Strayed(gone.old, come.new, gone.points[0], come.points[0]))
                left = [each for each in left if each is not gone and each is not come]
                break
    return *strayed, *left
