"""A lattice that slipped somewhere, set right by the chart.

Where a patch of the chart fits better half a cross or more away, the lattice may have slipped; or
the chart may be wrong, which it is the point to tell. So a patch is moved only where the lattice is
torn around it, and where it is a small part of the piece; else it is left to be told. Half a cross
is never the chart's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, gaussian_filter, label, median_filter

from .colours import Cells, Palette
from .evidence import FARTHEST, Evidence
from .lattice import TORN, Lattice, corrected
from .light import lab
from .placing import Floats
from .sampling import PAD, Singles, View

_REACH, _STEP = 1.5, 0.5  # crosses each way that a patch is tried
_PATCH = 2.5  # sigma in crosses of a patch
_NEED = 0.35  # of its cost that has to go
_POOR = 6.0  # squared distance, on average; a patch that fits better than that lies right
_MOVED = 0.3  # crosses; a smaller move is no slip
_FEWEST = 15  # cells of a patch
_TORN_AROUND = 1.6  # times the usual change of the offset, around a patch
_ABRUPT, _GENTLE = 0.7, 3.0  # sigmas in crosses of how a rent, and a drift by half a cross, begins
_SMOOTH = 0.08  # crosses a cross; smaller changes are no tear
_MOST = 0.2  # of the piece


@dataclass(frozen=True, eq=False)
class Patch:
    """A patch (mask of cells) that fits better a step of columns and rows away."""

    cells: NDArray[np.bool_]
    step: tuple[float, float]

    @property
    def is_between(self) -> bool:
        """Whether it lies half a cross off: no chart does, only a lattice that took the weave."""
        return any(side % 1 == _STEP for side in self.step)


def repaired(
    view: View, lattice: Lattice, evidence: Evidence, cells: Cells, plain: NDArray[np.bool_]
) -> tuple[Lattice, tuple[Patch, ...]]:
    """Return the lattice set right by the chart, and the patches that were moved for it."""
    if lattice.tear.max() < TORN:
        return lattice, ()
    moves = _moves(view, lattice, evidence, cells, plain)
    offsets = lattice.offsets.copy()
    done = []
    for patch, move in _patches(*moves):
        if patch.is_between:
            offsets = _shifted(offsets, patch, move, _GENTLE)
            done.append(patch)
            continue
        if patch.cells.sum() >= _MOST * cells.size:
            continue
        around, usual = _roughness(offsets, patch.cells)
        tried = _shifted(offsets, patch, move, _ABRUPT)
        if around > _TORN_AROUND * usual and _roughness(tried, patch.cells)[0] < around:
            offsets = tried
            done.append(patch)
    if not done:
        return lattice, ()
    offsets = corrected(view, offsets, ((2.2, 1.0),))
    return lattice.with_offsets(offsets), tuple(done)


def _moves(
    view: View, lattice: Lattice, evidence: Evidence, cells: Cells, plain: NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    """Return for each cell how much less (a share) its surroundings cost moved, and the move."""
    steps = np.arange(-_REACH, _REACH + _STEP / 2, _STEP)
    moves = [(float(x), float(y)) for y in steps for x in steps]
    height, width = cells.shape
    inside = lattice.offsets[:, PAD : PAD + height, PAD : PAD + width]
    y, x = np.mgrid[0:height, 0:width].astype(np.float32) + np.float32(0.5)
    costs = np.empty((len(moves), height, width), dtype=np.float32)
    for number, (right, down) in enumerate(moves):
        colours = np.moveaxis(view.spot(x + right + inside[0], y + down + inside[1]), 0, -1)
        even = lab(colours / evidence.even.light)
        cost = _own_distance(even, evidence.palette, cells)
        costs[number] = gaussian_filter(np.where(plain, cost, 8.0), _PATCH)
    still = costs[moves.index((0.0, 0.0))]
    best = costs.argmin(axis=0)
    gain = np.where(still > _POOR, (still - costs.min(axis=0)) / still, 0.0)
    return gain, np.asarray(moves)[best]


def _own_distance(even: Floats, palette: Palette, cells: Cells) -> Floats:
    root = np.linalg.cholesky(palette.precision)
    off = (even - palette.lab[cells]) @ root
    own: Floats = np.minimum(np.square(off).sum(axis=-1), FARTHEST)
    return own


def _patches(gain: Floats, move: Floats) -> list[tuple[Patch, Floats]]:
    """Return patches that are better moved, and how all cells of each move (height, width, 2)."""
    better = (gain > _NEED) & (np.abs(move).max(axis=-1) > _MOVED)
    joined, many = label(binary_dilation(better))
    patches = []
    for number in range(1, many + 1):
        mine = joined == number
        sure = mine & better
        if sure.sum() < _FEWEST:
            continue
        usual = np.median(move[sure], axis=0)
        own = np.where(sure[..., None], move, usual) * mine[..., None]
        own = np.stack([median_filter(own[..., k], 5) * mine for k in range(2)], axis=-1)
        patches.append((Patch(mine, (float(usual[0]), float(usual[1]))), own))
    return patches


def _roughness(offsets: Singles, cells: NDArray[np.bool_]) -> tuple[float, float]:
    """Return how much the lattice changes around a patch, and how much it usually does."""
    inner = offsets[:, PAD : PAD + cells.shape[0], PAD : PAD + cells.shape[1]]
    ring = binary_dilation(cells, iterations=2) & ~cells
    around = usual = 0.0
    for part in inner:
        for axis in (0, 1):
            rough = np.maximum(np.abs(np.diff(part, axis=axis)) - _SMOOTH, 0)
            here = ring[1:] if axis == 0 else ring[:, 1:]
            around += float(rough[here].sum()) / max(1, int(ring.sum()))
            usual += float(rough.sum()) / cells.size
    return around, usual


def _shifted(offsets: Singles, patch: Patch, move: Floats, sigma: float) -> Singles:
    made = offsets.copy()
    height, width = patch.cells.shape
    for axis in range(2):
        smooth = gaussian_filter(move[..., axis], sigma)
        made[axis, PAD : PAD + height, PAD : PAD + width] += smooth.astype(np.float32)
    return made
