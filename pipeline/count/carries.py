"""Which areas of one needle are joined by carrying the thread on the back, and in which order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .forest import Floats, Ints, Walk, spanning_forest, walk
from .runs import NeedleCells

# Behind bare fabric a carried thread shows through: only so much of the longest carry is risked.
BARE_SHARE = 0.25
MOST_CROSSES = 40  # farther than that a new start is made, however short the crosses are


@dataclass(frozen=True)
class Reach:
    """How far a thread may be carried; width and height of a cross, and the carry, in mm."""

    width: float
    height: float
    carry: float

    def way(self, across: Ints, down: Ints) -> Floats:
        """Return the way in mm from a cross to another so many cells off.

        The upper leg of the one ends at its top left or bottom right, and the lower leg of the
        other begins at its bottom left or top right: so the way is one cell shorter across, or
        down, but never both.
        """
        x, y = np.abs(across), np.abs(down)
        beside = np.hypot(np.maximum(x - 1, 0) * self.width, y * self.height)
        below = np.hypot(x * self.width, np.maximum(y - 1, 0) * self.height)
        way: Floats = np.minimum(beside, below)
        return way

    @property
    def columns(self) -> int:
        """How many columns off a cell may lie that can be reached."""
        return 1 + min(MOST_CROSSES, int(self.carry / self.width))

    @property
    def rows(self) -> int:
        """How many rows off a cell may lie that can be reached."""
        return 1 + min(MOST_CROSSES, int(self.carry / self.height))

    def rings(self) -> Iterator[list[tuple[int, int, float]]]:
        """Yield offsets (across, down, way) that look down or to the right, nearest first.

        Each ring goes about one cross farther than that before.
        """
        grid = np.mgrid[0 : self.rows + 1, -self.columns : self.columns + 1].astype(np.int64)
        down, across = grid[0].ravel(), grid[1].ravel()
        way = self.way(across, down)
        ahead = (down > 0) | (across > 0)
        apart = (down > 1) | (np.abs(across) > 1)  # nearer ones share a hole: one area
        near = np.flatnonzero(ahead & apart & (way <= self.carry))
        order = near[np.argsort(way[near], kind="stable")]
        ring = np.ceil(way[order] / min(self.width, self.height) - 1e-9)
        for of_one in np.split(order, np.flatnonzero(np.diff(ring)) + 1):
            yield [(int(across[at]), int(down[at]), float(way[at])) for at in of_one]


@dataclass(frozen=True, eq=False)
class Carries:
    """Carries between areas a and b, from cell to cell (their places)."""

    a: Ints
    b: Ints
    leave: Ints
    enter: Ints
    way: Floats

    @staticmethod
    def of(parts: list[Carries]) -> Carries:
        """Return all of several."""
        none = np.empty(0, dtype=np.int64)
        return Carries(
            np.concatenate([none, *(part.a for part in parts)]),
            np.concatenate([none, *(part.b for part in parts)]),
            np.concatenate([none, *(part.leave for part in parts)]),
            np.concatenate([none, *(part.enter for part in parts)]),
            np.concatenate([np.empty(0), *(part.way for part in parts)]),
        )

    def take(self, chosen: Ints) -> Carries:
        """Return the chosen ones."""
        return Carries(
            self.a[chosen],
            self.b[chosen],
            self.leave[chosen],
            self.enter[chosen],
            self.way[chosen],
        )


def carries(
    cells: NeedleCells,
    area: Ints,
    count: int,
    covered: NDArray[np.bool_],
    layers: list[Ints],
    reach: Reach,
) -> tuple[Carries, Ints]:
    """Return the shortest forest of allowed carries, and the tree of each area.

    area: (n,) of each cell, numbered from 0 by needle; count: of areas. covered: of each place,
    whether any thread is stitched there. layers: cells (indices) such that no place comes twice
    in one. The forest is found ring by ring, so that few carries are looked at.
    """
    fewest = np.count_nonzero(np.bincount(cells.needle))
    group = np.arange(count, dtype=np.int64)
    stacks = [_Stack(cells, area, layer, covered.size) for layer in layers]
    pairs = [(one, two) for one in stacks for two in stacks if one.used & two.used]
    chosen: list[Carries] = []
    for ring in reach.rings():
        if np.count_nonzero(group == np.arange(count)) == fewest:
            break
        for stack in stacks:
            stack.regroup(group)
        near = Carries.of(
            [
                edges
                for across, down, way in ring
                for one, two in pairs
                for edges in _facing(one, two, (across, down), way, cells.pitch, covered, reach)
            ]
        )
        if near.a.size:
            one, two = group[near.a], group[near.b]
            touched = np.zeros(count, dtype=bool)
            touched[one] = touched[two] = True
            ends = np.flatnonzero(touched)
            compact = np.cumsum(touched) - 1
            label, taken = spanning_forest(len(ends), compact[one], compact[two])
            merged = np.arange(count, dtype=np.int64)
            merged[ends] = ends[label]
            group = merged[group]
            chosen.append(near.take(taken))
    return Carries.of(chosen), group


class _Stack:
    """Cells of one layer as a filled grid, flat."""

    def __init__(self, cells: NeedleCells, area: Ints, layer: Ints, size: int) -> None:
        place = cells.place[layer]
        needle = cells.needle[layer]
        self.used = set(np.flatnonzero(np.bincount(needle)).tolist())
        # Bare places differ on either side of a comparison, so that bare never matches bare.
        self.ahead = np.zeros(size, dtype=np.uint16)
        self.ahead[place] = needle
        self.behind = np.full(size, np.iinfo(np.uint16).max, dtype=np.uint16)
        self.behind[place] = needle
        self.area = np.full(size, -1, dtype=np.int32)
        self.area[place] = area[layer]
        self.group = self.area

    def regroup(self, group: Ints) -> None:
        """Take note of which areas hang together by now."""
        self.group = np.append(group, -1).astype(np.int32)[self.area]


def _facing(
    one: _Stack,
    two: _Stack,
    offset: tuple[int, int],
    way: float,
    pitch: int,
    covered: NDArray[np.bool_],
    reach: Reach,
) -> Iterator[Carries]:
    """Yield the carries from cells of one layer to cells of another at an offset."""
    ahead = offset[1] * pitch + offset[0]
    if ahead >= len(one.ahead):
        return
    pair = one.ahead[:-ahead] == two.behind[ahead:]
    pair &= one.group[:-ahead] != two.group[ahead:]
    leave = np.flatnonzero(pair)
    if leave.size and way > reach.carry * BARE_SHARE:
        leave = leave[_hidden(covered, leave, offset, pitch)]
    if leave.size:
        enter = leave + ahead
        yield Carries(
            one.area[leave].astype(np.int64),
            two.area[enter].astype(np.int64),
            leave,
            enter,
            np.full(len(leave), way),
        )


def _hidden(
    covered: NDArray[np.bool_], leave: Ints, offset: tuple[int, int], pitch: int
) -> NDArray[np.bool_]:
    """Tell for which places the straight way to the offset lies behind stitches."""
    across, down = offset
    steps = max(abs(across), abs(down))
    hidden = np.ones(len(leave), dtype=bool)
    for step in range(1, steps):
        on = _share(down, step, steps) * pitch + _share(across, step, steps)
        hidden &= covered[leave + on]
    return hidden


def _share(whole: int, step: int, steps: int) -> int:
    """Return step / steps of a way in whole cells, the same both ways."""
    size = (2 * abs(whole) * step + steps) // (2 * steps)
    return size if whole >= 0 else -size


def crosses_bare(
    covered: NDArray[np.bool_], start: Ints, across: Ints, down: Ints, pitch: int
) -> NDArray[np.bool_]:
    """Tell which ways between two cells each lie behind bare fabric anywhere."""
    bare = np.zeros(len(start), dtype=bool)
    if not len(start):
        return bare
    steps = np.maximum(np.abs(across), np.abs(down))
    for step in range(1, int(steps.max())):
        going = step < steps
        whole = np.maximum(steps, 1)
        x = np.sign(across) * ((2 * np.abs(across) * step + steps) // (2 * whole))
        y = np.sign(down) * ((2 * np.abs(down) * step + steps) // (2 * whole))
        place = np.where(going, start + y * pitch + x, start)
        bare |= going & ~covered[place]
    return bare


@dataclass(frozen=True, eq=False)
class Joined:
    """Areas in the order in which they are worked.

    order: area numbers. carry: (areas,) mm carried to each from the one before, NaN at a new
    start.
    """

    order: Ints
    carry: Floats


def join(
    cells: NeedleCells, area: Ints, covered: NDArray[np.bool_], layers: list[Ints], reach: Reach
) -> Joined:
    """Join areas of the same needle by the shortest carries, and walk along them.

    area: (n,) of each cell, numbered from 0 by needle. covered: of each place, whether any
    thread is stitched there. layers: cells (indices) such that no place comes twice in one.

    An area is left while it is being worked for those that hang on it, and gone on with when
    the needle comes back. So every carry is gone out and back; but where the next area is nearer
    straight away the needle goes there, and after the last it does not come back. Areas that
    are not come back to are passed through, from where they were entered to where they are left.
    """
    count = int(area.max()) + 1 if area.size else 0
    joins, tree = carries(cells, area, count, covered, layers, reach)
    walked = walk(tree, joins.a, joins.b, joins.way)
    return Joined(walked.order, _hops(cells, area, covered, joins, walked, reach))


def _hops(
    cells: NeedleCells,
    area: Ints,
    covered: NDArray[np.bool_],
    joins: Carries,
    walked: Walk,
    reach: Reach,
) -> Floats:
    """Return the mm carried to each area of a walk from the one before, NaN at a new start."""
    hops = np.full(len(walked.order), np.nan)
    if not len(joins.a):
        return hops
    entry, exit_ = _doors(cells, area, joins, walked)
    across, down = _off(exit_, entry[walked.parent], cells.pitch)
    through = np.where(walked.edge < 0, 0.0, np.hypot(across * reach.width, down * reach.height))
    passed = _passed(walked, through)

    at = np.flatnonzero(~walked.first)
    new, old = walked.order[at], walked.order[at - 1]
    back = walked.depth[old] - walked.depth[walked.parent[new]]
    hop = back + joins.way[walked.edge[new]]
    across, down = _off(entry[new], entry[old], cells.pitch)
    # What is left behind for good: the areas from the elder branch to the one just worked.
    straight = reach.way(across, down)
    short = straight <= reach.carry
    straight += passed[old] - passed[_elder(walked)[at]]
    near = np.flatnonzero(short & (straight < hop))
    risky = near[reach.way(across[near], down[near]) > reach.carry * BARE_SHARE]
    bare = crosses_bare(covered, entry[old[risky]], across[risky], down[risky], cells.pitch)
    straight[risky[bare]] = np.inf
    hop[near] = np.minimum(hop[near], straight[near])

    last = np.append(walked.first[1:], True)[at]
    hop[last] += np.minimum(passed[new[last]], walked.depth[new[last]])
    hops[at] = hop
    return hops


def _off(place: Ints, other: Ints, pitch: int) -> tuple[Ints, Ints]:
    """Return how many cells a place lies off another, across and down."""
    return place % pitch - other % pitch, place // pitch - other // pitch


def _doors(cells: NeedleCells, area: Ints, joins: Carries, walked: Walk) -> tuple[Ints, Ints]:
    """Return where each area is entered, and where its parent is left for it.

    A root is entered at its first cell.
    """
    count = len(walked.order)
    entry = np.zeros(count, dtype=np.int64)
    entry[area[::-1]] = cells.place[::-1]
    exit_ = entry.copy()
    hung = np.flatnonzero(walked.edge >= 0)
    by = walked.edge[hung]
    onward = joins.b[by] == hung
    entry[hung] = np.where(onward, joins.enter[by], joins.leave[by])
    exit_[hung] = np.where(onward, joins.leave[by], joins.enter[by])
    return entry, exit_


def _passed(walked: Walk, through: Floats) -> Floats:
    """Return the way through all areas from the root, itself too, up to each area.

    through: the way through the parent of each area.
    """
    count = len(walked.order)
    place = np.empty(count, dtype=np.int64)
    place[walked.order] = np.arange(count)
    change = np.bincount(place, through, minlength=count + 1).astype(np.float64)
    change -= np.bincount(place + walked.branch, through, minlength=count + 1)
    return np.asarray(np.cumsum(change)[place], dtype=np.float64)


def _elder(walked: Walk) -> Ints:
    """Return, at each place of a walk, the node whose branch ends just before.

    Of several the first: the one that hangs where the node at this place hangs.
    """
    count = len(walked.order)
    elder = np.zeros(count + 1, dtype=np.int64)
    node = walked.order[::-1]
    elder[np.arange(count)[::-1] + walked.branch[node]] = node
    return elder
