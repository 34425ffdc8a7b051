"""Colours as arrays: sRGB, CIE XYZ and Lab, another light, and CIEDE2000 of many at once.

The last axis holds the three values of a colour. XYZ has Y 1 for white. Lab is CIE 1976, under
D65 unless said otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def _white(x: float, y: float) -> Floats:
    return np.array([x / y, 1.0, (1 - x - y) / y])


# Chromaticities: D65 and the sRGB primaries from IEC 61966-2-1; D50 from CSS Color Module Level 4.
D65 = _white(0.3127, 0.3290)
D50 = _white(0.3457, 0.3585)
_PRIMARIES = np.stack([_white(0.64, 0.33), _white(0.30, 0.60), _white(0.15, 0.06)], axis=1)
_TO_XYZ = _PRIMARIES * np.linalg.solve(_PRIMARIES, D65)
_FROM_XYZ = np.linalg.inv(_TO_XYZ)
# Cone responses by Bradford: ICC.1:2022, annex E.
_CONES = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
_EPSILON, _KAPPA = 216 / 24389, 24389 / 27  # CIE 15:2018, where cube root and line meet


def from_hex(colours: Sequence[str]) -> Floats:
    """Return sRGB colours `#rrggbb` as channels from 0 to 1, (n, 3)."""
    data = bytes.fromhex("".join(colour[1:] for colour in colours))
    return np.frombuffer(data, np.uint8).reshape(-1, 3) / 255


def to_hex(channels: ArrayLike) -> str:
    """Return one colour as `#rrggbb`; what lies outside sRGB is cut to its nearest channel."""
    levels = np.rint(np.clip(channels, 0, 1) * 255).astype(int)
    return "#" + "".join(f"{each:02x}" for each in levels.tolist())


def linear(channels: ArrayLike) -> Floats:
    """Return the light of sRGB channels (IEC 61966-2-1)."""
    value = np.asarray(channels, dtype=np.float64)
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def encoded(light: ArrayLike) -> Floats:
    """Return sRGB channels of light (IEC 61966-2-1); what lies outside is cut to 0 and 1."""
    value = np.clip(np.asarray(light, dtype=np.float64), 0, 1)
    return np.where(value <= 0.0031308, value * 12.92, 1.055 * value ** (1 / 2.4) - 0.055)


def xyz_of_light(light: ArrayLike) -> Floats:
    """Return XYZ of linear sRGB."""
    return np.asarray(light, dtype=np.float64) @ _TO_XYZ.T


def light_of_xyz(xyz: ArrayLike) -> Floats:
    """Return linear sRGB of XYZ."""
    return np.asarray(xyz, dtype=np.float64) @ _FROM_XYZ.T


def lab_of_xyz(xyz: ArrayLike, white: Floats = D65) -> Floats:
    """Return Lab of XYZ under a white (CIE 15:2018)."""
    ratio = np.asarray(xyz, dtype=np.float64) / white
    root = np.where(ratio > _EPSILON, np.cbrt(ratio), (_KAPPA * ratio + 16) / 116)
    x, y, z = np.moveaxis(root, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def xyz_of_lab(lab: ArrayLike, white: Floats = D65) -> Floats:
    """Return XYZ of Lab under a white (CIE 15:2018)."""
    lightness, a, b = np.moveaxis(np.asarray(lab, dtype=np.float64), -1, 0)
    y = (lightness + 16) / 116
    root = np.stack([y + a / 500, y, y - b / 200], axis=-1)
    cube = root**3
    ratio = np.where(cube > _EPSILON, cube, (116 * root - 16) / _KAPPA)
    return np.asarray(ratio * white)


def adapted(xyz: ArrayLike, seen: Floats, wanted: Floats = D65) -> Floats:
    """Return how XYZ would be in another light: `seen` becomes `wanted` (Bradford)."""
    gain = (_CONES @ wanted) / (_CONES @ seen)
    change = np.linalg.inv(_CONES) @ (gain[:, None] * _CONES)
    xyz_wanted: Floats = np.asarray(xyz, dtype=np.float64) @ change.T
    return xyz_wanted


def labs(colours: Sequence[str]) -> Floats:
    """Return Lab of sRGB colours `#rrggbb`, (n, 3)."""
    return lab_of_xyz(xyz_of_light(linear(from_hex(colours))))


def hex_of_lab(lab: ArrayLike) -> str:
    """Return one Lab colour as the nearest `#rrggbb`."""
    return to_hex(encoded(light_of_xyz(xyz_of_lab(lab))))


def ciede2000(one: ArrayLike, other: ArrayLike) -> Floats:
    """Return the CIEDE2000 difference of Lab colours, broadcast against each other.

    Source: G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 Color-Difference Formula", Color Research
    and Application 30(1), 2005, 21-30, with its weights at 1; the numbers are those of its
    equations.
    """
    l1, a1, b1 = np.moveaxis(np.asarray(one, dtype=np.float64), -1, 0)
    l2, a2, b2 = np.moveaxis(np.asarray(other, dtype=np.float64), -1, 0)
    mean = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2) ** 7
    g = 0.5 * (1 - np.sqrt(mean / (mean + 25.0**7)))  # 4
    a1, a2 = (1 + g) * a1, (1 + g) * a2  # 5
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)  # 6
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360, np.degrees(np.arctan2(b2, a2)) % 360  # 7
    grey = c1 * c2 == 0
    turn = h2 - h1
    turn = np.where(
        grey, 0, np.where(turn > 180, turn - 360, np.where(turn < -180, turn + 360, turn))
    )  # 10
    dl, dc = l2 - l1, c2 - c1  # 8, 9
    dh = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn) / 2)  # 11
    lightness, chroma = (l1 + l2) / 2, (c1 + c2) / 2  # 12, 13
    total = h1 + h2
    far = np.abs(h1 - h2) > 180
    hue = np.where(far, np.where(total < 360, total + 360, total - 360), total) / 2
    hue = np.where(grey, total, hue)  # 14
    t = (
        1
        - 0.17 * np.cos(np.radians(hue - 30))
        + 0.24 * np.cos(np.radians(2 * hue))
        + 0.32 * np.cos(np.radians(3 * hue + 6))
        - 0.20 * np.cos(np.radians(4 * hue - 63))
    )  # 15
    rotation = 30 * np.exp(-(((hue - 275) / 25) ** 2))  # 16
    rc = 2 * np.sqrt(chroma**7 / (chroma**7 + 25.0**7))  # 17
    off = (lightness - 50) ** 2
    sl = 1 + 0.015 * off / np.sqrt(20 + off)  # 18
    sc, sh = 1 + 0.045 * chroma, 1 + 0.015 * chroma * t  # 19, 20
    rt = -np.sin(np.radians(2 * rotation)) * rc  # 21
    l, c, h = dl / sl, dc / sc, dh / sh  # noqa: E741
    difference: Floats = np.sqrt(np.maximum(l**2 + c**2 + h**2 + rt * c * h, 0))  # 22
    return difference
