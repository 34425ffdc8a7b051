"""The eight ways to lay a square, as matrices that act on (row, column)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ...compose.turning import Turn

Matrices = NDArray[np.int64]

WAYS: tuple[Turn, ...] = tuple(
    Turn(flip, quarters) for flip in (False, True) for quarters in range(4)
)


def _matrix(way: Turn) -> Matrices:
    mirrored = np.array([[1, 0], [0, -1 if way.flip else 1]])
    clockwise = np.array([[0, 1], [-1, 0]])  # what lies to the right of the middle goes below it
    matrix: Matrices = np.linalg.matrix_power(clockwise, way.quarters) @ mirrored
    return matrix


MATRICES: Matrices = np.array([_matrix(way) for way in WAYS])

_NUMBER = {MATRICES[number].tobytes(): number for number in range(len(WAYS))}

# The way that does the second and then the first; the way that undoes one.
AFTER: Matrices = np.array(
    [[_NUMBER[np.ascontiguousarray(one @ two).tobytes()] for two in MATRICES] for one in MATRICES]
)
BACK: Matrices = np.array([_NUMBER[np.ascontiguousarray(each.T).tobytes()] for each in MATRICES])
