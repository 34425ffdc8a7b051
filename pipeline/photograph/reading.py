"""The cells of a photograph: the lattice followed, then the mean colour of each cross."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .lattice import Lattice, follow
from .limits import blurred, on_cells, on_lattice
from .picture import Photograph
from .placing import Floats, Placing
from .sampling import View
from .told import Told


@dataclass(frozen=True, eq=False)
class Reading:
    """What a photograph shows of a thing.

    view: the part of the photograph. lattice: where the crosses lie. colours: (height, width, 3)
    mean sRGB, 0 to 255, of the inner part of each cross. spoilt: (height, width) what is burnt out
    or black. told: what makes it doubtful.
    """

    view: View
    lattice: Lattice
    colours: Floats
    spoilt: NDArray[np.bool_]
    told: tuple[Told, ...]

    @cached_property
    def whole(self) -> Floats:
        """The mean sRGB (height, width, 3) of whole crosses, edges and all."""
        return self.view.whole_cells(self.lattice.offsets)

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in crosses."""
        return self.view.placing.width, self.view.placing.height


def read(photograph: Photograph, placing: Placing) -> tuple[Reading | None, tuple[Told, ...]]:
    """Follow the crosses of a photograph from its corners and take their colours.

    Also returns all that is to be told; there is no reading where any of that stops it.
    """
    told = placing.faults(photograph.width, photograph.height)
    if any(each.stops for each in told):
        return None, told
    view = View.of(photograph, placing)
    lattice = follow(view)
    colours, spoilt = view.cells(lattice.offsets)
    told = (*told, *on_lattice(lattice, blurred(view, lattice)), *on_cells(colours, spoilt))
    if any(each.stops for each in told):
        return None, told
    return Reading(view, lattice, colours, spoilt, told), told
