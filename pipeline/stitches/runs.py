"""All strokes of many counted stitches at once: in runs along their steps, or along lines."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ..core.counted import Counted, Point, Stroke
from .bows import coil
from .counted import Worked, repeats_within, worked
from .tour import tours

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_HALF = 0.5  # places in half threads are whole numbers
_APART = 50_000  # half threads; no chart is wider or higher


@dataclass(frozen=True, eq=False)
class Strokes:
    """Strokes in working order.

    up, down: (n, 2) in threads of the fabric. run: (n,) rising; the needle goes on from stroke to
    stroke of one run. by: (n,) which of `bows` each goes along, -1 for none; those are (m, 2), from
    where the needle came up. stitch: (n,) the repeat that each belongs to, numbered through.
    closed: whether each run ends on the back where it began, as a tour does.
    """

    up: Floats
    down: Floats
    run: Ints
    by: Ints
    stitch: Ints
    bows: tuple[Floats, ...] = field(default=())
    closed: bool = False

    def way(self, at: int) -> Floats:
        """Return the places that one stroke goes through, (m, 2)."""
        up, down, by = self.up[at], self.down[at], int(self.by[at])
        if by < 0:
            return np.array([up, down])
        return np.concatenate([[up], up + self.bows[by], [down]])

    def fronts(self, size: tuple[float, float]) -> Floats:
        """Return the length of each on the front; size: of a thread across and down."""
        front = np.asarray(np.hypot(*((self.down - self.up) * size).T), dtype=np.float64)
        for at in np.flatnonzero(self.by >= 0).tolist():
            way = self.way(at) * size
            front[at] = np.hypot(*(way[1:] - way[:-1]).T).sum()
        return front

    def backs(self, size: tuple[float, float]) -> Floats:
        """Return the way on the back from the stroke before; a run begins with none."""
        back = np.zeros(len(self.run))
        back[1:] = np.hypot(*((self.up[1:] - self.down[:-1]) * size).T)
        back[1:][self.run[1:] != self.run[:-1]] = 0
        if self.closed and len(back):
            first = np.flatnonzero(np.diff(self.run, prepend=-1))
            last = np.append(first[1:], len(self.run)) - 1
            back[first] = np.hypot(*((self.up[first] - self.down[last]) * size).T)
        return back


NONE = Strokes(*(np.empty((0, 2)),) * 2, *(np.empty(0, dtype=np.int64),) * 3)


def joined(parts: Iterable[Strokes]) -> Strokes:
    """Return strokes one after the other; their runs stay apart."""
    some = [part for part in parts if len(part.run)]
    if not some:
        return NONE
    runs, stitches, bys = [], [], []
    bows: list[Floats] = []
    run = stitch = 0
    for part in some:
        runs.append(part.run + run)
        stitches.append(part.stitch + stitch)
        bys.append(np.where(part.by >= 0, part.by + len(bows), -1))
        run, stitch = int(runs[-1].max()) + 1, int(stitches[-1].max()) + 1
        bows += part.bows
    return Strokes(
        np.concatenate([part.up for part in some]),
        np.concatenate([part.down for part in some]),
        np.concatenate(runs),
        np.concatenate(bys),
        np.concatenate(stitches),
        tuple(bows),
    )


def chains(at: Ints, step: tuple[int, int]) -> tuple[Ints, Ints]:
    """Return how places (n, 2) follow each other by a step.

    Gives the place with which each chain begins, and how many places each has; chains in the order
    of the places.
    """
    low = at.min(axis=0) - np.abs(step)
    across = int(np.ptp(at[:, 0])) + 2 * abs(step[0]) + 1
    own, before = (
        (place[:, 1] - low[1]) * across + place[:, 0] - low[0] for place in (at, at - step)
    )
    first = np.flatnonzero(~np.isin(before, own))
    # Places of one chain lie at equal distances along the step, and off it in one line.
    length = step[0] ** 2 + step[1] ** 2
    along = (at @ np.array(step)) // length
    line = own - along * (step[1] * across + step[0])
    order = np.lexsort((along, line))
    fresh = np.ones(len(at), dtype=np.bool_)
    fresh[1:] = (line[order][1:] != line[order][:-1]) | (along[order][1:] != along[order][:-1] + 1)
    begins = np.flatnonzero(fresh)
    many = np.diff(np.append(begins, len(at)))
    by_place = np.argsort(order[begins])
    assert len(first) == len(begins)
    return order[begins][by_place], many[by_place]


def in_runs(stitch: Counted, at: Ints, *, second: bool = False) -> Strokes:
    """Return the strokes of stitches at places (n, 2), in threads; second: of the second thread."""
    first, many = chains(at, stitch.step)
    parts, order = [], []
    for length in np.unique(many).tolist():
        runs = np.flatnonzero(many == length)
        parts.append(_repeated(worked(stitch, length, second=second), at[first[runs]]))
        order.append(runs)
    return _reordered(joined(parts), np.concatenate(order)) if parts else NONE


def too_short(stitch: Counted, at: Ints) -> Ints:
    """Return which of some places begin a run in which not one whole repeat finds room."""
    if not stitch.stands.in_rows:
        return np.empty(0, dtype=np.int64)
    first, many = chains(at, stitch.step)
    short = [length for length in np.unique(many).tolist() if not repeats_within(stitch, length)]
    return np.asarray(first[np.isin(many, short)])


def _repeated(run: Worked, starts: Ints) -> Strokes:
    """Return one run after the other, each from its own start."""
    number, strokes = len(starts), len(run.ways)
    if not strokes:
        return NONE
    up, down = (
        (starts[:, None, :] + places[None]).reshape(-1, 2).astype(np.float64)
        for places in run.ends()
    )
    bows = [np.array(way[1:-1]) - way[0] for way in run.ways if len(way) > 2]
    bent = np.array([len(way) > 2 for way in run.ways])
    by = np.where(bent, np.cumsum(bent) - 1, -1)
    repeat = np.array(run.repeat, dtype=np.int64)
    return Strokes(
        up,
        down,
        np.repeat(np.arange(number), strokes),
        np.tile(by, number),
        (np.arange(number)[:, None] * (int(repeat.max()) + 1) + repeat).ravel(),
        tuple(bows),
    )


def _reordered(strokes: Strokes, rank: Ints) -> Strokes:
    """Return strokes with their runs in another order; rank: the new place of each run."""
    run = rank[strokes.run] if len(strokes.run) else strokes.run
    order = np.argsort(run, kind="stable")
    return Strokes(
        strokes.up[order],
        strokes.down[order],
        run[order],
        strokes.by[order],
        strokes.stitch[order],
        strokes.bows,
    )


def once(strokes: Strokes) -> Strokes:
    """Return strokes without those that run through the very holes of an earlier stitch's."""
    if not len(strokes.run):
        return strokes
    ends = np.rint(np.stack([strokes.up, strokes.down], axis=1) / _HALF).astype(np.int64)
    low = ends.min(axis=(0, 1))
    holes = (ends[:, :, 1] - low[1]) * _APART + ends[:, :, 0] - low[0]
    ways = holes.min(axis=1) * _APART**2 + holes.max(axis=1)
    _, first, same = np.unique(ways, return_index=True, return_inverse=True)
    kept = (strokes.by >= 0) | (strokes.stitch == strokes.stitch[first[same]])
    run = np.unique(strokes.run[kept], return_inverse=True)[1]
    return Strokes(
        strokes.up[kept],
        strokes.down[kept],
        run,
        strokes.by[kept],
        strokes.stitch[kept],
        strokes.bows,
    )


