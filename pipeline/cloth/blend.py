"""Laying small drawings with cover over a picture, without a loop over pixels or stitches."""

from __future__ import annotations

import numpy as np

from .strands import Bytes


def blend(below: Bytes, above: Bytes) -> None:
    """Lay premultiplied red, green, blue, cover (..., 4) over colours (..., 3), in place."""
    clear = 255 - above[..., 3:].astype(np.uint16)
    clear += clear >> 7  # 0..256, so that a shift can divide
    mixed = below * clear
    mixed += 128
    mixed >>= 8
    mixed += above[..., :3]
    np.minimum(mixed, 255, out=mixed)
    below[...] = mixed


def blend_at(picture: Bytes, layer: Bytes, x: int, y: int) -> None:
    """Lay a layer (height, width, 4) over a picture (height, width, 3), its corner at x, y.

    What lies beyond the picture's edges is left out.
    """
    left, top = max(0, -x), max(0, -y)
    right = min(layer.shape[1], picture.shape[1] - x)
    bottom = min(layer.shape[0], picture.shape[0] - y)
    if right > left and bottom > top:
        spot = picture[y + top : y + bottom, x + left : x + right]
        blend(spot, layer[top:bottom, left:right])
