"""A photograph as an array: opened like every stranger's picture, upright, in sRGB, nothing else.

Camera, place and day of a photograph stay in its file: only pixels are taken.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..core.raster import as_seen


@dataclass(frozen=True, eq=False)
class Photograph:
    """Pixels (height, width, 3) of sRGB, 0 to 255, as the picture is looked at.

    strange_profile: whether its colour profile cannot be read; it is taken for sRGB.
    """

    pixels: NDArray[np.uint8]
    strange_profile: bool = False

    @property
    def width(self) -> int:
        """Width in pixels."""
        return int(self.pixels.shape[1])

    @property
    def height(self) -> int:
        """Height in pixels."""
        return int(self.pixels.shape[0])


def open_photograph(data: bytes) -> Photograph:
    """Return a photograph from the bytes of a PNG or JPEG.

    Raises:
        core.raster.Damaged: when it is no such picture within the limits, or is not whole.
    """
    picture, strange = as_seen(data)
    return Photograph(np.asarray(picture), strange)
