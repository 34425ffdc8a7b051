"""In which order the areas of each needle are worked, and the ways on the back between them.

A needle may leave an area while it is being worked, for those that hang on it, and go on with it
when it comes back. So it passes through an area at no cost, and from any area to another it may
take a way by others: along the tree of the shortest ways.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from .carries import Ways, between
from .carrying import Cloth, Habit
from .forest import Floats, Ints, Walk, spanning_forest, walk
from .route import LEAST, ROUNDS, Length, lists, shorten
from .runs import NeedleCells

# In sides, at each end: an area of several cells can seldom be left by the leg at which the way
# would be shortest, so that once a diagonal takes the place of a side.
DOOR = math.sqrt(2) - 1
_STARTS = 8  # orders from which better ones are sought, of which the better half counts
_OF_A_NEEDLE = 1_000  # its areas in all of them, if there is more than one
_NEAR = 8  # areas that are tried next from each
_MANY = 500  # areas of a needle; among more only some are tried, and only what gains
_NEAR_OF_MANY, _LEAST_OF_MANY = 4, 0.5  # sides
_LOOKS = 20_000  # at areas of such a needle, in all rounds; two rounds at the least, eight at most
_TABLE = 2_000_000  # ways between all areas of some needles, known together
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
    of areas (see `_pair`) between which the best way is known, rising; `at` which of `ways`.
    """

    needle: Ints
    cell: Ints
    known: Ints
    at: Ints
    ways: Ways
    tree: _Tree
    cloth: Cloth
    habit: Habit

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

    def straight(self, one: Ints, two: Ints) -> Floats:
        """Return what the straight ways take, endless where an area is no single cell."""
        way = np.full(len(one), np.inf)
        single = np.flatnonzero((self.cell[one] >= 0) & (self.cell[two] >= 0))
        a, b = one[single], two[single]
        across, down = self.off(a, b)
        bare = self.cloth.bare(self.cell[a], across, down, self.habit.bare)
        way[single] = self.habit.price(self.habit.way(across, down), bare)
        return way

    def length(self, one: Ints, two: Ints, *, sure: bool = True) -> Floats:
        """Return what the ways between areas take, in mm.

        sure: otherwise a way by other areas is looked for only where the straight one is farther
        than twice what is always carried.
        """
        way = np.minimum(self.straight(one, two), self.habit.ends)
        some = np.flatnonzero((self.cell[one] < 0) | (self.cell[two] < 0))
        at = self.known_way(one[some], two[some])
        known = some[at >= 0]
        way[known] = np.minimum(way[known], self.ways.price[at[at >= 0]])
        some = np.flatnonzero(sure | (way > 2 * self.habit.carry))
        way[some] = np.minimum(way[some], self.tree.way(one[some], two[some]))
        return way


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
    areas = _Areas(needle, cell, pair[rising], rising, ways, _Tree.of(walked), cloth, habit)
    near = lists(count, one, two, _NEAR)
    at = np.divmod(_firsts(cells, area, count), cells.pitch)
    by_tree = walked.order[np.argsort(needle[walked.order], kind="stable")]
    many = np.bincount(needle)
    bounds = np.concatenate(([0], np.cumsum(many)))
    orders: list[list[Ints]] = [[] for _ in range(max(_STARTS // 2, 1))]
    for some in _together(many):
        part = by_tree[bounds[some.start] : bounds[some.stop]]
        for rank, order in enumerate(_shorter(areas, part, near, at)):
            orders[rank].append(order)
    return [_along(areas, np.concatenate(each), hung, doors) for each in orders if each]


def _together(many: Ints) -> Iterator[range]:
    """Yield numbers of needles of which the ways are sought together; many: areas of each."""
    first, table = 0, 0
    for number, each in enumerate(many.tolist()):
        if number > first and (each > _MANY or table + each**2 > _TABLE or table < 0):
            yield range(first, number)
            first, table = number, 0
        table = -1 if each > _MANY else table + each**2
    yield range(first, len(many))


def _shorter(areas: _Areas, by_tree: Ints, near: Ints, at: tuple[Ints, Ints]) -> list[Ints]:
    """Return orders in which to work the areas of some needles, the best first.

    by_tree: the areas along the tree, needle by needle. at: row and column of each area.
    """
    if not len(by_tree):
        return []
    base = np.sort(by_tree)  # numbered by needle
    needle = areas.needle[base]
    ordinal = np.cumsum(np.diff(needle, prepend=needle[0]) != 0)
    many = np.bincount(ordinal)
    copies = np.clip(_OF_A_NEEDLE // many, 1, _STARTS)[ordinal]
    copy, again = np.nonzero(np.arange(copies.max())[:, None] < copies)
    number = np.full((int(copies.max()), len(base)), -1, dtype=np.int64)
    number[copy, again] = np.arange(len(again))
    lone = len(many) == 1 and many[0] > _MANY
    starts = []
    for turn in range(len(number)):
        there = np.searchsorted(base, by_tree)
        if turn:
            there = there[copies[there] > turn]
            there = there[_curve(ordinal[there], at[0][base[there]], at[1][base[there]], turn)]
        starts.append(number[turn, there])
    near = near[base, : _NEAR_OF_MANY if lone else _NEAR]
    near = np.where(near >= 0, np.searchsorted(base, near), -1)[again]
    beside = np.where(near >= 0, number[copy[:, None], near], -1)
    block = copy * len(many) + ordinal[again]  # from needle to needle no thread goes

    if lone:
        curve = _curve(ordinal, *(each[base] for each in at), 1)
        starts = [
            min(
                starts[0],
                curve,
                key=lambda order: areas.length(base[order[:-1]], base[order[1:]]).sum(),
            )
        ]

        def length(one: Ints, two: Ints) -> Floats:
            way = np.zeros(len(one))
            real = np.flatnonzero((one < len(again)) & (two < len(again)))
            way[real] = areas.length(base[one[real]], base[two[real]], sure=False)
            return way
    else:
        length = _table(areas, base, many, again)
    side = min(areas.habit.width, areas.habit.height)
    least, rounds = LEAST, ROUNDS
    if lone:
        least, rounds = _LEAST_OF_MANY * side, min(max(_LOOKS // len(base), 2), 8)
    order = shorten(np.concatenate(starts), block, beside, length, least, rounds)
    # The better half of each needle's, the best first.
    to = np.flatnonzero(block[order[1:]] == block[order[:-1]]) + 1
    whole = np.bincount(
        block[order[to]], length(order[to - 1], order[to]), minlength=block.max() + 1
    )
    of_block = np.arange(len(whole))
    ranked = np.lexsort((of_block, np.round(whole, 6), of_block % len(many)))
    ranked = ranked[np.isin(ranked, block)]
    begin = np.searchsorted(ranked % len(many), np.arange(len(many)))
    rank = np.full(len(whole), -1)
    rank[ranked] = np.arange(len(ranked)) - begin[ranked % len(many)]
    rank_of = rank[block[order]]
    kept = rank_of < np.maximum(copies[again[order]] // 2, 1)
    chosen = order[kept]
    by_rank = np.lexsort((ordinal[again[chosen]], rank_of[kept]))
    chosen, rank_of = chosen[by_rank], rank_of[kept][by_rank]
    return [base[again[each]] for each in np.split(chosen, np.flatnonzero(np.diff(rank_of)) + 1)]


def _table(areas: _Areas, base: Ints, many: Ints, again: Ints) -> Length:
    """Return how long the ways between all areas of some needles are, looked up in a table.

    base: areas, needle by needle, so many of each. again: of each place, which of them it is.
    """
    wide = many + 1  # in front stands what is no place
    begins = np.cumsum(many) - many
    rows = np.concatenate(([0], np.repeat(wide, many)))
    rows[0] = wide.max()
    row = np.cumsum(rows) - rows
    one = np.repeat(np.arange(len(base)), np.repeat(many, many))
    two = np.arange(len(one)) - np.repeat((np.cumsum(many**2) - many**2), many**2)
    two = two % np.repeat(many, many**2) + np.repeat(begins, many**2)
    table = np.zeros(int(rows.sum()))
    column = np.arange(len(base)) - np.repeat(begins, many) + 1
    half = one < two
    one, two = one[half], two[half]
    way = areas.length(base[one], base[two])
    table[row[one + 1] + column[two]] = way
    table[row[two + 1] + column[one]] = way
    none = np.zeros(2 * len(again) + 2, dtype=np.int64)
    row_of, column_of = none, none.copy()
    row_of[: len(again)] = row[again + 1]
    column_of[: len(again)] = column[again]

    def length(one: Ints, two: Ints) -> Floats:
        return table[row_of[one] + column_of[two]]

    return length


def _firsts(cells: NeedleCells, area: Ints, count: int) -> Ints:
    """Return the place of the first cell of each area."""
    first = np.empty(count, dtype=np.int64)
    first[area[::-1]] = cells.place[::-1]
    return first


def _curve(needle: Ints, row: Ints, column: Ints, turn: int) -> Ints:
    """Return the order of places along a curve that fills the plane, needle by needle.

    The curve is D. Hilbert's (Mathematische Annalen 38, 1891). It lies still, so that a place more
    leaves the order of the others alone; each turn lays it elsewhere.
    """
    x, y = (column, row) if turn % 2 else (row, column)
    x, y = x + turn * 37 % 256, y + turn * 101 % 256
    bits = int(max(x.max(), y.max())).bit_length()
    along = np.zeros(len(x), dtype=np.int64)
    for bit in range(bits - 1, -1, -1):
        right, down = (x >> bit) & 1, (y >> bit) & 1
        along += (right * 3 ^ down) << (2 * bit)
        turned = (down == 0) & (right == 1)
        full = (1 << bit) - 1
        x, y = (
            np.where(turned, full - (x & full), x & full),
            np.where(turned, full - (y & full), y & full),
        )
        x, y = np.where(down == 0, y, x), np.where(down == 0, x, y)
    return np.lexsort((along, needle))


def _along(areas: _Areas, order: Ints, hung: Ints, doors: Ints) -> Joined:
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
