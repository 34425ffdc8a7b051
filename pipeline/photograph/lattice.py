"""Where the crosses of a piece lie in its photograph."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .placing import Placing


@dataclass(frozen=True, eq=False)
class Lattice:
    """Where crosses lie, as far as they could be followed.

    offsets: (2, height + 2 PAD, width + 2 PAD) by how many crosses, in x and y, the middle of each
    cross lies off from where the corners alone would have it. tear: (height, width) how much the
    offset changes along the threads from cross to cross; a whole cross lost shows as a rent.
    """

    placing: Placing
    offsets: NDArray[np.float32]
    tear: NDArray[np.float32]

    def pixels(self, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the pixels (..., 2) of places of the thing, for drawing the lattice."""
        raise NotImplementedError

    @property
    def slipped(self) -> bool:
        """Whether a whole row or column was lost somewhere: nothing may then be concluded."""
        raise NotImplementedError
