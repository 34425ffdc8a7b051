"""How each cell should look by the chart: what its thread, its neighbours, wear and cloth make it.

A lens and a JPEG spread colours, hues most, so that a cell catches something of those beside it;
wear draws threads towards the cloth, here more than there; and the linen's own threads, thick and
thin, make whole rows and columns a little lighter or darker. Each of these is small, smooth or the
same everywhere, and so is learned from many cells: a few that the chart has wrong have no say.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, gaussian_filter1d

from .colours import Cells
from .placing import Floats

Mask = NDArray[np.bool_]

_FEWEST = 4  # cells of a thread from which it is known
_ODD = 6.0  # Lab; what lies farther off is no example
_ROUNDS = 2
_WORN_REACH = 6.0  # sigma in crosses over which wear changes
_LITTLE = 0.02  # of the longest way to the cloth: threads nearer to it tell little of wear
_MOST_WORN = 0.15  # of the way to the cloth that a thread may have gone more than usual
_ALONG = 12.0  # sigma in crosses along the linen's threads
_DOUBT = 6.0  # cells that are taken to show nothing of a linen thread
_MOST_SHADE = 2.5  # Lab that a cell may say of it
_BESIDE = ((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (-1, -1), (1, -1), (-1, 1))
_LIKE = (slice(0, 2), slice(2, 4), slice(4, 8))  # of those, such as give equally much


@dataclass(frozen=True, eq=False)
class Looks:
    """Cells and threads as numbers: Lab of the inner part and Lab of the whole, six in all.

    usual: (threads + 1, 6) a cell among its like. pure: what of that is its own. rest: (height,
    width, 6) cells without what they caught, and shade. worn: (height, width) share of the way to
    the cloth. known: (threads + 1,) which are known. examples: cells that are compared, of those.
    """

    usual: Floats
    pure: Floats
    rest: Floats
    worn: Floats
    known: Mask
    examples: Mask

    def expected(self, cells: Cells) -> Floats:
        """Return what cells should look like, as `rest` has it."""
        own = self.pure[cells]
        expected: Floats = own + self.worn[..., None] * (self.pure[0] - own)
        return expected


def around(cells: Cells) -> list[Cells]:
    """Return the eight neighbours of each cell; at the edge cells are their own."""
    height, width = cells.shape
    padded = np.pad(cells, 1, mode="edge")
    return [padded[1 + y : 1 + y + height, 1 + x : 1 + x + width] for y, x in _BESIDE]


def learned(looks: Floats, cells: Cells, plain: Mask, many: int) -> Looks:
    """Learn from looks (height, width, 6) of cells, of which those that are plain are compared.

    many: threads and the cloth.
    """
    known = np.bincount(cells[plain], minlength=many) >= _FEWEST
    usual = np.zeros((many, looks.shape[-1]))
    members = {t: plain & (cells == t) for t in np.flatnonzero(known).tolist()}
    for thread, mine in members.items():
        usual[thread] = np.median(looks[mine], axis=0)
    examples = plain & known[cells]
    beside = around(cells)
    surely = examples & np.logical_and.reduce([known[each] for each in beside])
    worn = np.zeros(cells.shape)
    for _ in range(_ROUNDS):
        fresh = looks - worn[..., None] * (usual[0] - usual[cells])
        caught, own = _caught(fresh, cells, beside, usual, surely)
        pure = own * usual
        rest = looks - caught
        if known[0]:
            worn = _worn(rest - pure[cells], cells, pure, examples)
        off = rest - pure[cells] - worn[..., None] * (pure[0] - pure[cells])
        for thread, mine in members.items():
            usual[thread] += np.median(off[mine], axis=0) / own
    pure = own * usual
    off = rest - pure[cells] - worn[..., None] * (pure[0] - pure[cells])
    for lightness in (0, 3):
        for mine in (examples & (cells == 0), examples & (cells > 0)):
            rest[..., lightness] -= np.where(mine, _shade(off[..., lightness], mine), 0)
    return Looks(usual, pure, rest, worn, known, examples)


def _caught(
    looks: Floats, cells: Cells, beside: list[Cells], usual: Floats, examples: Mask
) -> tuple[Floats, Floats]:
    """Return what cells catch of their neighbours, and the share (6,) that is their own."""
    own = usual[cells]
    means = np.stack([np.mean([usual[each] for each in beside[like]], axis=0) for like in _LIKE])
    caught, share = np.zeros_like(looks), np.ones(looks.shape[-1])
    for k in range(looks.shape[-1]):
        rest = looks[..., k] - own[..., k]
        ok = examples & (np.abs(rest) < _ODD)
        terms = means[:, ok, k] - own[ok, k]
        given = np.linalg.lstsq(terms.T, rest[ok], rcond=None)[0]
        caught[..., k] = np.tensordot(given, means[..., k], axes=1)
        share[k] -= given.sum()
    return caught, share


def _worn(rest: Floats, cells: Cells, pure: Floats, examples: Mask) -> Floats:
    """Return which share of the way to the cloth threads have gone more than usual, smoothed."""
    off, way = rest[..., :3], (pure[0] - pure[cells])[..., :3]
    stitched = examples & (cells > 0) & (np.abs(off) < _ODD).all(axis=-1)
    gone = np.where(stitched, (off * way).sum(axis=-1), 0)
    length = np.where(stitched, np.square(way).sum(axis=-1), 0)
    most = _LITTLE * float(length.max())
    share = gaussian_filter(gone, _WORN_REACH) / (
        gaussian_filter(length, _WORN_REACH) + most + 1e-9
    )
    return np.asarray(np.clip(share, -_MOST_WORN, _MOST_WORN))


def _shade(off: Floats, mine: Mask) -> Floats:
    """Return how much lighter the linen's threads make cells, along rows and then columns."""
    shade = np.zeros(off.shape)
    doubt = _DOUBT / (_ALONG * np.sqrt(2 * np.pi))
    for axis in (1, 0):
        said = np.where(mine, np.clip(off - shade, -_MOST_SHADE, _MOST_SHADE), 0)
        total = gaussian_filter1d(mine.astype(np.float64), _ALONG, axis=axis) + doubt
        shade += gaussian_filter1d(said, _ALONG, axis=axis) / total
    return shade
