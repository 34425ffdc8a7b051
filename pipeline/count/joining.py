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

from .carries import between
from .carrying import Cloth, Habit
from .forest import Floats, Ints, spanning_forest, walk
from .route import lists
from .runs import NeedleCells
from .touring import NEAR, Areas, Tree, orders

# In sides, at each end: an area of several cells can seldom be left by the leg at which the way
# would be shortest, so that once a diagonal takes the place of a side.
DOOR = math.sqrt(2) - 1


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
    areas = Areas(needle, cell, pair[rising], rising, ways, Tree.of(walked), cloth, habit)
    near = lists(count, one, two, NEAR)
    at = np.divmod(_firsts(cells, area, count), cells.pitch)
    return [_along(areas, order, hung, doors) for order in orders(areas, near, *at)]


def _firsts(cells: NeedleCells, area: Ints, count: int) -> Ints:
    """Return the place of the first cell of each area."""
    first = np.empty(count, dtype=np.int64)
    first[area[::-1]] = cells.place[::-1]
    return first


def _along(areas: Areas, order: Ints, hung: Ints, doors: Ints) -> Joined:
    """Return the ways along an order of areas, those by others piece by piece."""
    to = np.flatnonzero(areas.needle[order[1:]] == areas.needle[order[:-1]]) + 1
    one, two = order[to - 1], order[to]
    at = areas.known_way(one, two)
    straight = areas.straight(one, two)
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
