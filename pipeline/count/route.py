"""A way through many places made shorter: 2-opt and or-opt in lists of near ones, many at once.

Both are common knowledge of the travelling salesman's problem (G. A. Croes, Operations Research 6,
1958: two edges are exchanged; I. Or, 1976, from memory: up to three places are moved together).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

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
        before = tour.copy()
        woken: list[int] = []
        some = False
        moves = _moves(awake, near, (tour, where, block, edge), length, least)
        for move in zip(*moves.tolist(), strict=True):
            made = _make(tour, where, at, move)
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
    a: Ints, near: Ints, at_hand: tuple[Ints, Ints, Ints, Floats], length: Length, least: float
) -> Ints:
    """Return the best move of each place, the best first.

    (6, m) places a, b, c, d, e, f: the ways a-b and c-d are given up for a-c and b-d; or,
    where there is an e, the stretch from a to e is taken from between b and f and set between c
    and d.
    """
    tour, where, block, edge = at_hand
    of, rank = np.nonzero(near[a] >= 0)
    near_by = near[a[of], rank]
    new = length(a[of], near_by)
    gains: list[Floats] = []
    moves: list[Ints] = []
    for side in (1, -1):
        gained = edge[where[a] - (side < 0)][of] - new
        some = np.flatnonzero(gained > least)
        start, c, gained = of[some], near_by[some], gained[some]
        b = tour[where[a] + side][start]
        back = (where[a][start] - where[c]) * side  # so far behind a lies c
        for onward in (1, -1):
            then = where[c] + onward * side
            d = tour[then]
            given = gained + edge[np.minimum(where[c], then)]
            if onward == 1:
                some = np.flatnonzero(given > least)
                none = np.full(len(some), -1)
                gains.append(given[some] - length(b[some], d[some]))
                moves.append(np.stack((a[start[some]], b[some], c[some], d[some], none, none)))
            for long in range(SEGMENT):
                last = where[a] - side * long
                e, f = tour.take(last, mode="clip"), tour.take(last - side, mode="clip")
                left = edge.take(np.minimum(last, last - side), mode="clip")
                left[block[e] != block[a]] = -np.inf
                gain = given + left[start]
                elsewhere = (back < 0) | (back > long)
                elsewhere &= (back < onward) | (back > long + onward)
                # First what is given up, then what is taken up: most are worth nothing even so.
                some = np.flatnonzero((gain > least) & elsewhere)
                gain = gain[some] - length(e[start[some]], d[some])
                worth = np.flatnonzero(gain > least)
                some, ends = some[worth], start[some[worth]]
                gains.append(gain[worth] - length(b[some], f[ends]))
                moves.append(np.stack((a[ends], b[some], c[some], d[some], e[ends], f[ends])))
    gain, move = np.concatenate(gains), np.concatenate(moves, axis=1)
    some = np.flatnonzero(gain > least)
    # Rounded, so that what is alike stays in the order of the places.
    order = some[np.argsort(-np.round(gain[some], 6), kind="stable")]
    _, first_of = np.unique(move[0, order], return_index=True)
    return move[:, order[np.sort(first_of)]]


def _make(tour: Ints, where: Ints, at: Lookup, move: Sequence[int]) -> bool:
    """Turn a stretch round or move it elsewhere, if what is about it still lies so."""
    a, b, c, d = at[move[0]], at[move[1]], at[move[2]], at[move[3]]
    side = b - a
    if abs(side) != 1 or abs(c - d) != 1:
        return False
    if move[4] < 0:
        if side != d - c:
            return False
        _, first, last, _ = sorted((a, b, c, d))
        if last - first > LONGEST:
            return False
        new = tour[first : last + 1][::-1].copy()
    else:
        e, f = at[move[4]], at[move[5]]
        low, high = min(a, e), max(a, e)
        if f != e - side or not 0 <= (a - e) * side < SEGMENT:
            return False
        if low <= c <= high or low <= d <= high or max(abs(c - low), abs(c - high)) > LONGEST:
            return False
        stretch = tour[low : high + 1]
        if (c < d) != (a <= e):
            stretch = stretch[::-1]
        if c > high:
            first, last = low, min(c, d)
            new = np.concatenate((tour[high + 1 : last + 1], stretch))
        else:
            first, last = max(c, d), high
            new = np.concatenate((stretch, tour[first:low]))
    tour[first : last + 1] = new
    where[new] = np.arange(first, last + 1)
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
