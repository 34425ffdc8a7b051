"""Light taken off: colours of cells as they would be if the light were the same everywhere.

Light multiplies, so that it adds in the logarithm. It is known where the same thing is seen in many
places: bare cloth, or, where it is known what every cell is (from a chart, or from a first
reading), all cells of one thread.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from ..colour.colorimetry import lab_of_xyz, linear, xyz_of_light
from .placing import Floats

_DARKEST = 4.0  # of 255; darker tells nothing of the light
_DEGREE = 3  # of the polynomial over the whole piece
_BLOCK = 14  # crosses; in each block the lighter half is cloth, to begin with
_FITS = 6
_NEARBY = 5.0  # sigma in crosses of the light that cloth near by tells
_LEAST_CLOTH = 0.05  # share of cloth near by that is enough to tell
_SIGMA = 6.0  # in crosses, of the light that known cells tell
_ROUNDS = 4
_ODD = 0.12  # in the logarithm: a cell so far off weighs half


@dataclass(frozen=True, eq=False)
class Even:
    """Colours in even light: (height, width, 3) sRGB, 0 to 255 and beyond, and the light taken off.

    light: (height, width, 3), 1 on average.
    """

    colours: Floats
    light: Floats

    @property
    def lab(self) -> Floats:
        """The colours as Lab."""
        return lab(self.colours)


def lab(colours: Floats) -> Floats:
    """Return Lab of sRGB channels from 0 to 255."""
    return lab_of_xyz(xyz_of_light(linear(np.clip(colours / 255, 0, 1))))


def by_cloth(means: Floats) -> tuple[Even, NDArray[np.bool_]]:
    """Take off the light that bare cloth tells; also return which cells are taken for cloth.

    means: (height, width, 3) sRGB of cells. Cloth is what most light cells have in common: a smooth
    surface is laid through it, and what lies far from it is left out, again and again.
    """
    height, width = means.shape[:2]
    v, u = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    powers = [(i, j) for i in range(_DEGREE + 1) for j in range(_DEGREE + 1 - i)]
    terms = np.stack([u**i * v**j for i, j in powers], axis=-1).reshape(-1, len(powers))
    logs = np.log(np.clip(means, _DARKEST, None)).reshape(-1, 3)
    cloth = _lighter_half(logs.mean(axis=1).reshape(height, width)).ravel()
    surface = np.zeros_like(logs)
    for _ in range(_FITS):
        surface = terms @ np.linalg.lstsq(terms[cloth], logs[cloth], rcond=None)[0]
        rest = logs - surface
        off = rest[cloth] - np.median(rest[cloth], axis=0)
        spread = 1.4826 * np.median(np.abs(off), axis=0) + 1e-3
        nearer = (np.abs(rest) < 3 * spread).all(axis=1)
        if nearer.sum() < 3 * len(powers):
            break
        cloth = nearer
    bare = cloth.reshape(height, width)
    rest = (logs - surface).reshape(means.shape)
    known = gaussian_filter(bare.astype(float), _NEARBY)
    near = np.stack([gaussian_filter(rest[..., k] * bare, _NEARBY) for k in range(3)], axis=-1)
    enough = (known > _LEAST_CLOTH)[..., None]
    light = surface.reshape(means.shape) + np.where(
        enough, near / np.maximum(known, 1e-6)[..., None], 0
    )
    return _evened(means, light), bare


def _lighter_half(lightness: Floats) -> NDArray[np.bool_]:
    lighter = np.zeros(lightness.shape, dtype=bool)
    for top in range(0, lightness.shape[0], _BLOCK):
        for left in range(0, lightness.shape[1], _BLOCK):
            block = slice(top, top + _BLOCK), slice(left, left + _BLOCK)
            lighter[block] = lightness[block] >= np.median(lightness[block])
    return lighter


def by_cells(means: Floats, cells: NDArray[np.int32], known: NDArray[np.bool_]) -> Even:
    """Take off the light in which cells of one thread look alike.

    cells: (height, width) thread of each, as far as it is `known`; cells that do not look like
    the others of their thread have little say.
    """
    logs = np.log(np.clip(means, _DARKEST, None))
    light = np.zeros_like(logs)
    many = int(cells.max()) + 1
    for _ in range(_ROUNDS):
        rest = logs - light
        usual = np.zeros((many, 3))
        for thread in range(many):
            mine = known & (cells == thread)
            if mine.any():
                usual[thread] = np.median(rest[mine], axis=0)
        lit = logs - usual[cells]
        weight = known / (1 + (np.linalg.norm(lit - light, axis=-1) / _ODD) ** 2)
        total = gaussian_filter(weight, _SIGMA)[..., None] + 1e-9
        parts = [gaussian_filter(lit[..., k] * weight, _SIGMA) for k in range(3)]
        light = np.stack(parts, axis=-1) / total
    return _evened(means, light)


def _evened(means: Floats, logs: Floats) -> Even:
    logs = logs - np.median(logs, axis=(0, 1))
    light = np.exp(logs)
    return Even(means / light, light)
