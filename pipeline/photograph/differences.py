"""What can differ between a chart and a photograph, as records; and what a chart is here."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from .colours import Cells
from .placing import Floats
from .told import Told


@dataclass(frozen=True, eq=False)
class Expected:
    """What the chart says of the thing that the photograph shows.

    cells: (height, width) the thread of each cell, 0 bare cloth. plain: whether a cell is wholly
    covered by a cross of that one thread, or bare; only those are compared. apart: cells of which
    the chart says that they differ from the piece, are inferred, or are kept as they are; they are
    compared, but told apart.
    """

    cells: Cells
    plain: NDArray[np.bool_]
    apart: NDArray[np.bool_] | None = None


class DifferenceKind(StrEnum):
    """What differs. The value is a short stable name."""

    BAND = "band-off"  # a whole band lies a row or column off
    BLOCK = "block-off"  # a block of cells does, and the lattice is sound around it
    FIGURE = "figure-off"  # a connected figure of one thread does
    STEP = "cells-off"  # several cells that one common step explains
    MISSING = "missing-cross"  # the chart has a thread, the photograph bare cloth
    EXTRA = "extra-cross"  # the chart has bare cloth, the photograph a thread
    WRONG = "wrong-thread"  # another thread


@dataclass(frozen=True, eq=False)
class Difference:
    """One place where chart and photograph differ.

    cells: (n, 2) column and row of the chart's cells that it is about. expected: thread that the
    chart has at the first. seen: thread of the photograph there, the likeliest of the chart's own.
    step: by how many columns and rows the photograph has it off from the chart; 0, 0 for a cell by
    itself. evidence: how much likelier the photograph is so, in the logarithm; sureness: from 0 to
    1. apart: whether all cells stand in `Expected.apart`.
    """

    kind: DifferenceKind
    cells: Cells
    expected: int
    seen: int
    step: tuple[int, int]
    evidence: float
    sureness: float
    apart: bool = False

    @property
    def box(self) -> tuple[int, int, int, int]:
        """Left, top, right, bottom in crosses, the last two not included."""
        (left, top), (right, bottom) = self.cells.min(axis=0), self.cells.max(axis=0) + 1
        return int(left), int(top), int(right), int(bottom)


@dataclass(frozen=True, eq=False)
class Held:
    """A chart held against a photograph.

    told: what makes it doubtful. differences: bands and blocks, then all others, the surest first.
    compared: (height, width) which cells were compared. seen: the likeliest thread of each of them.
    sureness: of `seen`. colours: (threads + 1, 3) sRGB as they look in even light, NaN for threads
    that are not compared. repaired: boxes of the lattice that the chart set right. alike: pairs of
    threads, 0 the cloth, of which one for the other would mostly go unseen.
    """

    told: tuple[Told, ...]
    differences: tuple[Difference, ...]
    compared: NDArray[np.bool_]
    seen: Cells
    sureness: Floats
    colours: Floats
    repaired: tuple[tuple[int, int, int, int], ...]
    alike: tuple[tuple[int, int], ...]


def places(mask: NDArray[np.bool_]) -> Cells:
    """Return (n, 2) column and row of the cells of a mask."""
    rows, columns = np.nonzero(mask)
    return np.stack([columns, rows], axis=-1).astype(np.int32)