# --- knots along lines -------------------------------------------------------------------------


def turns(stitch: Counted, strokes: Strokes) -> Ints:
    """Return how often the thread is wound for each stroke; a shorter one has fewer turns."""
    long = np.abs(strokes.down - strokes.up).max(axis=1) / stitch.over[0]
    return np.asarray(np.maximum(np.rint(stitch.wraps * long), 1), dtype=np.int64)


def seen(stitch: Counted, strokes: Strokes) -> Strokes:
    """Return strokes as they are seen on the front: of a coil its turns."""
    if not stitch.coiled or not len(strokes.run):
        return strokes
    many = turns(stitch, strokes)
    ends = [coil(*each) for each in zip(strokes.up, strokes.down, many.tolist(), strict=True)]
    up, down = np.concatenate(ends).transpose(1, 0, 2)
    of = np.repeat(np.arange(len(many)), many)
    return Strokes(up, down, strokes.run[of], np.full(len(of), -1), strokes.stitch[of])


# --- bars --------------------------------------------------------------------------------------


def side_by_side(strokes: Strokes, step: tuple[int, int]) -> Strokes:
    """Return bars, each a run of its own, with those that lie beside each other as one run.

    step: from each to the next. Beside each other are bars a step apart that overlap.
    """
    first = np.flatnonzero(np.diff(strokes.run, prepend=-1))
    last = np.append(first[1:], len(strokes.run)) - 1
    ends = np.stack([strokes.up[first], strokes.down[last]], axis=1)
    across = 1 if step[0] else 0  # the way in which bars are long
    place = ends[:, :, 1 - across].min(axis=1) * (1 if step[1 - across] > 0 else -1)
    low, high = ends[:, :, across].min(axis=1), ends[:, :, across].max(axis=1)
    order = np.lexsort((low, place))
    number = np.arange(len(first))
    begins: dict[float, list[int]] = {}
    for at in order.tolist():
        begins.setdefault(float(place[at]), []).append(at)
    apart = abs(step[1 - across])
    for here, bars in begins.items():
        before = begins.get(here - apart, [])
        taken = 0
        for at in bars:
            while taken < len(before) and high[before[taken]] <= low[at]:
                taken += 1
            if taken < len(before) and low[before[taken]] < high[at]:
                number[at] = number[before[taken]]
                taken += 1
    key = np.lexsort((place, number))
    rank = np.empty(len(first), dtype=np.int64)
    rank[key] = np.arange(len(first))
    moved = _reordered(strokes, rank)
    runs = np.unique(number[key], return_inverse=True)[1][moved.run]
    return Strokes(moved.up, moved.down, runs, moved.by, moved.stitch, moved.bows)


