"""Threads of a photograph that has no key: too many rather than too few, to be joined by the user.

Joining two threads that were found as one is dear, for every cell has to be looked at; joining two
that are the same takes a word.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .colours import Palette
from .placing import Floats

SEGMENTS = 24
JOINED = 8.0  # Lab; nearer clouds are one thread
_LEAST_CELLS = 6  # of a thread; fewer are odd cells
_ROUNDS = 12
_SAMPLE = 12_000


def found_palette(lab: Floats, cloth: Floats, precision: Floats) -> Palette:
    """Return a palette of the threads that the colours of cells (height, width, 3) show.

    The first is the cloth. They are over-segmented, each new centre where the worst cells are, and
    then the nearest two are joined as long as they are nearer than JOINED.
    """
    cells = lab.reshape(-1, 3)
    sample = cells[:: max(1, len(cells) // _SAMPLE)]
    centres, counts = _segments(sample, cloth)
    order = [0, *(1 + np.argsort(-counts[1:], kind="stable")).tolist()]
    centres, weights = _joined(centres[order], counts[order].astype(np.float64))
    keep = (weights >= _LEAST_CELLS * len(sample) / len(cells)) | (np.arange(len(weights)) == 0)
    centres, weights = centres[keep], weights[keep]
    return Palette(centres, precision, weights / weights.sum())


def _segments(sample: Floats, cloth: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """Return centres, the first the cloth, and how many of the sample are nearest to each."""
    centres = cloth[None]
    nearest = np.linalg.norm(sample - cloth, axis=-1)
    # A new centre goes where a colour is far from all centres and has company: far away alone is
    # only an odd cell, so the far tenth is ordered and its middle taken.
    while len(centres) < SEGMENTS:
        far = np.argsort(-nearest)[: max(8, len(sample) // 200)]
        centre = np.median(
            sample[far[np.linalg.norm(sample[far] - sample[far[0]], axis=-1) < JOINED]], axis=0
        )
        centres = np.concatenate([centres, centre[None]])
        nearest = np.minimum(nearest, np.linalg.norm(sample - centre, axis=-1))
    counts = np.zeros(len(centres), dtype=np.int64)
    for _ in range(_ROUNDS):
        apart = np.linalg.norm(sample[:, None] - centres[None], axis=-1)
        mine = apart.argmin(axis=1)
        counts = np.bincount(mine, minlength=len(centres))
        for number in range(1, len(centres)):
            if counts[number]:
                centres[number] = np.median(sample[mine == number], axis=0)
    return centres, counts


def _joined(centres: Floats, counts: Floats) -> tuple[Floats, Floats]:
    while len(centres) > 1:
        apart = np.linalg.norm(centres[:, None] - centres[None], axis=-1)
        np.fill_diagonal(apart, np.inf)
        one, other = sorted(np.unravel_index(int(apart.argmin()), apart.shape))
        if apart[one, other] >= JOINED:
            break
        if one > 0:  # the cloth stays where it is
            total = max(counts[one] + counts[other], 1e-9)
            share = counts[other] / total
            centres[one] = (1 - share) * centres[one] + share * centres[other]
        counts[one] += counts[other]
        centres, counts = np.delete(centres, other, axis=0), np.delete(counts, other)
    return centres, counts
