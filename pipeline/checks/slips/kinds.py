"""Whether a cell with its surroundings comes up elsewhere just so: then it is no slip."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .differing import figures
from .laidout import Sheet
from .looks import RADIUS, Windows
from .orientations import WAYS
from .selfmatch import Pairs
from .squares import part_of, squares

AROUND = part_of((-4, 4), (-4, 4))  # what has to be the same, as far as the figure goes
MOST = 48  # places looked at


def seen_elsewhere(
    seen: Windows,
    cells: Sequence[tuple[int, int]],
    most: int = MOST,
    apart: Sequence[tuple[int, int]] = (),
) -> NDArray[np.int64]:
    """Return where else the first of some cells comes up with just its nearest neighbours, (n, 2).

    What lies beside any of the cells does not count: a part that is symmetric is like itself. Nor
    does what lies beside those in `apart`: a part one row off is like its like, one row on.
    """
    look = seen.look[cells[0]]
    if not look:
        return np.empty((0, 2), np.int64)
    places: NDArray[np.int64] = np.argwhere(seen.look == look)
    low, high = np.min(cells, axis=0) - RADIUS, np.max(cells, axis=0) + RADIUS
    places = places[((places < low) | (places > high)).any(axis=1)]
    for each in apart:
        places = places[(np.abs(places - each) > RADIUS).any(axis=1)]
    return places[:most]


def more_of(
    sheet: Sheet,
    seen: Windows,
    cells: Sequence[tuple[int, int]],
    apart: Sequence[tuple[int, int]] = (),
) -> bool:
    """Tell whether the first of some cells comes up elsewhere, its figure the same around it."""
    places = seen_elsewhere(seen, cells, apart=apart)
    if not len(places):
        return False
    # Which way it lies there is not asked: one of the eight will do.
    there = np.repeat(places, len(WAYS), axis=0)
    here = np.broadcast_to(np.array(cells[0]), there.shape)
    way = np.tile(np.arange(len(WAYS)), len(places))
    around = squares(sheet, Pairs(here, there, way, np.zeros_like(way)))
    figure, _ = figures(around.alike, around.differ, AROUND)
    # Where nothing is stitched beside a bare cell there is no figure to go by.
    return bool((figure > 0).any())
