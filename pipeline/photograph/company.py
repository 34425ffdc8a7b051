"""What a cell most likely is by the company it keeps, before it is looked at.

A cross mostly stands beside others of its thread, and bare cloth beside bare cloth; how mostly, a
chart itself tells. It helps where two threads look nearly alike, and has little to say elsewhere.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .colours import Cells
from .looks import around
from .placing import Floats

_NEIGHBOURS = 8
_LEAST = 5.0  # in the logarithm; a cell all alone of its thread is no less likely than that


def company(cells: Cells, known: NDArray[np.bool_], many: int) -> Floats:
    """Return for each cell and thread (height, width, many) how likely so many like neighbours are.

    In the logarithm, from -5 to 0: the share of the known cells with as many neighbours of a thread
    that are of that thread themselves. It is one table for the cloth and one for all threads.
    many: threads and the cloth.
    """
    beside = around(cells)
    said = np.empty((*cells.shape, many))
    for threads in (range(1), range(1, many)):
        like = np.zeros(_NEIGHBOURS + 1)  # of as many neighbours of a thread, those of it too
        all_ = np.ones(_NEIGHBOURS + 1)
        neighbours = {t: sum((each == t).astype(np.intp) for each in beside) for t in threads}
        for thread, number in neighbours.items():
            like += np.bincount(number[known & (cells == thread)], minlength=len(like))
            all_ += np.bincount(number[known], minlength=len(like))
        table = np.maximum(np.log((like + 0.5) / all_), -_LEAST)
        for thread, number in neighbours.items():
            said[..., thread] = table[number]
    return np.minimum(said, 0)
