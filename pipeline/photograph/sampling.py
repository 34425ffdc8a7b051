"""A photograph sampled where the crosses lie: an even raster of every cross, and cell by cell.

Only the part of the photograph that holds the thing is looked at, made smaller by a whole number
where it is much finer than the raster, so that time and room go with the crosses.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates

from .picture import Photograph
from .placing import Floats, Placing

PAD = 7  # crosses of surround on each side: what lies outside helps to follow the edge
SAMPLES = 6  # of a cross each way; the weave then has three samples a thread
INNER = 0.62  # of a cross each way is taken for its colour; the rest is edge and neighbours
_FINE = 7  # pixels of a cross that are kept at the least when a photograph is made smaller
_ACROSS = 10  # samples of a cross each way from which those of the inner part are taken
_WHOLE = 8  # samples of a whole cross each way
_SPOT = 0.17  # crosses
_BURNT, _BLACK = 253, 4  # of 255; a channel there says nothing of a colour any more

Singles = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class View:
    """The part of a photograph that holds a thing: channels (3, height, width), and its scale.

    reduction: so many pixels of the photograph each way are one of the part. left, top: where the
    part begins in the photograph.
    """

    placing: Placing
    channels: NDArray[np.uint8]
    reduction: int
    left: int
    top: int

    @classmethod
    def of(cls, photograph: Photograph, placing: Placing) -> View:
        """Return the part around the corners with what surrounds them."""
        reach = 2 * PAD
        width, height = placing.width, placing.height
        outer = np.array([(-reach, -reach), (width + reach, height + reach)], dtype=np.float64)
        grid = np.stack(np.meshgrid(outer[:, 0], outer[:, 1]), axis=-1).reshape(-1, 2)
        points = np.concatenate([placing.pixels(grid), np.asarray(placing.corners)])
        # A strong perspective may throw the surround beyond the horizon: then all is kept.
        inside = np.clip(points, 0, (photograph.width, photograph.height))
        left, top = np.floor(inside.min(axis=0)).astype(int)
        right, bottom = np.ceil(inside.max(axis=0)).astype(int)
        part = photograph.pixels[top:bottom, left:right]
        factor = max(1, int(placing.pixels_per_cross // _FINE))
        if factor > 1:
            high, wide = part.shape[0] // factor * factor, part.shape[1] // factor * factor
            blocks = part[:high, :wide].reshape(high // factor, factor, wide // factor, factor, 3)
            part = np.rint(blocks.mean(axis=(1, 3), dtype=np.float32)).astype(np.uint8)
        channels = np.ascontiguousarray(np.moveaxis(part, -1, 0))
        return cls(placing, channels, factor, int(left), int(top))

    def at(self, x: Singles | Floats, y: Singles | Floats) -> Singles:
        """Return the colours (3, ...), 0 to 255, at places, as the corners alone have them."""
        m = self.placing.matrix
        depth = m[2, 0] * x + m[2, 1] * y + m[2, 2]
        u = (m[0, 0] * x + m[0, 1] * y + m[0, 2]) / depth
        v = (m[1, 0] * x + m[1, 1] * y + m[1, 2]) / depth
        at = np.stack(
            [(v - self.top) / self.reduction - 0.5, (u - self.left) / self.reduction - 0.5]
        )
        return np.stack(
            [
                map_coordinates(channel, at, output=np.float32, order=1, mode="nearest")
                for channel in self.channels
            ]
        )

    def raster(self, offsets: Singles | None = None) -> Singles:
        """Return (3, rows, columns) colours, SAMPLES a cross, with PAD crosses of surround.

        offsets: of the middle of each cross, (2, height + 2 PAD, width + 2 PAD) in crosses.
        """
        rows = (self.placing.height + 2 * PAD) * SAMPLES
        columns = (self.placing.width + 2 * PAD) * SAMPLES
        y, x = np.mgrid[0:rows, 0:columns].astype(np.float32)
        x, y = (x + 0.5) / SAMPLES, (y + 0.5) / SAMPLES
        if offsets is None:
            return self.at(x - PAD, y - PAD)
        off_x, off_y = _between(offsets, x, y)
        return self.at(x - PAD + off_x, y - PAD + off_y)

    def spot(self, x: Singles, y: Singles) -> Singles:
        """Return the mean colours (3, ...) of spots a third of a cross wide around places."""
        corners = ((-_SPOT, -_SPOT), (_SPOT, -_SPOT), (-_SPOT, _SPOT), (_SPOT, _SPOT))
        parts = [self.at(x + np.float32(right), y + np.float32(down)) for right, down in corners]
        return np.asarray(np.mean(parts, axis=0), dtype=np.float32)

    def _samples(self, offsets: Singles, within: Floats) -> Singles:
        """Return samples (3, height, n, width, n) of each cross, at n places within it each way."""
        columns = (np.arange(self.placing.width)[:, None] + within).ravel()
        rows = (np.arange(self.placing.height)[:, None] + within).ravel()
        x, y = np.meshgrid(columns.astype(np.float32), rows.astype(np.float32))
        off_x, off_y = _between(offsets, x + PAD, y + PAD)
        n = len(within)
        shape = (3, self.placing.height, n, self.placing.width, n)
        return self.at(x + off_x, y + off_y).reshape(shape)

    def cells(self, offsets: Singles) -> tuple[Floats, NDArray[np.bool_]]:
        """Return the mean colours (height, width, 3) of crosses, and which are burnt or black."""
        within = (np.arange(_ACROSS) + 0.5) / _ACROSS
        samples = self._samples(offsets, within[np.abs(within - 0.5) < INNER / 2])
        means = samples.mean(axis=(2, 4), dtype=np.float64)
        spoilt = ((samples > _BURNT).all(axis=0) | (samples < _BLACK).all(axis=0)).mean(axis=(1, 3))
        return np.moveaxis(means, 0, -1), spoilt > 0.5

    def whole_cells(self, offsets: Singles) -> Floats:
        """Return the mean colours (height, width, 3) of whole crosses, edges and all.

        Twice as much of the photograph as the inner part: less noise, and more of the neighbours.
        """
        samples = self._samples(offsets, (np.arange(_WHOLE) + 0.5) / _WHOLE)
        return np.moveaxis(samples.mean(axis=(2, 4), dtype=np.float64), 0, -1)


def _between(offsets: Singles, x: Singles, y: Singles) -> Singles:
    """Return offsets (2, ...) between the middles of crosses; x, y from the surround's corner."""
    at = np.stack([y - 0.5, x - 0.5])
    return np.stack(
        [map_coordinates(part, at, output=np.float32, order=1, mode="nearest") for part in offsets]
    )
