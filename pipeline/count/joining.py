"""In which order the areas of each needle are worked, and the ways on the back between them.

A needle may leave an area while it is being worked, for those that hang on it, and go on with it
when it comes back. So it passes through an area at no cost, and from any area to another it may
take a way by others: along the tree of the shortest ways.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from .carries import Ways, between
from .carrying import Cloth, Habit
from .forest import Floats, Ints, Walk, spanning_forest, walk
from .route import lists, shorten
from .runs import NeedleCells

# In sides, at each end: an area of several cells can seldom be left by the leg at which the way
# would be shortest, so that once a diagonal takes the place of a side.
DOOR = math.sqrt(2) - 1
_STARTS = 25  # orders from which better ones are sought
_OF_A_NEEDLE = 2_000  # its areas in all of them, if there is more than one
_NEAR = 8  # areas that are tried next from each
_LEVELS = 15  # of areas that follow each other on the walk within 2 to this, all ways are known


@dataclass(frozen=True, eq=False)
class Joined:
    """Areas in the order in which they are worked, and the ways that are carried between them.

    order: area numbers. to: of each way, the place in `order` of the area that it leads to.
    across, down: in cells. bare: the longest stretch behind bare cloth, in crosses. doors: how many
    of its two ends lie at areas of several cells.
    """

    order: Ints
    to: Ints
    across: Ints
    down: Ints
    bare: Floats
    doors: Ints

    def carried(self, habit: Habit) -> tuple[Floats, Floats]:
        """Return the mm carried to each area, and how often the thread is begun anew for it.

        Where several ways lead to one area, it is not begun anew more than once.
        """
        way = habit.way(self.across, self.down)
        anew = habit.share(way, self.bare)
        way += self.doors * DOOR * min(habit.width, habit.height)
        many = len(self.order)
        carry = np.bincount(self.to, (1 - anew) * way, minlength=many).astype(np.float64)
        starts = np.bincount(self.to, anew, minlength=many).astype(np.float64)
        once = np.minimum(starts, 1)
        dear = carry + starts * habit.ends > habit.ends
        carry = np.where(dear, carry * (1 - once), carry)
        return carry, np.where(dear, once, starts)


def mean(ways: Sequence[Joined], needle: Ints, habit: Habit) -> tuple[Floats, Floats]:
    """Return what is carried to each area in the order of the first way, and the new starts.

    needle: of each area. In all they are the mean of several ways: nobody finds the best, and to
    which of many good ones a hand comes is chance.
    """
    parts = [way.carried(habit) for way in ways]
    own = needle[ways[0].order]
    begins = np.ones(len(own), dtype=bool)
    begins[1:] = np.diff(own) != 0
    # Of needles with many areas fewer ways are found.
    found = np.zeros(int(needle.max()) + 1)
    for way in ways:
        found[np.unique(needle[way.order])] += 1
    found = np.maximum(found, 1)
    means = []
    for part in zip(*parts, strict=True):
        sums = [
            np.bincount(needle[way.order], each, minlength=len(found))
            for way, each in zip(ways, part, strict=True)
        ]
        whole = np.sum(sums, axis=0) / found
        # In the shares of the first way; where it has none, alike for all but the first area.
        none = (sums[0] == 0)[own] & ~begins
        shares = np.where(none, 1.0, part[0])
        all_shares = np.bincount(own, shares)
        means.append(shares * (whole / np.where(all_shares > 0, all_shares, 1))[own])
    return means[0], means[1]


@dataclass(frozen=True, eq=False)
class _Tree:
    """Ways along a forest: the least depth between two places of a walk, by powers of two."""

    walked: Walk
    place: Ints
    least: Sequence[Floats]

    @staticmethod
    def of(walked: Walk) -> _Tree:
        order, parent = walked.order, walked.parent
        place = np.empty(len(order), dtype=np.int64)
        place[order] = np.arange(len(order))
        above = parent[order]
        level = np.where(above < 0, -np.inf, walked.depth[above])
        least = [level]
        for power in range(min(_LEVELS, max(len(order) - 1, 1).bit_length() - 1)):
            half = 1 << power
            least.append(np.minimum(least[-1][:-half], least[-1][half:]))
        return _Tree(walked, place, least)

    def way(self, one: Ints, two: Ints) -> Floats:
        """Return the way along the tree, endless where there is none."""
        low = np.minimum(self.place[one], self.place[two]) + 1
        high = np.maximum(self.place[one], self.place[two])
        span = np.maximum(high - low + 1, 1)
        power = np.frexp(span.astype(np.float64))[1] - 1
        way = np.full(len(one), np.inf)
        for level in range(len(self.least)):
            some = np.flatnonzero(power == level)
            if some.size:
                table = self.least[level]
                top = np.minimum(
                    table[low[some] * (low[some] <= high[some])],
                    table[np.maximum(high[some] - (1 << level) + 1, 0)],
                )
                depth = self.walked.depth
                way[some] = depth[one[some]] + depth[two[some]] - 2 * top
        way[one == two] = 0.0
        return way


@dataclass(frozen=True, eq=False)
class _Areas:
    """Areas and the ways between them.

    needle: of each. cell: the place of one that is a single cell, otherwise -1. known: the pairs
    of areas (see `_pair`) between which the best way is known, rising; `at` which of `ways`. For
    `length` and `least` there are several copies of the areas of each needle; `again` says which
    area each is.
    """

    needle: Ints
    cell: Ints
    known: Ints
    at: Ints
    ways: Ways
    tree: _Tree
    cloth: Cloth
    habit: Habit
    again: Ints

    def _pair(self, one: Ints, two: Ints) -> Ints:
        return np.minimum(one, two) * len(self.needle) + np.maximum(one, two)

    def off(self, one: Ints, two: Ints) -> tuple[Ints, Ints]:
        """Return how many cells single cells lie off others, across and down."""
        a, b, pitch = self.cell[one], self.cell[two], self.cloth.pitch
        return b % pitch - a % pitch, b // pitch - a // pitch

    def known_way(self, one: Ints, two: Ints) -> Ints:
        """Return which of `ways` joins two areas, -1 where none does."""
        pair = self._pair(one, two)
        if not len(self.known):
            return np.full(len(one), -1, dtype=np.int64)
        at = np.minimum(np.searchsorted(self.known, pair), len(self.known) - 1)
        return np.where(self.known[at] == pair, self.at[at], -1)

    def length(self, one: Ints, two: Ints) -> Floats:
        """Return what the ways between areas take, in mm; from and to no area none."""
        return self._length(one, two, seen=True)

    def least(self, one: Ints, two: Ints) -> Floats:
        """Return what they take if nothing of them lies behind bare cloth."""
        return self._length(one, two, seen=False)

    def straight(self, one: Ints, two: Ints, *, seen: bool) -> Floats:
        """Return what the straight ways take, endless where an area is no single cell."""
        way = np.full(len(one), np.inf)
        single = np.flatnonzero((self.cell[one] >= 0) & (self.cell[two] >= 0))
        a, b = one[single], two[single]
        across, down = self.off(a, b)
        way[single] = self.habit.way(across, down)
        if seen:
            bare = self.cloth.bare(self.cell[a], across, down, self.habit.bare)
            way[single] = self.habit.price(way[single], bare)
        return way

    def _length(self, one: Ints, two: Ints, *, seen: bool) -> Floats:
        many = len(self.again)
        length = np.zeros(len(one))
        real = np.flatnonzero((one < many) & (two < many))
        a, b = self.again[one[real]], self.again[two[real]]
        way = np.minimum(self.straight(a, b, seen=seen), self.habit.ends)
        at = self.known_way(a, b)
        known = np.flatnonzero(at >= 0)
        way[known] = np.minimum(way[known], self.ways.price[at[known]])
        np.minimum(way, self.tree.way(a, b), out=way)
        length[real] = way
        return length


def join(
    cells: NeedleCells, area: Ints, cloth: Cloth, layers: Sequence[Ints], habit: Habit
) -> list[Joined]:
    """Join areas of the same needle, by ways as short as are found; see `carries.between`.

    The needle goes along the tree of the shortest ways, branch by branch; then the order is made
    better, place by place, as long as that makes it shorter.
    """
    count = int(area.max()) + 1 if area.size else 0
    if not count:
        none = np.empty(0, dtype=np.int64)
        return [Joined(none, none, none, none, np.empty(0), none)]
    ways = between(cells, area, cloth, layers, habit)
    one, two = area[ways.one], area[ways.two]
    several = (np.bincount(area) > 1).astype(np.int64)
    doors = several[one] + several[two]
    ways = replace(ways, price=ways.price + doors * DOOR * min(habit.width, habit.height))
    cheapest = np.argsort(ways.price, kind="stable")
    ways, one, two, doors = ways.take(cheapest), one[cheapest], two[cheapest], doors[cheapest]
    label, hung = spanning_forest(count, one, two)
    walked = walk(label, one[hung], two[hung], ways.price[hung])
    needle = np.zeros(count, dtype=np.int64)
    needle[area] = cells.needle
    cell = np.full(count, -1, dtype=np.int64)
    cell[area] = cells.place
    cell[several > 0] = -1
    pair = np.minimum(one, two) * count + np.maximum(one, two)
    rising = np.argsort(pair)
    copies = np.clip(_OF_A_NEEDLE // np.bincount(needle)[needle], 1, _STARTS)
    copy, again = np.nonzero(np.arange(copies.max())[:, None] < copies)
    areas = _Areas(needle, cell, pair[rising], rising, ways, _Tree.of(walked), cloth, habit, again)
    near = lists(count, one, two, _NEAR)
    number = np.full((int(copies.max()), count), -1, dtype=np.int64)
    number[copy, again] = np.arange(len(again))
    starts = [
        number[turn, order[copies[order] > turn]]
        for turn, order in enumerate(_starts(cells, area, needle, walked.order))
        if turn < len(number)
    ]
    beside = near[again]
    beside = np.where(beside >= 0, number[copy[:, None], beside], -1)
    block = copy * (int(needle.max()) + 1) + needle[again]  # from needle to needle no thread goes
    order = shorten(np.concatenate(starts), block, beside, areas.length, areas.least)
    ends = np.cumsum([len(start) for start in starts])[:-1]
    return [_along(areas, again[each], hung, doors) for each in np.split(order, ends)]


def _starts(cells: NeedleCells, area: Ints, needle: Ints, walked: Ints) -> list[Ints]:
    """Return orders to begin with: along the tree, and in strips that lie one way or another."""
    first = np.full(len(needle), -1, dtype=np.int64)
    first[area[::-1]] = cells.place[::-1]
    row, column = np.divmod(first, cells.pitch)
    slopes = [
        (row, column),
        (column, row),
        (row + column, row - column),
        (row - column, row + column),
    ]
    starts = [walked[np.argsort(needle[walked], kind="stable")]]
    starts += [_strips(needle, *slope, part) for part in np.arange(6) / 6 for slope in slopes]
    return starts


def _strips(needle: Ints, along: Ints, across: Ints, part: float) -> Ints:
    """Return places in strips, there and back, about two of them beside each other in each.

    part: of a strip that the first one lacks.
    """
    many = np.bincount(needle)
    wide = np.zeros(len(many))
    size = []
    for each in (along, across):
        low, high = np.full(len(many), np.inf), np.full(len(many), -np.inf)
        np.minimum.at(low, needle, each)
        np.maximum.at(high, needle, each)
        size.append(np.where(many > 0, high - low + 1, 1))
    wide = np.sqrt(3 * size[0] * size[1] / np.maximum(many, 1))
    strip = np.floor(along / wide[needle] + part).astype(np.int64)
    return np.lexsort((np.where(strip % 2, -across, across), strip, needle))


def _along(areas: _Areas, order: Ints, hung: Ints, doors: Ints) -> Joined:
    """Return the ways along an order of areas, those by others piece by piece."""
    to = np.flatnonzero(areas.needle[order[1:]] == areas.needle[order[:-1]]) + 1
    one, two = order[to - 1], order[to]
    at = areas.known_way(one, two)
    straight = areas.straight(one, two, seen=True)
    known = np.where(at >= 0, areas.ways.price[at] if len(areas.known) else np.inf, np.inf)
    direct = np.minimum(straight, known)
    tree = areas.tree.way(one, two)
    by_tree = np.flatnonzero((tree < direct) & (tree < areas.habit.ends))
    known_ = np.flatnonzero((known <= straight) & (known < np.inf) & ~(tree < direct))
    # Pieces of ways along the tree: up from either end until they meet.
    pieces_to = [to[known_]]
    pieces = [at[known_]]
    walked = areas.tree.walked
    a, b, where = one[by_tree], two[by_tree], to[by_tree]
    while a.size:
        later = areas.tree.place[a] > areas.tree.place[b]
        lower = np.where(later, a, b)
        pieces.append(hung[walked.edge[lower]])
        pieces_to.append(where)
        above = walked.parent[lower]
        a, b = np.where(later, above, a), np.where(later, b, above)
        apart = a != b
        a, b, where = a[apart], b[apart], where[apart]
    every, every_to = np.concatenate(pieces), np.concatenate(pieces_to)
    rest = np.ones(len(to), dtype=bool)
    rest[by_tree] = rest[known_] = False
    rest &= straight < np.inf
    across, down = areas.off(one[rest], two[rest])
    bare = areas.cloth.bare(areas.cell[one[rest]], across, down)
    ways = areas.ways
    anew = np.ones(len(to), dtype=bool)
    anew[by_tree] = anew[known_] = anew[rest] = False
    far = np.full(int(anew.sum()), _FAR_OFF)
    return Joined(
        order,
        np.concatenate((every_to, to[rest], to[anew])),
        np.concatenate((ways.across[every], across, far)),
        np.concatenate((ways.down[every], down, far)),
        np.concatenate((ways.bare[every], bare, np.zeros(len(far)))),
        np.concatenate((doors[every], np.zeros(len(across) + len(far), dtype=np.int64))),
    )


_FAR_OFF = 1_000  # cells; so far no thread is carried
