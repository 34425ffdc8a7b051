"""Which areas lie near each other: the ways on the back that a needle may take between them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .carrying import MOST_CROSSES, Cloth, Habit
from .forest import Floats, Ints, spanning_forest
from .runs import NeedleCells

NEIGHBOURS = 8  # other areas that are looked for from each
_SMALL = 8  # cells; from each cell of such an area others are looked for
_RINGS_OF_LARGE = 8  # crosses; farther off a few cells of a larger area stand for all
_RINGS_OF_NEAR = 12  # crosses; farther off only those are sought that still hang on nothing
_OF_A_NEEDLE = 400  # cells that stand for its large areas
_AT_ONCE = 2_000_000  # places looked at together


@dataclass(frozen=True, eq=False)
class Ways:
    """Ways between areas, from cell to cell; one for each pair of areas, the best first.

    across, down: from the one cell to the other. bare: the longest stretch behind bare cloth, in
    crosses. price: in mm, for crosses of the size with which they were looked for.
    """

    one: Ints
    two: Ints
    across: Ints
    down: Ints
    bare: Floats
    price: Floats

    def take(self, chosen: Ints) -> Ways:
        """Return the chosen ones."""
        return Ways(
            self.one[chosen],
            self.two[chosen],
            self.across[chosen],
            self.down[chosen],
            self.bare[chosen],
            self.price[chosen],
        )


def _rings() -> Iterator[tuple[int, tuple[Ints, Ints]]]:
    """Yield offsets (across, down), nearest first, by how many crosses off they are at most."""
    grid = np.mgrid[-MOST_CROSSES - 1 : MOST_CROSSES + 2, -MOST_CROSSES - 1 : MOST_CROSSES + 2]
    down, across = grid.astype(np.int64).reshape(2, -1)
    way = Habit(1, 1, 0, 0, 0, 0).way(across, down)
    apart = (np.abs(down) > 1) | (np.abs(across) > 1)  # nearer ones share a hole: one area
    near = np.flatnonzero(apart & (way <= MOST_CROSSES))
    order = near[np.argsort(way[near], kind="stable")]
    for least, most in pairwise(
        (0, *range(1, _RINGS_OF_NEAR), *range(_RINGS_OF_NEAR, MOST_CROSSES + 1, 4))
    ):
        ring = order[(way[order] > least + 1e-9) & (way[order] <= most + 1e-9)]
        yield most, (across[ring], down[ring])


_RINGS = tuple(_rings())
_Stack = tuple[NDArray[np.uint16], NDArray[np.int32]]  # of each place, the needle and the cell


def between(
    cells: NeedleCells,
    area: Ints,
    cloth: Cloth,
    layers: Sequence[Ints],
    habit: Habit,
) -> Ways:
    """Return ways between areas of the same needle: from each to those nearest, and a forest.

    area: (n,) of each cell, numbered from 0 by needle. layers: cells (indices) such that
    no place comes twice in one. Ring by ring, so that few places are looked at.
    """
    count = int(area.max()) + 1
    size = np.bincount(area, minlength=count)
    needle = np.zeros(count, dtype=np.int64)
    needle[area] = cells.needle
    group = np.arange(count, dtype=np.int64)
    stacks = []
    for layer in layers:
        stack = np.zeros(cloth.covered.size, dtype=np.int32)
        stack[cells.place[layer]] = layer
        numbers = np.zeros(cloth.covered.size, dtype=np.uint16)
        numbers[cells.place[layer]] = cells.needle[layer]
        stacks.append((numbers, stack))
    active = contour = _contour(cells, stacks)
    known = np.zeros(count, dtype=np.int64)  # ways to others that each area has met
    seeks = size[area] <= _SMALL
    parts: list[Ways] = []
    near = group  # as far as larger areas are looked at cell by cell
    pending = np.empty((0, 2), dtype=np.int64), np.empty(0)
    for number, (across, down) in _RINGS:
        largest = _largest(group, size, needle)
        lone = group[area[active]] != largest[cells.needle[active]]
        lone &= seeks[active] | (number <= _RINGS_OF_LARGE)
        wanting = seeks[active] & (known[area[active]] < NEIGHBOURS) & (number <= _RINGS_OF_NEAR)
        active = active[lone | wanting]
        joined = np.ones(len(largest), dtype=bool)
        joined[needle[largest[needle] != group]] = False
        active = active[~joined[cells.needle[active]]]
        if not active.size:
            break
        met = _met(cells, area, group, known, active, stacks, (across, down))
        way = habit.way(met.across, met.down)
        bare = cloth.bare(cells.place[met.one], met.across, met.down, habit.bare)
        met = replace(met, bare=bare, price=habit.price(way, bare))
        parts.append(met)
        # What is found later is longer than this ring: what takes no more joins for good.
        ends = np.concatenate((pending[0], area[np.stack([met.one, met.two], axis=1)]))
        price = np.concatenate((pending[1], met.price))
        sure = price <= number * min(habit.width, habit.height) + 1e-9
        group = _merged(group, group[ends[sure, 0]], group[ends[sure, 1]])
        open_ = ~sure & (group[ends[:, 0]] != group[ends[:, 1]])
        pending = ends[open_], price[open_]
        if number <= _RINGS_OF_LARGE:
            near = group
    parts.append(_apart(cells, area, near, contour[~seeks[contour]], cloth, habit))
    return _best(_all(parts), area)


def _apart(
    cells: NeedleCells, area: Ints, group: Ints, contour: Ints, cloth: Cloth, habit: Habit
) -> Ways:
    """Return the ways between large areas that do not hang together yet.

    contour: of the large areas. Of each area some cells stand for all: at least eight, and some
    hundreds of a needle.
    """
    ends = [np.empty((2, 0), dtype=np.int64)]
    bounds = np.searchsorted(cells.needle[contour], np.arange(int(cells.needle[-1]) + 2))
    for start, end in pairwise(bounds.tolist()):
        some = contour[start:end]
        if not len(some) or np.all(group[area[some]] == group[area[some[0]]]):
            continue
        some = some[np.argsort(area[some], kind="stable")]
        _, first, many = np.unique(area[some], return_index=True, return_counts=True)
        kept = max(8, _OF_A_NEEDLE // len(first))
        share = (np.arange(len(some)) - np.repeat(first, many)) * kept
        many = np.repeat(many, many)
        some = some[share // many != (share - kept) // many]
        first = np.unique(area[some], return_index=True)[1]
        tree = group[area[some[first]]]
        y, x = np.divmod(cells.place[some].astype(np.int32), cells.pitch)
        at_once = max(1, _AT_ONCE // (kept * len(some)))  # areas
        for low in range(0, len(first), at_once):
            here, there = first[low : low + at_once], first[low:]
            left = here[0]
            last = first[low + at_once] if low + at_once < len(first) else len(some)
            across, down = (
                np.abs(x[left:last, None] - x[left:]),
                np.abs(y[left:last, None] - y[left:]),
            )
            # The square of the way in crosses, and behind it which of the table it is.
            key = (across**2 + down**2 - 2 * np.maximum(across, down)).astype(
                np.int64
            ) * across.size
            key += np.arange(key.size).reshape(key.shape)
            key = np.minimum.reduceat(np.minimum.reduceat(key, here - left), there - left, axis=1)
            apart = np.triu(tree[low : low + len(here), None] != tree[low:])
            one, two = np.divmod(key[apart] % across.size, across.shape[1])
            ends.append(some[left:][np.stack((one, two))])
    one, two = np.concatenate(ends, axis=1)
    across = cells.place[two] % cells.pitch - cells.place[one] % cells.pitch
    down = cells.place[two] // cells.pitch - cells.place[one] // cells.pitch
    way = habit.way(across, down)
    some = np.flatnonzero(way <= MOST_CROSSES * min(habit.width, habit.height))
    one, two, across, down, way = one[some], two[some], across[some], down[some], way[some]
    bare = cloth.bare(cells.place[one], across, down, habit.bare)
    return Ways(one, two, across, down, bare, habit.price(way, bare))


def _contour(cells: NeedleCells, stacks: Sequence[_Stack]) -> Ints:
    """Return the cells that are not all round among others of their needle."""
    inside = np.ones(len(cells.place), dtype=bool)
    for row in (-1, 0, 1):
        for column in (-1, 0, 1):
            same = np.zeros(len(cells.place), dtype=bool)
            for needle, _ in stacks:
                same |= needle[cells.place + row * cells.pitch + column] == cells.needle
            inside &= same
    return np.flatnonzero(~inside)


def _largest(group: Ints, size: Ints, needle: Ints) -> Ints:
    """Return the group with most cells of each needle, by its number."""
    cells = np.bincount(group, size, minlength=len(group))
    order = np.argsort(cells[group], kind="stable")
    largest = np.full(int(needle.max()) + 1, -1, dtype=np.int64)
    largest[needle[order]] = group[order]
    return largest


def _met(
    cells: NeedleCells,
    area: Ints,
    group: Ints,
    known: Ints,
    active: Ints,
    stacks: Sequence[_Stack],
    ring: tuple[Ints, Ints],
) -> Ways:
    """Return the ways from some cells to others of their needle at the offsets of a ring."""
    across, down = ring
    ahead = down * cells.pitch + across
    ones, twos, offsets = [], [], []
    at_once = max(1, _AT_ONCE // len(ahead))
    for needle, stack in stacks:
        for first in range(0, len(active), at_once):
            some = active[first : first + at_once]
            place = cells.place[some]
            same = needle.take(ahead[:, None] + place) == cells.needle[some]
            offset, row = np.divmod(np.flatnonzero(same), len(some))
            one = some[row]
            two = stack[place[row] + ahead[offset]].astype(np.int64)
            other = area[one] != area[two]
            ones.append(one[other])
            twos.append(two[other])
            offsets.append(offset[other])
    one, two, offset = np.concatenate(ones), np.concatenate(twos), np.concatenate(offsets)
    a, b = area[one], area[two]
    apart = group[a] != group[b]
    # Between two that are both active each way comes twice.
    going = np.zeros(len(area), dtype=bool)
    going[active] = True
    once = (one < two) | ~going[two]
    kept = np.flatnonzero(once & (apart | (known[a] < NEIGHBOURS) | (known[b] < NEIGHBOURS)))
    known += np.bincount(a, minlength=len(known))
    one, two, offset = one[kept], two[kept], offset[kept]
    nothing = np.zeros(len(one))
    return Ways(one, two, across[offset], down[offset], nothing, nothing.copy())


def _merged(group: Ints, one: Ints, two: Ints) -> Ints:
    apart = one != two
    label, _ = spanning_forest(len(group), one[apart], two[apart])
    return label[group]


def _all(parts: Sequence[Ways]) -> Ways:
    none = np.empty(0, dtype=np.int64)
    return Ways(
        np.concatenate([none, *(part.one for part in parts)]),
        np.concatenate([none, *(part.two for part in parts)]),
        np.concatenate([none, *(part.across for part in parts)]),
        np.concatenate([none, *(part.down for part in parts)]),
        np.concatenate([np.empty(0), *(part.bare for part in parts)]),
        np.concatenate([np.empty(0), *(part.price for part in parts)]),
    )


def _best(ways: Ways, area: Ints) -> Ways:
    """Return the best way between each two areas, the best first."""
    a, b = area[ways.one], area[ways.two]
    pair = np.minimum(a, b) * (int(area.max()) + 1) + np.maximum(a, b)
    cell = np.minimum(ways.one, ways.two)
    order = np.lexsort((cell, ways.price, pair))
    fresh = np.ones(len(order), dtype=bool)
    fresh[1:] = np.diff(pair[order]) != 0
    chosen = order[fresh]
    return ways.take(chosen[np.argsort(ways.price[chosen], kind="stable")])
