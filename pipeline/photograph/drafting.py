"""A first draft of a chart from a photograph: sure cells as rows, doubtful ones with their reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from .reading import Reading
from .told import Told

Named = Mapping[int, tuple[tuple[int, int], ...]]  # thread -> column and row of cells of it


@dataclass(frozen=True, eq=False)
class Threads:
    """Which threads there are: found where both are None.

    colours: (threads + 1, 3) sRGB 0 to 255 of the cloth and each thread, of a key or range. named:
    cells whose thread the user has said; 0 is bare cloth.
    """

    colours: NDArray[np.float64] | None = None
    named: Named | None = None


class Doubt(StrEnum):
    """Why a cell is doubtful. The value is a short stable name."""

    LATTICE = "the crosses could not be followed surely here"
    BETWEEN = "its colour lies between two threads"
    FAINT = "a little off the bare cloth: a faded cross, or a stain"
    STRANGE = "its colour is near no thread"
    REPEAT = "worn here; taken from its sound sister"
    GLARE = "burnt out or black in the photograph"


@dataclass(frozen=True, eq=False)
class Doubtful:
    """An area of doubtful cells, for an `inferred` area of the chart. cells: (n, 2)."""

    reason: Doubt
    cells: NDArray[np.int32]
    source: tuple[int, int] | None = None  # of REPEAT: the first cell of the sister it is taken from

    @property
    def box(self) -> tuple[int, int, int, int]:
        """Left, top, right, bottom in crosses, the last two not included."""
        (left, top), (right, bottom) = self.cells.min(0), self.cells.max(0) + 1
        return int(left), int(top), int(right), int(bottom)


@dataclass(frozen=True, eq=False)
class Draft:
    """A first draft, or why there is none (`cells` is None then).

    cells: (height, width) thread of each, the likeliest also where it is doubtful. sureness:
    (height, width), 0 to 1. colours: (threads + 1, 3) sRGB of the cloth and each thread as they
    look in even light. counts: of cells, (threads + 1,). doubts: areas, the largest first.
    """

    told: tuple[Told, ...]
    cells: NDArray[np.int32] | None
    sureness: NDArray[np.float64]
    colours: NDArray[np.float64]
    counts: NDArray[np.int64]
    doubts: tuple[Doubtful, ...]


def draft(reading: Reading, threads: Threads) -> Draft:
    """Return a first draft."""
    raise NotImplementedError
