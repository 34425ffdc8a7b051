"""Many small drawings laid on a picture one after the other, those that do not touch at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .strands import Bytes

Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Stamp:
    """A drawing (height, width, 4), premultiplied, and where it lies from its own place."""

    layer: Bytes
    left: int
    top: int

    def trimmed(self) -> Stamp:
        """Return it without the rows and columns around it in which nothing is drawn."""
        rows, columns, _ = np.nonzero(self.layer)
        if not len(rows):
            return Stamp(self.layer[:0, :0], self.left, self.top)
        low, high, left, right = rows.min(), rows.max() + 1, columns.min(), columns.max() + 1
        layer = np.ascontiguousarray(self.layer[low:high, left:right])
        return Stamp(layer, self.left + int(left), self.top + int(low))


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


def lay(picture: Bytes, stamps: Sequence[Stamp], which: Ints, places: Ints) -> None:
    """Lay stamps on a picture (height, width, 3), each over those before it.

    which: (n,) the stamp of each. places: (n, 2) the pixel that each lies from.
    """
    trimmed = [stamp.trimmed() for stamp in stamps]
    shift = np.array([(each.left, each.top) for each in trimmed], dtype=np.int64)
    size = np.array([each.layer.shape[1::-1] for each in trimmed], dtype=np.int64)
    corner, room = places + shift[which], np.array(picture.shape[1::-1])
    far = corner + size[which]
    seen = ((corner < room) & (far > np.maximum(corner, 0))).all(axis=1)
    which, corner, far = which[seen], corner[seen], far[seen]
    if not len(which):
        return
    layer = _layers(corner, far)
    whole: NDArray[np.bool_] = np.asarray(((corner >= 0) & (far <= room)).all(axis=1))
    order = np.lexsort((which, ~whole, layer))
    group = np.stack([layer[order], whole[order], which[order]])
    first = np.flatnonzero(np.abs(np.diff(group, prepend=-1)).sum(axis=0))
    pixels = picture.reshape(-1, 3)
    for low, high in zip(first.tolist(), [*first[1:].tolist(), len(order)], strict=True):
        some = order[low:high]
        drawing = trimmed[which[some[0]]].layer
        if not whole[some[0]]:
            for x, y in corner[some].tolist():
                blend_at(picture, drawing, x, y)
            continue
        height, width = drawing.shape[:2]
        spread = (np.arange(height)[:, None] * picture.shape[1] + np.arange(width)).ravel()
        at = (corner[some, 1] * picture.shape[1] + corner[some, 0])[:, None] + spread
        below = pixels[at]
        blend(below, drawing.reshape(-1, 4))
        pixels[at] = below


def _layers(low: Ints, high: Ints) -> Ints:
    """Return layers such that what touches something before it lies in a higher one.

    low, high: (n, 2) the corners of each box, in pixels.
    """
    side = int((high - low).max())
    # A box lies in two columns and two rows of squares of that side at the most.
    near, far = (np.maximum(each, 0) // side for each in (low, high - 1))
    across = int(far[:, 0].max()) + 1
    top = [0] * (across * (int(far[:, 1].max()) + 1))
    squares = [row[:, 1] * across + column[:, 0] for row in (near, far) for column in (near, far)]
    layers = []
    for one, two, three, four in zip(*(each.tolist() for each in squares), strict=True):
        layer = max(top[one], top[two], top[three], top[four]) + 1
        top[one] = top[two] = top[three] = top[four] = layer
        layers.append(layer)
    return np.array(layers, dtype=np.int64)
