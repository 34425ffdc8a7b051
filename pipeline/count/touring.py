"""In which order the areas of each needle are worked: from several beginnings, made shorter."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .beginnings import chance, curve, greedy
from .carries import Ways
from .carrying import Cloth, Habit
from .forest import Floats, Ints, Walk
from .route import LEAST, ROUNDS, Length, shorten

NEAR = 8  # areas that are tried next from each
_STARTS = 24  # orders of a needle's areas from which better ones are sought,
_OF_A_NEEDLE = 2_400  # but of so many areas in all of them
_CURVES, _FEW = 4, 24  # of them begin along curves, of so few areas all; one along the tree;
_CHANCE = 5.0  # the rest of the shortest ways, each made longer by at most so many times itself
_COUNTED = 4  # one in so many of them counts, the best
_MANY = 500  # areas of a needle; among more only some are tried, and only what gains
_NEAR_OF_MANY, _LEAST_OF_MANY = 4, 0.5  # sides
_LOOKS = 20_000  # at areas of such a needle, in all rounds; two rounds at the least, eight at most
_TABLE = 2_000_000  # ways between all areas of some needles, known together
_LEVELS = 15  # of areas that follow each other on the walk within 2 to this, all ways are known


@dataclass(frozen=True, eq=False)
class Tree:
    """Ways along a forest: the least depth between two places of a walk, by powers of two."""

    walked: Walk
    place: Ints
    least: Sequence[Floats]

    @staticmethod
    def of(walked: Walk) -> Tree:
        """Return the tree of a walk."""
        order, parent = walked.order, walked.parent
        place = np.empty(len(order), dtype=np.int64)
        place[order] = np.arange(len(order))
        above = parent[order]
        level = np.where(above < 0, -np.inf, walked.depth[above])
        least = [level]
        for power in range(min(_LEVELS, max(len(order) - 1, 1).bit_length() - 1)):
            half = 1 << power
            least.append(np.minimum(least[-1][:-half], least[-1][half:]))
        return Tree(walked, place, least)

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
class Areas:
    """Areas and the ways between them.

    needle: of each. cell: the place of one that is a single cell, otherwise -1. known: the pairs
    of areas (see `_pair`) between which the best way is known, rising; `at` which of `ways`.
    """

    needle: Ints
    cell: Ints
    known: Ints
    at: Ints
    ways: Ways
    tree: Tree
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


def orders(areas: Areas, near: Ints, row: Ints, column: Ints) -> list[Ints]:
    """Return orders in which to work the areas of all needles, the best first.

    near: (n, k) areas near each, -1 where there are fewer. row, column: where each lies. Of needles
    with many areas fewer orders come back than of others.
    """
    walked = areas.tree.walked.order
    by_tree = walked[np.argsort(areas.needle[walked], kind="stable")]
    many = np.bincount(areas.needle)
    bounds = np.concatenate(([0], np.cumsum(many)))
    ranked: list[list[Ints]] = [[] for _ in range(_STARTS // _COUNTED)]
    for some in _together(many):
        part = by_tree[bounds[some.start] : bounds[some.stop]]
        for rank, order in enumerate(_shorter(areas, part, near, (row, column))):
            ranked[rank].append(order)
    return [np.concatenate(each) for each in ranked if each]


def _together(many: Ints) -> Iterator[range]:
    """Yield numbers of needles of which the ways are sought together; many: areas of each."""
    first, several, most = 0, 0, 0
    for number, each in enumerate(many.tolist()):
        wide = max(most, each)
        if number > first and (wide > _MANY or (several + each) * wide > _TABLE):
            yield range(first, number)
            first, several, wide = number, 0, each
        several, most = several + each, wide
    yield range(first, len(many))


def _shorter(areas: Areas, by_tree: Ints, near: Ints, at: tuple[Ints, Ints]) -> list[Ints]:
    """Return orders in which to work the areas of some needles, the best first.

    by_tree: the areas along the tree, needle by needle. at: row and column of each area.
    """
    if not len(by_tree):
        return []
    base = np.sort(by_tree)  # numbered by needle
    needle = np.cumsum(np.diff(areas.needle[base], prepend=areas.needle[base[0]]) != 0)
    row, column = at[0][base], at[1][base]
    many = np.bincount(needle)
    copies = np.clip(_OF_A_NEEDLE // many, 1, _STARTS)
    copy, again = np.nonzero(np.arange(copies.max())[:, None] < copies[needle])
    number = np.full((int(copies.max()), len(base)), -1, dtype=np.int64)
    number[copy, again] = np.arange(len(again))
    block = copy * len(many) + needle[again]  # from needle to needle no thread goes
    begun = np.searchsorted(base, by_tree)
    side = min(areas.habit.width, areas.habit.height)
    least, rounds, nearest = LEAST, ROUNDS, NEAR
    large = len(many) == 1 and many[0] > _MANY
    if large:
        length = _asked(areas, base)
        least, nearest = _LEAST_OF_MANY * side, _NEAR_OF_MANY
        rounds = min(max(_LOOKS // len(base), 2), 8)
        other = curve(needle, row, column, 1)
        if _whole(areas, base[other]) < _whole(areas, base[begun]):
            begun = other
    else:
        length = _table(areas, base, needle, again)
    near = near[base, :nearest]
    near = np.where(near >= 0, np.searchsorted(base, near), -1)
    starts = [begun]
    few = many[needle] <= _FEW
    for turn in range(1, len(number)):
        there = np.flatnonzero((number[turn] >= 0) & (few | (turn <= _CURVES)))
        if there.size:
            along = there[curve(needle[there], row[there], column[there], turn)]
            starts.append(number[turn, along])
    joined = (copy > _CURVES) & ~few[again]
    if joined.any():
        one, two, way = _ways(near, number, (row, column), ~few, length)
        along = curve(block, row[again], column[again], 0)
        starts.append(greedy(one, two, way, along[joined[along]], block, length))
    near = near[again]
    beside = np.where(near >= 0, number[copy[:, None], near], -1)
    order = shorten(np.concatenate(starts), block, beside, length, least, rounds)

    to = np.flatnonzero(np.diff(block[order]) == 0) + 1
    way = length(order[to - 1], order[to])
    whole = np.full((len(number), len(many)), np.inf)
    whole.ravel()[block] = 0
    whole += np.bincount(block[order[to]], way, minlength=whole.size).reshape(whole.shape)
    rank = np.argsort(np.argsort(np.round(whole, 6), axis=0, kind="stable"), axis=0).ravel()
    rank_of = rank[block[order]]
    kept = np.flatnonzero(rank_of < np.maximum(copies[needle[again[order]]] // _COUNTED, 1))
    kept = kept[np.lexsort((needle[again[order[kept]]], rank_of[kept]))]
    ends = np.flatnonzero(np.diff(rank_of[kept])) + 1
    return np.split(base[again[order[kept]]], ends)


def _ways(
    near: Ints, number: Ints, at: tuple[Ints, Ints], wanted: NDArray[np.bool_], length: Length
) -> tuple[Ints, Ints, Floats]:
    """Return the ways to begin with, each time others of them by chance longer."""
    row, column = at
    one, rank = np.nonzero((near >= 0) & wanted[:, None])
    two = near[one, rank]
    pair = np.unique(np.minimum(one, two) * len(near) + np.maximum(one, two))
    one, two = np.divmod(pair, len(near))
    way = length(one, two)
    ones, twos, ways = [], [], []
    for turn in range(_CURVES + 1, len(number)):
        there = np.flatnonzero(number[turn, one] >= 0)
        a, b = one[there], two[there]
        longer = chance(row[a] * 997 + row[b], column[a] * 997 + column[b], turn)
        ones.append(number[turn, a])
        twos.append(number[turn, b])
        ways.append(way[there] * (1 + _CHANCE * longer))
    return np.concatenate(ones), np.concatenate(twos), np.concatenate(ways)


def _whole(areas: Areas, order: Ints) -> float:
    return float(areas.length(order[:-1], order[1:]).sum())


def _asked(areas: Areas, base: Ints) -> Length:
    """Return how long the ways between areas are, reckoned each time; base: of each place."""

    def length(one: Ints, two: Ints) -> Floats:
        way = np.zeros(len(one))
        real = np.flatnonzero((one < len(base)) & (two < len(base)))
        way[real] = areas.length(base[one[real]], base[two[real]], sure=False)
        return way

    return length


def _table(areas: Areas, base: Ints, needle: Ints, again: Ints) -> Length:
    """Return how long the ways between all areas of some needles are, looked up in a table.

    base: areas, needle by needle; needle: of each. again: of each place, which of them it is.
    """
    many = np.bincount(needle)
    begins = np.cumsum(many) - many
    wide = int(many.max()) + 1  # in front stands what is no place
    one, column = np.nonzero(np.arange(wide - 1) < many[needle][:, None])
    two = begins[needle[one]] + column
    half = one < two
    one, two = one[half], two[half]
    table = np.zeros((len(base) + 1, wide))
    way = areas.length(base[one], base[two])
    rank = np.arange(len(base)) - begins[needle] + 1
    table[one + 1, rank[two]] = table[two + 1, rank[one]] = way
    flat = table.ravel()
    row_of, column_of = np.zeros((2, 2 * len(again) + 2), dtype=np.int64)
    row_of[: len(again)] = (again + 1) * wide
    column_of[: len(again)] = rank[again]

    def length(one: Ints, two: Ints) -> Floats:
        way: Floats = flat[row_of[one] + column_of[two]]
        return way

    return length
