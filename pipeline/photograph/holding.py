"""A finished chart held against a photograph: what differs, the surest first."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from .reading import Reading
from .told import Told


@dataclass(frozen=True, eq=False)
class Expected:
    """What the chart says of the thing that the photograph shows.

    cells: (height, width) the thread of each cell, 0 bare cloth. plain: whether a cell is wholly
    covered by a cross of that one thread, or bare; only those are compared. apart: cells of which
    the chart says that they differ from the piece, or are inferred; compared, but told apart.
    colours: (threads + 1, 3) sRGB 0 to 255 of the cloth and each thread, for their first guess;
    None where the photograph has to say it all.
    """

    cells: NDArray[np.int32]
    plain: NDArray[np.bool_]
    apart: NDArray[np.bool_] | None = None
    colours: NDArray[np.float64] | None = None


class DifferenceKind(StrEnum):
    """What differs. The value is a short stable name."""

    BAND = "band-off"  # a whole band or block lies a row or column off
    FIGURE = "figure-off"  # a connected figure of one thread lies a row or column off
    SHIFT = "cells-off"  # several cells, each explained by one common step
    MISSING = "missing"  # the chart has a thread, the photograph bare cloth
    EXTRA = "extra"  # the chart has bare cloth, the photograph a thread
    WRONG = "wrong-thread"  # another thread


@dataclass(frozen=True, eq=False)
class Difference:
    """One place where chart and photograph differ.

    cells: (n, 2) column and row of the chart's cells it is about. expected: thread of the chart at
    the first. seen: thread of the photograph there; the nearest of those that the chart uses.
    step: for what lies off, by how many columns and rows the photograph has it from the chart.
    sureness: from 0 to 1. apart: whether all cells stand in `Expected.apart`.
    """

    kind: DifferenceKind
    cells: NDArray[np.int32]
    expected: int
    seen: int
    step: tuple[int, int]
    sureness: float
    apart: bool = False

    @property
    def box(self) -> tuple[int, int, int, int]:
        """Left, top, right, bottom in crosses, the last two not included."""
        (left, top), (right, bottom) = self.cells.min(0), self.cells.max(0) + 1
        return int(left), int(top), int(right), int(bottom)


@dataclass(frozen=True, eq=False)
class Held:
    """A chart held against a photograph.

    told: why it was refused (then there are no differences), or what makes it doubtful.
    differences: the surest first: bands, then all others by sureness. compared: (height, width)
    which cells were compared. seen: (height, width) the nearest thread of each. sureness: (height,
    width) of `seen`. repaired: patches of the lattice that the chart set right.
    """

    told: tuple[Told, ...]
    differences: tuple[Difference, ...]
    compared: NDArray[np.bool_]
    seen: NDArray[np.int32]
    sureness: NDArray[np.float64]
    repaired: int = 0

    @property
    def refused(self) -> bool:
        """Whether nothing may be concluded."""
        return any(told.stops for told in self.told)


def hold(reading: Reading, expected: Expected) -> Held:
    """Hold a chart against a reading of the same size.

    Raises:
        ValueError: when sizes differ; a fault of the caller's.
    """
    raise NotImplementedError
