"""The cells of a photograph: the lattice followed, then the mean colour of each cross."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .lattice import Lattice
from .picture import Photograph
from .placing import Placing
from .told import Told


@dataclass(frozen=True, eq=False)
class Reading:
    """What a photograph shows. lattice and colours are None where `told` says why not.

    lattice: where the crosses lie. colours: (height, width, 3) mean sRGB, 0 to 255, of the inner
    part of each cross. told: all that is to be told.
    """

    photograph: Photograph
    placing: Placing
    told: tuple[Told, ...]
    lattice: Lattice | None
    colours: NDArray[np.float64] | None


def read(photograph: Photograph, placing: Placing) -> Reading:
    """Follow the crosses of a photograph from its corners and take their colours."""
    raise NotImplementedError
