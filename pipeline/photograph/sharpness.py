"""How sharp a photograph is, by its strongest edges.

The picture is blurred once more by a known amount; a sharp edge loses much of its slope by that,
one that is blurred already loses little. After S. Zhuo and T. Sim, "Defocus map estimation from a
single image", Pattern Recognition 44(9), 2011, 1852-1858. It needs no lattice.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from .sampling import Singles, View

_LIGHT = np.array((0.3, 0.6, 0.1), dtype=np.float32)  # of the channels
_FIRST, _MORE = 1.0, 2.0  # sigmas in pixels: against noise, and beyond it
_STRONGEST = 0.98  # quantile of the slopes that are edges
_MOST = 1_000_000  # pixels that are looked at, in the middle


def blur_of(view: View) -> float:
    """Return the sigma in crosses of the blur at the strongest edges of a view."""
    light = np.tensordot(_LIGHT, _middle(view.channels).astype(np.float32), axes=1)
    once = _slope(gaussian_filter(light, _FIRST))
    twice = _slope(gaussian_filter(light, float(np.hypot(_FIRST, _MORE))))
    edges = once >= np.quantile(once, _STRONGEST)
    ratio = float(np.median(once[edges] / np.maximum(twice[edges], 1e-6)))
    squared = _MORE**2 / max(ratio**2 - 1, 1e-3) - _FIRST**2
    return float(np.sqrt(max(squared, 0)) * view.reduction / view.placing.pixels_per_cross)


def _middle(channels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return the middle of a picture (3, height, width), of the same shape."""
    height, width = channels.shape[1:]
    share = min(1.0, (_MOST / (height * width)) ** 0.5)
    top, left = int(height * (1 - share) / 2), int(width * (1 - share) / 2)
    return channels[:, top : height - top, left : width - left]


def _slope(light: Singles) -> Singles:
    down, right = np.gradient(light)
    return np.asarray(np.hypot(down, right), dtype=np.float32)
