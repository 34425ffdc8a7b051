"""Double running: a way along stitches on which the front and the back of the fabric alternate."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray


def tours(stitches: NDArray[np.int64]) -> Iterator[list[int]]:
    """Yield a tour for each connected piece: the holes that the needle goes through, in order.

    stitches: (n, 2), the two holes of each, none twice. Every second way from hole to hole lies on
    the front, beginning with the first. A tour goes along every stitch twice, once on the front and
    once on the back, and ends where it began. For that it goes from hole to hole that is new, turns
    back at once from one that is not, and at last goes home the way it came: what lies between the
    two times that it takes a stitch is then an even number of ways. (To go round a ring of stitches
    twice is a tour as well, but with every second stitch twice on the front.)
    """
    holes, ends = np.unique(stitches, return_inverse=True)
    pairs = ends.reshape(-1, 2)
    order = np.argsort(pairs.ravel(), kind="stable")
    bounds = np.searchsorted(pairs.ravel()[order], np.arange(len(holes) + 1)).tolist()
    # The stitches at each hole, and the other hole of each.
    at, other = (order // 2).tolist(), pairs.ravel()[order ^ 1].tolist()
    done = [False] * len(pairs)
    known = [False] * len(holes)
    following = bounds[:-1]
    names = holes.tolist()
    for start in _starts(bounds):
        if known[start]:
            continue
        known[start] = True
        way, path = [start], [start]
        while path:
            here = path[-1]
            if following[here] == bounds[here + 1]:
                path.pop()
                if path:
                    way.append(path[-1])
                continue
            place = following[here]
            following[here] += 1
            if done[at[place]]:
                continue
            done[at[place]] = True
            there = other[place]
            way.append(there)
            if known[there]:
                way.append(here)
            else:
                known[there] = True
                path.append(there)
        yield [names[hole] for hole in way]


def _starts(bounds: list[int]) -> list[int]:
    """Return the holes in the order in which a tour may begin: loose ends first."""
    holes = range(len(bounds) - 1)
    return sorted(holes, key=lambda hole: bounds[hole + 1] - bounds[hole] != 1)
