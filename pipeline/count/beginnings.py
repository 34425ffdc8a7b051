"""Orders of places to begin with: along a curve, or from the shortest ways joined together."""

from __future__ import annotations

import numpy as np

from .forest import Floats, Ints
from .route import Length


def curve(needle: Ints, row: Ints, column: Ints, turn: int) -> Ints:
    """Return the order of places along a curve that fills the plane, needle by needle.

    The curve is D. Hilbert's (Mathematische Annalen 38, 1891). It lies still, so that a place more
    leaves the order of the others alone; each turn lays it elsewhere.
    """
    x, y = (column, row) if turn % 2 else (row, column)
    x, y = x + turn * 37 % 256, y + turn * 101 % 256
    bits = int(max(x.max(), y.max())).bit_length()
    bits += bits % 2  # so that it lies the same way however far it leads
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


def chance(row: Ints, column: Ints, turn: int) -> Floats:
    """Return a number from 0 to 1 for each place and turn, the same always."""
    mixed = (row * 7919 + column * 73 + turn * 104_729) * 2_654_435_761 % 2**32
    return (mixed ^ mixed >> 16) * 2_246_822_519 % 2**32 / 2**32


def greedy(one: Ints, two: Ints, way: Floats, along: Ints, block: Ints, length: Length) -> Ints:
    """Return places in an order made of the shortest ways, block by block.

    Way after way is taken that joins the ends of two stretches; since only the shortest of both is
    ever taken, many can be at once. Where none is left, ends that follow each other on a curve are
    joined. one, two, way: near places and how far apart they are. along: the places that are
    wanted, block by block, in the order of a curve. block: of every place.
    """
    other = np.arange(len(block))  # the other end of the stretch that ends at each place
    links = np.full((len(block), 2), -1)
    free = np.full(len(block), 2)  # ways that may still lead from each
    ends = along
    while True:
        # Rounded, so that what is alike stays in the order of the places.
        order = np.argsort(np.round(way, 6), kind="stable")
        one, two = one[order], two[order]
        while True:
            a, b = np.minimum(one, other[one]), np.minimum(two, other[two])
            open_ = np.flatnonzero((free[one] > 0) & (free[two] > 0) & (a != b))
            if not open_.size:
                break
            one, two, a, b = one[open_], two[open_], a[open_], b[open_]
            # Of several values put in one place numpy keeps the last: backwards, the best way.
            rank = np.arange(len(one))
            best, from_b = np.full((2, len(block)), len(one))
            best[a[::-1]] = from_b[b[::-1]] = rank[::-1]
            np.minimum(best, from_b, out=best)
            taken = np.flatnonzero((best[a] == rank) & (best[b] == rank))
            for here, there in ((one[taken], two[taken]), (two[taken], one[taken])):
                free[here] -= 1
                links[here, free[here]] = there
            a, b = other[one[taken]], other[two[taken]]
            other[a], other[b] = b, a
        ends = ends[free[ends] > 0]
        one, two = ends[:-1], ends[1:]
        joins = np.flatnonzero((block[one] == block[two]) & (other[one] != two))
        one, two = one[joins], two[joins]
        if not joins.size:
            break
        way = length(one, two)
    heads = ends[np.diff(block[ends], prepend=-1) != 0]
    left, right = links.T.tolist()
    order_: list[int] = []
    for head in heads.tolist():
        before, here = -1, head
        while here >= 0:
            order_.append(here)
            before, here = here, left[here] if right[here] == before else right[here]
    return np.array(order_, dtype=np.int64)
