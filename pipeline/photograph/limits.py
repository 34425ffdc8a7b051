"""What a photograph is too poor for, told plainly, with what to photograph instead."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, label

from .lattice import TORN, Lattice
from .placing import Floats
from .sampling import View
from .told import Limit, Told

def slipped(lattice):
    return (Told(Limit.SLIPPED,"",""),) if lattice.slipped else ()
def on_lattice(lattice): return slipped(lattice)
def on_cells(view, lattice, colours, spoilt): return ()
