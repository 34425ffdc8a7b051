"""How a thread lies that does not go straight: in a bow or a loop, or wound round itself."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_WIDE = 0.42  # half the width of a loop's handles, as a share of its length


def curves(way: Floats) -> list[Floats]:
    """Return cubic Bézier curves, (4, 2) each, along places (n, 2) from up to down.

    By one place the thread goes in a single bow, or in a loop where it goes down in the hole that
    it came up in; by several it goes straight from each to the next.
    """
    if len(way) != 3:
        return [np.array([a, a + (b - a) / 3, b - (b - a) / 3, b]) for a, b in _pairs(way)]
    up, by, down = way
    if (up == down).all():
        ahead = (by - up) * 4 / 3  # so that its middle reaches the place
        beside = np.array([-ahead[1], ahead[0]]) * _WIDE
        return [np.array([up, up + ahead + beside, up + ahead - beside, down])]
    handle = 2 * by - (up + down) / 2  # of the quadratic curve through the place
    return [np.array([up, up + (handle - up) * 2 / 3, down + (handle - down) * 2 / 3, down])]


def sampled(way: Floats, pieces: int) -> Floats:
    """Return places along the thread, so many pieces to a curve."""
    t = np.linspace(0, 1, pieces + 1)[:, None]
    weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3)
    parts = [sum(w * p for w, p in zip(weights, curve, strict=True)) for curve in curves(way)]
    return np.concatenate([parts[0], *(part[1:] for part in parts[1:])])


_HALF_COIL = 0.4  # threads of the fabric, from the middle of a coil to the ends of its turns
_COIL_ENDS = 0.3  # threads, or a tenth of a short coil: where it goes down into its holes


def coil(start: Floats, end: Floats, turns: int) -> Floats:
    """Return the turns of a thread wound from start to end as they are seen, (n, 2, 2).

    Each lies across the line, leaning along it as the turns of a rope do. Lengths are in threads.
    """
    way = end - start
    long = float(np.hypot(*way))
    ahead = way / long
    bare = min(_COIL_ENDS, long / 10)
    along = bare + (long - 2 * bare) * (np.arange(turns) + 0.5) / turns
    middle = start + ahead * along[:, None]
    leaning = ahead * min(0.25, long / (2 * turns))
    across = np.array([-ahead[1], ahead[0]]) * _HALF_COIL + leaning
    return np.stack([middle - across, middle + across], axis=1)


def _pairs(way: Floats) -> Sequence[tuple[Floats, Floats]]:
    return list(pairwise(way))