# --- lines -------------------------------------------------------------------------------------


def along_lines(stitch: Counted, ends: Floats, line: Ints, *, second: bool = False) -> Strokes:
    """Return the strokes of stitches along lines.

    ends: (n, 2, 2) both ends of each stitch in threads. line: (n,) the line of each. One with two
    journeys for each stroke is a tour: out with every other stroke and home with the rest. second:
    those of the second thread.
    """
    if not len(line):
        return NONE
    if stitch.laid and not second:
        return joined(_laid(ends[line == number]) for number in np.unique(line).tolist())
    if stitch.journeys == 2 * len(stitch.each):
        return _toured(ends)
    begins = np.ones(len(line), dtype=np.bool_)
    begins[1:] = line[1:] != line[:-1]
    closes = np.append(begins[1:], True)
    run = np.cumsum(begins) - 1
    every = np.arange(len(line))
    parts = [
        _mapped(strokes, stitch.over[0], ends[of], every[of], phase)
        for phase, (strokes, of) in enumerate(
            (((), begins), (stitch.second, every), ((), closes))
            if second
            else ((stitch.first, begins), (stitch.each, every), (stitch.last, closes))
        )
        if strokes
    ]
    up, down, number, rank = (
        np.concatenate(each) for each in zip(*(p[:4] for p in parts), strict=True)
    )
    order = np.lexsort((rank, number))
    bows: list[Floats] = []
    by = []
    for part in parts:
        by.append(np.where(part[4] >= 0, part[4] + len(bows), -1))
        bows += part[5]
    return Strokes(
        up[order], down[order], run[number[order]], np.concatenate(by)[order], number[order],
        tuple(bows),
    )  # fmt: skip


def _laid(ends: Floats) -> Strokes:
    """Return a thread that goes straight from hole to hole along one line, all on the front."""
    up, down = ends[0, 0], ends[-1, 1]
    between = ends[:-1, 1] - up
    # By a single place it would hang in a bow.
    between = np.repeat(between, 2, axis=0) if len(between) == 1 else between
    nothing = np.zeros(1, dtype=np.int64)
    bent = nothing if len(between) else nothing - 1
    return Strokes(up[None], down[None], nothing, bent, nothing, (between,) if len(between) else ())


_Mapped = tuple[Floats, Floats, Ints, Ints, Ints, list[Floats]]


def _mapped(
    strokes: Sequence[Stroke], long: int, ends: Floats, number: Ints, phase: int
) -> _Mapped:
    """Return strokes on stitches of lines: up, down, stitch, order in it, which bow, the bows."""
    start, way = ends[:, 0], ends[:, 1] - ends[:, 0]
    length = np.hypot(*way.T)[:, None]
    beside = np.stack([-way[:, 1], way[:, 0]], axis=1) / length

    def place(at: Point) -> Floats:
        return np.asarray(start + way * (at[0] / long) + beside * at[1])

    ups, downs, ranks, bys = [], [], [], []
    bows: list[Floats] = []
    for rank, stroke in enumerate(strokes):
        up = place(stroke.up)
        ups.append(up)
        downs.append(place(stroke.down))
        ranks.append(np.full(len(start), phase * 1000 + rank))
        if stroke.by:
            places = np.stack([place(at) for at in stroke.by], axis=1) - up[:, None]
            bys.append(len(bows) + np.arange(len(start)))
            bows += list(places)
        else:
            bys.append(np.full(len(start), -1))
    return (
        np.concatenate(ups), np.concatenate(downs), np.tile(number, len(strokes)),
        np.concatenate(ranks), np.concatenate(bys), bows,
    )  # fmt: skip


def _toured(ends: Floats) -> Strokes:
    """Return a tour along stitches: each front stroke of it is one of them."""
    holes, of = np.unique(np.rint(ends.reshape(-1, 2) / _HALF), axis=0, return_inverse=True)
    stitches = np.sort(of.reshape(-1, 2), axis=1)
    stitches = np.unique(stitches[stitches[:, 0] != stitches[:, 1]], axis=0)
    up, down, run = [], [], []
    for number, way in enumerate(tours(stitches)):
        up += way[0:-1:2]
        down += way[1::2]
        run += [number] * (len(way) // 2)
    places = holes * _HALF
    many = len(run)
    return Strokes(
        places[up], places[down], np.array(run), np.full(many, -1), np.arange(many), (), True
    )
