"""Which areas of one needle are joined by carrying the thread on the back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .forest import Floats, Ints, Walk, spanning_forest, walk
from .runs import Cells

# Behind bare fabric a carried thread shows through: only so much of the longest carry is risked.
BARE_SHARE = 0.25
MOST_CROSSES = 40  # farther than that a new start is made, however short the crosses are


@dataclass(frozen=True)
class Reach:
    """How far a thread may be carried; width and height of a cross, and the carry, in mm."""

    width: float
    height: float
    carry: float

    def gap(self, across: Ints, down: Ints) -> Floats:
        """Return the way in mm between the nearest holes of cells so many apart."""
        holes = np.maximum(np.abs(across) - 1, 0), np.maximum(np.abs(down) - 1, 0)
        gap: Floats = np.hypot(holes[0] * self.width, holes[1] * self.height)
        return gap

    @property
    def columns(self) -> int:
        """How many columns off a cell may lie that can be reached."""
        return 1 + min(MOST_CROSSES, int(self.carry / self.width))

    @property
    def rows(self) -> int:
        """How many rows off a cell may lie that can be reached."""
        return 1 + min(MOST_CROSSES, int(self.carry / self.height))

    def rings(self) -> Iterator[list[tuple[int, int, float]]]:
        """Yield offsets (across, down, gap) that look down or to the right, nearest first.

        Each ring goes about one cross farther than that before.
        """
        grid = np.mgrid[0 : self.rows + 1, -self.columns : self.columns + 1].astype(np.int64)
        down, across = grid[0].ravel(), grid[1].ravel()
        gap = self.gap(across, down)
        ahead = ((down > 0) | (across > 0)) & (gap > 0) & (gap <= self.carry)
        order = np.flatnonzero(ahead)[np.argsort(gap[ahead], kind="stable")]
        ring = np.ceil(gap[order] / min(self.width, self.height) - 1e-9)
        for each in np.unique(ring):
            yield [(int(across[at]), int(down[at]), float(gap[at])) for at in order[ring == each]]


@dataclass(frozen=True, eq=False)
class Joined:
    """Areas in the order in which they are worked.

    order: area numbers. carry: (areas,) mm carried to each from the one before, NaN at a new
    start.
    """

    order: Ints
    carry: Floats


@dataclass(frozen=True, eq=False)
class _Edges:
    """Carries between areas a and b, from cell to cell (their places)."""

    a: Ints
    b: Ints
    leave: Ints
    enter: Ints
    gap: Floats

    @staticmethod
    def of(parts: list[_Edges]) -> _Edges:
        def joined(name: str, kind: type) -> NDArray[np.generic]:
            arrays = [getattr(part, name) for part in parts]
            return np.concatenate([np.empty(0, dtype=kind), *arrays])

        return _Edges(
            joined("a", np.int64),  # type: ignore[arg-type]
            joined("b", np.int64),  # type: ignore[arg-type]
            joined("leave", np.int64),  # type: ignore[arg-type]
            joined("enter", np.int64),  # type: ignore[arg-type]
            joined("gap", np.float64),  # type: ignore[arg-type]
        )

    def take(self, chosen: Ints) -> _Edges:
        return _Edges(
            self.a[chosen],
            self.b[chosen],
            self.leave[chosen],
            self.enter[chosen],
            self.gap[chosen],
        )


def join(
    cells: Cells, area: Ints, covered: NDArray[np.bool_], layers: list[Ints], reach: Reach
) -> Joined:
    """Join areas of the same needle by the shortest carries, and walk along them.

    area: (n,) of each cell, numbered from 0 by needle. covered: of each place, whether any
    thread is stitched there. layers: cells (indices) such that no place comes twice in one.

    Where the way between two areas lies on, the needle goes out and comes back; where the next
    area is nearer straight away, it goes there.
    """
    count = int(area.max()) + 1 if area.size else 0
    edges, tree = _carries(cells, area, count, covered, layers, reach)
    walked = walk(tree, edges.a, edges.b, edges.gap)
    return Joined(walked.order, _hops(cells, area, covered, edges, walked, reach))


def _carries(
    cells: Cells,
    area: Ints,
    count: int,
    covered: NDArray[np.bool_],
    layers: list[Ints],
    reach: Reach,
) -> tuple[_Edges, Ints]:
    """Return the shortest forest of allowed carries, and the tree of each area.

    It is found ring by ring, so that few carries are looked at.
    """
    fewest = np.count_nonzero(np.bincount(cells.needle))
    group = np.arange(count, dtype=np.int64)
    stacks = [_Stack(cells, area, layer, covered.size) for layer in layers]
    pairs = [(one, two) for one in stacks for two in stacks if one.used & two.used]
    chosen: list[_Edges] = []
    for ring in reach.rings():
        if np.count_nonzero(group == np.arange(count)) == fewest:
            break
        for stack in stacks:
            stack.regroup(group)
        found = _Edges.of(
            [
                edges
                for across, down, gap in ring
                for one, two in pairs
                for edges in _facing(one, two, (across, down), gap, cells.pitch, covered, reach)
            ]
        )
        if found.a.size:
            one, two = group[found.a], group[found.b]
            touched = np.zeros(count, dtype=bool)
            touched[one] = touched[two] = True
            ends = np.flatnonzero(touched)
            compact = np.cumsum(touched) - 1
            label, taken = spanning_forest(len(ends), compact[one], compact[two])
            merged = np.arange(count, dtype=np.int64)
            merged[ends] = ends[label]
            group = merged[group]
            chosen.append(found.take(taken))
    return _Edges.of(chosen), group


class _Stack:
    """Cells of one layer as a filled grid, flat."""

    def __init__(self, cells: Cells, area: Ints, layer: Ints, size: int) -> None:
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
    gap: float,
    pitch: int,
    covered: NDArray[np.bool_],
    reach: Reach,
) -> Iterator[_Edges]:
    """Yield the carries from cells of one layer to cells of another at an offset."""
    ahead = offset[1] * pitch + offset[0]
    if ahead >= len(one.ahead):
        return
    pair = one.ahead[:-ahead] == two.behind[ahead:]
    pair &= one.group[:-ahead] != two.group[ahead:]
    leave = np.flatnonzero(pair)
    if leave.size and gap > reach.carry * BARE_SHARE:
        leave = leave[_hidden(covered, leave, offset, pitch)]
    if leave.size:
        enter = leave + ahead
        yield _Edges(
            one.area[leave].astype(np.int64),
            two.area[enter].astype(np.int64),
            leave,
            enter,
            np.full(len(leave), gap),
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


def _hops(
    cells: Cells,
    area: Ints,
    covered: NDArray[np.bool_],
    edges: _Edges,
    walked: Walk,
    reach: Reach,
) -> Floats:
    """Return the mm carried to each area of a walk from the one before, NaN at a new start."""
    count = len(walked.order)
    hops = np.full(count, np.nan)
    if not len(edges.a):
        return hops
    # Where each area is entered: its end of the carry to it.
    entry = np.zeros(count, dtype=np.int64)
    entry[area[::-1]] = cells.place[::-1]
    hung = np.flatnonzero(walked.edge >= 0)
    by = walked.edge[hung]
    entry[hung] = np.where(edges.b[by] == hung, edges.enter[by], edges.leave[by])

    at = np.flatnonzero(~walked.first)
    new, old = walked.order[at], walked.order[at - 1]
    parent = walked.parent[new]
    gap = edges.gap[walked.edge[new]]
    round_about = walked.depth[old] - walked.depth[parent] + gap
    down = entry[new] // cells.pitch - entry[old] // cells.pitch
    across = entry[new] % cells.pitch - entry[old] % cells.pitch
    straight = reach.gap(across, down)
    shorter = np.flatnonzero((straight < round_about) & (straight <= reach.carry))
    risky = shorter[straight[shorter] > reach.carry * BARE_SHARE]
    open_way = _crosses_bare(covered, entry[old[risky]], across[risky], down[risky], cells.pitch)
    straight[risky[open_way]] = np.inf
    round_about[shorter] = np.minimum(round_about[shorter], straight[shorter])
    hops[at] = round_about
    return hops


def _crosses_bare(
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
