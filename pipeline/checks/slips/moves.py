"""Moves: a turn and a shift that carry one place of a grid onto another that looks like it.

Every two windows that look alike speak for one move. A repeat, a mirror image or a figure drawn
again has many windows that speak for the same.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .looks import RADIUS, Hashes, Windows
from .orientations import AFTER, BACK, MATRICES

LIVELY = 12  # of 40 pairs of neighbours that differ, in a window that may speak for a move
LEAST_VOTES = 4  # windows that speak for a move
MOST_MOVES = 1000  # those with the most votes are followed
MOST_WINDOWS = 200_000  # of those that look like another
LEAST_SHIFT = 4  # cells: a slope or a texture looks like itself a step further on

Numbers = NDArray[np.int64]
_BITS = 18
_HALF = 1 << 20  # more than any row or column, even after a turn


@dataclass(frozen=True)
class Move:
    """Carries cell (row, column) to MATRICES[way] @ (row, column) + shift.

    top, left, bottom, right: where the windows lie that speak for it, end not included.
    """

    way: int
    shift: tuple[int, int]
    votes: int
    top: int
    left: int
    bottom: int
    right: int


def moves(seen: Windows) -> list[Move]:
    """Return the moves that windows speak for, those with the most votes first."""
    kept, look = _looking_alike(seen.look.ravel()[seen.lively])
    place = seen.lively[kept]
    way = seen.way.ravel()[place].astype(np.int64)
    # Neighbours in order, whichever way they lie, see mirror images; those that lie the same way
    # see the step of a repeat.
    one, other = (
        np.concatenate(each)
        for each in zip(_neighbours(look), _neighbours(look * len(MATRICES) + way), strict=True)
    )
    one, other = np.minimum(one, other), np.maximum(one, other)
    ways = AFTER[BACK[way[other]], way[one]]
    width = seen.look.shape[1]
    start = np.stack(np.divmod(place[one], width), axis=1)
    end = np.stack(np.divmod(place[other], width), axis=1)
    shift = end - np.einsum("nij,nj->ni", MATRICES[ways], start)
    return _counted(ways, shift, start)


def _looking_alike(looks: Hashes) -> tuple[Numbers, Numbers]:
    """Return which windows share their look with another, and the number of each one's look."""
    in_order = np.sort(looks)
    same = in_order[1:] == in_order[:-1]
    several = np.unique(in_order[1:][same])
    part = -(-int(np.count_nonzero(same)) // MOST_WINDOWS)
    if part > 1:
        # A hash is as good as a die: whole groups are left out, and every move keeps its share.
        several = several[several % np.uint64(part) == 0]
    if not several.size:
        return np.empty(0, np.int64), np.empty(0, np.int64)
    # Most windows of a picture are told from all others by a few bits.
    known = np.zeros(1 << _BITS, np.bool_)
    known[several >> np.uint64(64 - _BITS)] = True
    maybe = np.flatnonzero(known[looks >> np.uint64(64 - _BITS)])
    number = np.searchsorted(several, looks[maybe]).clip(max=several.size - 1)
    sure = several[number] == looks[maybe]
    return maybe[sure], number[sure]


def _neighbours(group: Numbers) -> tuple[Numbers, Numbers]:
    """Return each two members of a group that follow one another, and the first with the last."""
    order = np.argsort(group, kind="stable")
    same = group[order[1:]] == group[order[:-1]]
    ends = np.flatnonzero(np.concatenate([[True], ~same, [True]]))
    first, last = ends[:-1], ends[1:] - 1
    several = last - first >= 2
    return (
        np.concatenate([order[:-1][same], order[first[several]]]),
        np.concatenate([order[1:][same], order[last[several]]]),
    )


def _counted(ways: Numbers, shift: Numbers, start: Numbers) -> list[Move]:
    far = (ways != 0) | (np.abs(shift).max(axis=1, initial=0) >= LEAST_SHIFT)
    ways, shift, start = ways[far], shift[far], start[far]
    code = (ways * 2 * _HALF + shift[:, 0] + _HALF) * 2 * _HALF + shift[:, 1] + _HALF
    _, first, which, votes = np.unique(
        code, return_index=True, return_inverse=True, return_counts=True
    )
    low = np.full((len(votes), 2), _HALF)
    high = np.zeros((len(votes), 2), np.int64)
    np.minimum.at(low, which, start)
    np.maximum.at(high, which, start)
    order = np.argsort(-votes, kind="stable")[:MOST_MOVES]
    return [
        Move(
            int(ways[first[each]]),
            (int(shift[first[each], 0]), int(shift[first[each], 1])),
            int(votes[each]),
            max(0, int(low[each, 0]) - RADIUS),
            max(0, int(low[each, 1]) - RADIUS),
            int(high[each, 0]) + RADIUS + 1,
            int(high[each, 1]) + RADIUS + 1,
        )
        for each in order.tolist()
        if votes[each] >= LEAST_VOTES
    ]
