"""Which printed symbol stands for which key line."""

from __future__ import annotations

import hashlib

import numpy as np
from numpy.typing import NDArray

from .shapes import measures, shape_names
from .worked import WorkedChart

__all__ = ["choose", "shape_names", "touching"]


def choose(worked: WorkedChart) -> dict[int, str]:
    """Return the shape of each cell key line in use, by its index in the key, from 1."""
    key = worked.design.key
    used = [index for index in _used(worked) if key[index - 1].is_cell]
    kept = measures()
    free = dict.fromkeys(kept.names)
    chosen: dict[int, str] = {}
    for index in used:
        wish = key[index - 1].printed
        if wish in free:
            chosen[index] = wish
            del free[wish]
    for index in used:
        if index in chosen or not free:
            continue
        mark = key[index - 1].symbol
        name = min(free, key=lambda each: hashlib.sha256(f"{mark} {each}".encode()).digest())
        chosen[index] = name
        del free[name]
    return dict(sorted(chosen.items()))


def touching(worked: WorkedChart) -> NDArray[np.int64]:
    """Return how often cells of each two key lines lie side by side or corner to corner.

    The result is symmetric, (n + 1, n + 1) for n key lines; row 0 is bare fabric.
    """
    size = len(worked.design.key) + 1
    counts = np.zeros(size * size, dtype=np.int64)
    for grid in (worked.grid, *(piece.grid for piece in worked.pieces)):
        wide = grid.astype(np.int64)
        for one, other in (
            (wide[:, :-1], wide[:, 1:]),
            (wide[:-1], wide[1:]),
            (wide[:-1, :-1], wide[1:, 1:]),
            (wide[:-1, 1:], wide[1:, :-1]),
        ):
            counts += np.bincount((one * size + other).ravel(), minlength=size * size)
    square = counts.reshape(size, size)
    return square + square.T


def _used(worked: WorkedChart) -> list[int]:
    found = np.unique(
        np.concatenate(
            [np.unique(grid) for grid in (worked.grid, *(p.grid for p in worked.pieces))]
        )
    )
    return [int(index) for index in found if index]
