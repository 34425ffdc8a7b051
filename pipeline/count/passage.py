"""The order in which the areas of a needle are worked, and what is carried from one to the next."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .carries import BARE_SHARE, Carries, Reach, carries, crosses_bare
from .forest import Floats, Ints, Walk, walk
from .runs import Cells


@dataclass(frozen=True, eq=False)
class Joined:
    """Areas in the order in which they are worked.

    order: area numbers. carry: (areas,) mm carried to each from the one before, NaN at a new
    start.
    """

    order: Ints
    carry: Floats


def join(
    cells: Cells, area: Ints, covered: NDArray[np.bool_], layers: list[Ints], reach: Reach
) -> Joined:
    """Join areas of the same needle by the shortest carries, and walk along them.

    area: (n,) of each cell, numbered from 0 by needle. covered: of each place, whether any
    thread is stitched there. layers: cells (indices) such that no place comes twice in one.

    An area is left while it is being worked for those that hang on it, and gone on with when
    the needle comes back. So every carry is gone out and back; but where the next area is nearer
    straight away the needle goes there, and after the last it does not come back. Areas that
    are not come back to are passed through, from where they were entered to where they are left.
    """
    count = int(area.max()) + 1 if area.size else 0
    found, tree = carries(cells, area, count, covered, layers, reach)
    walked = walk(tree, found.a, found.b, found.way)
    return Joined(walked.order, _hops(cells, area, covered, found, walked, reach))


def _hops(
    cells: Cells,
    area: Ints,
    covered: NDArray[np.bool_],
    found: Carries,
    walked: Walk,
    reach: Reach,
) -> Floats:
    """Return the mm carried to each area of a walk from the one before, NaN at a new start."""
    hops = np.full(len(walked.order), np.nan)
    if not len(found.a):
        return hops
    entry, exit_ = _doors(cells, area, found, walked)
    across, down = _off(exit_, entry[walked.parent], cells.pitch)
    through = np.where(walked.edge < 0, 0.0, np.hypot(across * reach.width, down * reach.height))
    passed = _passed(walked, through)

    at = np.flatnonzero(~walked.first)
    new, old = walked.order[at], walked.order[at - 1]
    back = walked.depth[old] - walked.depth[walked.parent[new]]
    hop = back + found.way[walked.edge[new]]
    across, down = _off(entry[new], entry[old], cells.pitch)
    # What is left behind for good: the areas from the elder branch to the one just worked.
    straight = reach.way(across, down)
    short = straight <= reach.carry
    straight += passed[old] - passed[_elder(walked)[at]]
    near = np.flatnonzero(short & (straight < hop))
    risky = near[reach.way(across[near], down[near]) > reach.carry * BARE_SHARE]
    bare = crosses_bare(covered, entry[old[risky]], across[risky], down[risky], cells.pitch)
    straight[risky[bare]] = np.inf
    hop[near] = np.minimum(hop[near], straight[near])

    last = np.append(walked.first[1:], True)[at]
    hop[last] += np.minimum(passed[new[last]], walked.depth[new[last]])
    hops[at] = hop
    return hops


def _off(place: Ints, other: Ints, pitch: int) -> tuple[Ints, Ints]:
    """Return how many cells a place lies off another, across and down."""
    return place % pitch - other % pitch, place // pitch - other // pitch


def _doors(cells: Cells, area: Ints, found: Carries, walked: Walk) -> tuple[Ints, Ints]:
    """Return where each area is entered, and where its parent is left for it.

    A root is entered at its first cell.
    """
    count = len(walked.order)
    entry = np.zeros(count, dtype=np.int64)
    entry[area[::-1]] = cells.place[::-1]
    exit_ = entry.copy()
    hung = np.flatnonzero(walked.edge >= 0)
    by = walked.edge[hung]
    onward = found.b[by] == hung
    entry[hung] = np.where(onward, found.enter[by], found.leave[by])
    exit_[hung] = np.where(onward, found.leave[by], found.enter[by])
    return entry, exit_


def _passed(walked: Walk, through: Floats) -> Floats:
    """Return the way through all areas from the root, itself too, up to each area.

    through: the way through the parent of each area.
    """
    count = len(walked.order)
    place = np.empty(count, dtype=np.int64)
    place[walked.order] = np.arange(count)
    change = np.bincount(place, through, minlength=count + 1).astype(np.float64)
    change -= np.bincount(place + walked.branch, through, minlength=count + 1)
    return np.asarray(np.cumsum(change)[place], dtype=np.float64)


def _elder(walked: Walk) -> Ints:
    """Return, at each place of a walk, the node whose branch ends just before.

    Of several the first: the one that hangs where the node at this place hangs.
    """
    count = len(walked.order)
    elder = np.zeros(count + 1, dtype=np.int64)
    node = walked.order[::-1]
    elder[np.arange(count)[::-1] + walked.branch[node]] = node
    return elder
