"""A way through many places made shorter: 2-opt and or-opt in lists of near ones, many at once.

Both are common knowledge of the travelling salesman's problem (G. A. Croes, Operations Research 6,
1958: two edges are exchanged; I. Or, 1976, from memory: up to three places are moved together).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from .forest import Floats, Ints

ROUNDS = 60  # looks round all places that may still gain
LONGEST = 1_000  # places in a stretch that is turned round or moved
SEGMENT = 3  # places that are moved together
LEAST = 1e-6

Length = Callable[[Ints, Ints], Floats]
Lookup = Sequence[int]


def shorten(
    order: Ints, block: Ints, near: Ints, length: Length, least: float = LEAST, rounds: int = ROUNDS
) -> Ints:
    """Return places in an order in which the way through them is shorter, if one is found.

    order: (n,) of places 0 to n - 1. block: of each place, which of several ways it belongs to;
    in `order` they follow each other. near: (n, k) other places of its block near each, -1 where
    there are fewer. length(a, b): of the ways between places, 0 where either is no place, which
    numbers from n say. least: what a change has to gain.
    """
    n = len(order)
    begins = np.flatnonzero(np.diff(block[order], prepend=-1, append=-1))
    # Between blocks, before the first and after the last stands what is no place.
    tour = np.insert(order, begins, np.arange(n, n + len(begins)))
    where = np.empty(len(tour), dtype=np.int64)
    where[tour] = np.arange(len(tour))
    block = np.append(block, np.full(len(begins), -1))
    at = where.data  # one place of it is sooner looked up so
    edge = length(tour[:-1], tour[1:])  # from each to the next
    awake = np.arange(n)
    for _ in range(rounds):
        moves = _moves(awake, near, (tour, where, block, edge), length, least)
        before = tour.copy()
        woken: list[int] = []
        some = False
        for move in moves.tolist():
            made = (
                _exchange(tour, where, at, move) if move[4] < 0 else _shift(tour, where, at, move)
            )
            some |= made
            woken += move if made else move[:1]
        if not some:
            break
        awake = np.unique(woken)
        awake = awake[(awake >= 0) & (awake < n)]
        fresh = tour != before
        fresh = np.flatnonzero(fresh[:-1] | fresh[1:])
        edge[fresh] = length(tour[fresh], tour[fresh + 1])
    return tour[tour < n]


def _moves(
    a: Ints,
    near: Ints,
    at_hand: tuple[Ints, Ints, Ints, Floats],
    length: Length,
    least: float,
) -> Ints:
    """Return the best move of each place, the best first.

    Each is (m, 6) places a, b, c, d, e, f: the ways a-b and c-d are given up for a-c and b-d; or,
    where there is an e, the stretch from a to e is taken from between b and f and set between c
    and d.
    """
    tour, where, block, edge = at_hand
    start = np.repeat(a, near.shape[1])
    to = near[a].ravel()
    start, to = start[to >= 0], to[to >= 0]
    new = length(start, to)
    gains: list[Floats] = []
    ends: list[Ints] = []
    for side in (1, -1):
        old = np.zeros(len(tour))
        old[a] = edge[where[a] - (side < 0)]
        gained = old[start] - new
        worth = np.flatnonzero(gained > least)
        for gain, places in _ends(
            start[worth], to[worth], gained[worth], side, (tour, where, block)
        ):
            gains.append(gain)
            ends.append(places)
    gain, end = np.concatenate(gains), np.concatenate(ends)
    # First what is given up, then what is taken up: most are worth nothing even without it.
    _, b, c, d, e, f = end.T
    shifted = e >= 0
    gain += edge[np.minimum(where[c], where[d])]
    gain[shifted] += edge[np.minimum(where[e[shifted]], where[f[shifted]])]
    gain -= length(np.where(shifted, e, b), d)
    some = np.flatnonzero(gain > least)
    gain, end = gain[some], end[some]
    shifted = end[:, 4] >= 0
    gain[shifted] -= length(end[shifted, 1], end[shifted, 5])
    some = np.flatnonzero(gain > least)
    gain, end = gain[some], end[some]
    # Rounded, so that what is alike stays in the order of the places.
    order = np.argsort(-np.round(gain, 6), kind="stable")
    _, first_of = np.unique(end[order, 0], return_index=True)
    return end[order[np.sort(first_of)]]


def _ends(
    a: Ints, c: Ints, gained: Floats, side: int, at_hand: tuple[Ints, Ints, Ints]
) -> Iterator[tuple[Floats, Ints]]:
    """Yield what may be done so that c comes beside a, not what is there on one side.

    gained: on a-c as against that. Gives that again, for those that can be done, with the places.
    """
    tour, where, block = at_hand
    b, d = tour[where[a] + side], tour[where[c] + side]
    apart = np.flatnonzero(c != b)
    none = np.full(len(apart), -1)
    yield gained[apart], np.stack([a[apart], b[apart], c[apart], d[apart], none, none], axis=1)
    for long in range(1, SEGMENT + 1):
        last = where[a] - side * (long - 1)
        inside = (last >= 0) & (last < len(tour))
        last = np.where(inside, last, where[a])
        inside &= block[tour[last]] == block[a]
        low, high = np.minimum(where[a], last), np.maximum(where[a], last)
        for following in (1, -1):
            at, then = where[c], where[c] + following
            free = ((at < low) | (at > high)) & ((then < low) | (then > high))
            some = np.flatnonzero(inside & free)
            yield (
                gained[some],
                np.stack(
                    [
                        a[some],
                        b[some],
                        c[some],
                        tour[then[some]],
                        tour[last[some]],
                        tour[last[some] - side],
                    ],
                    axis=1,
                ),
            )


def _exchange(tour: Ints, where: Ints, at: Lookup, move: list[int]) -> bool:
    """Turn a stretch round, if the two ways are still there and lie the same way."""
    a, b, c, d = at[move[0]], at[move[1]], at[move[2]], at[move[3]]
    if b - a != d - c or abs(b - a) != 1:
        return False
    low, high = (min(a, c) + 1, max(a, c)) if b > a else (min(a, c), max(a, c) - 1)
    if high - low > LONGEST:
        return False
    tour[low : high + 1] = tour[low : high + 1][::-1].copy()
    where[tour[low : high + 1]] = np.arange(low, high + 1)
    return True


def _shift(tour: Ints, where: Ints, at: Lookup, move: list[int]) -> bool:
    """Move a stretch elsewhere, if what is about it is still there."""
    a, b, c, d, e, f = (at[each] for each in move)
    side = b - a
    low, high = min(a, e), max(a, e)
    inside = low <= c <= high or low <= d <= high
    if abs(side) != 1 or f != e - side or (a - e) * side < 0 or abs(c - d) != 1 or inside:
        return False
    if high - low >= SEGMENT or max(abs(c - low), abs(c - high)) > LONGEST:
        return False
    stretch = tour[low : high + 1].copy()
    if (c < d) != (a <= e if low != high else True):
        stretch = stretch[::-1]
    left = min(c, d)
    if left > high:
        tour[low : left - (high - low)] = tour[high + 1 : left + 1].copy()
        tour[left - (high - low) : left + 1] = stretch
        where[tour[low : left + 1]] = np.arange(low, left + 1)
    else:
        tour[left + 1 + (high - low) + 1 : high + 1] = tour[left + 1 : low].copy()
        tour[left + 1 : left + 1 + (high - low) + 1] = stretch
        where[tour[left + 1 : high + 1]] = np.arange(left + 1, high + 1)
    return True


def lists(count: int, a: Ints, b: Ints, most: int) -> Ints:
    """Return the places near each, as a table (count, most), from pairs with the nearest first."""
    one, two = np.concatenate((a, b)), np.concatenate((b, a))
    rank = np.tile(np.arange(len(a)), 2)
    order = np.lexsort((rank, one))
    one, two = one[order], two[order]
    first = np.searchsorted(one, np.arange(count))
    at = np.arange(len(one)) - first[one]
    table: NDArray[np.int64] = np.full((count, most), -1, dtype=np.int64)
    table[one[at < most], at[at < most]] = two[at < most]
    return table
