"""Colour: luminance, contrast, difference for the eye, and cell colours a symbol can be read on.

Colours are sRGB strings, `#rrggbb`; the reader lets nothing else through. Luminance and contrast
are those of WCAG 2.2 (W3C, "relative luminance" and "contrast ratio"); Lab is CIE 1976 under D65;
differences are CIEDE2000. Mixing in OKLab is left to coloraide, which is loaded only when asked.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .colorimetry import ciede2000, labs

if TYPE_CHECKING:
    from coloraide import Color

BLACK, WHITE = "#000000", "#ffffff"
READABLE = 4.5  # least contrast of text: WCAG 2.2, success criterion 1.4.3
_HALVINGS = 12  # finer than one step of an 8-bit channel


def channels(colour: str) -> tuple[int, int, int]:
    """Return red, green and blue, 0 to 255."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def to_linear(channel: float) -> float:
    """Return the light of an sRGB channel, both 0 to 1 (IEC 61966-2-1)."""
    return channel / 12.92 if channel <= 0.04045 else float(((channel + 0.055) / 1.055) ** 2.4)


def from_linear(light: float) -> float:
    """Return the sRGB channel of a light, both 0 to 1 (IEC 61966-2-1)."""
    return light * 12.92 if light <= 0.0031308 else float(1.055 * light ** (1 / 2.4) - 0.055)


@lru_cache(maxsize=4096)
def luminance(colour: str) -> float:
    """Return the relative luminance, 0 black to 1 white (WCAG 2.2)."""
    red, green, blue = (to_linear(each / 255) for each in channels(colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def lightness(colour: str) -> float:
    """Return L* of a colour, 0 (black) to 100 (white); CIE 15:2004, 8.2.1.1."""
    share = luminance(colour)
    return 116 * share ** (1 / 3) - 16 if share > (6 / 29) ** 3 else share * (29 / 3) ** 3


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours, 1 to 21 (WCAG 2.2)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def grey(colour: str) -> str:
    """Return the grey of the same luminance: what a black-and-white copy shows."""
    level = round(from_linear(luminance(colour)) * 255)
    return f"#{level:02x}{level:02x}{level:02x}"


@lru_cache(maxsize=4096)
def lab(colour: str) -> tuple[float, float, float]:
    """Return CIE Lab under D65: lightness 0 to 100, green-red, blue-yellow."""
    lightness, a, b = labs([colour])[0].tolist()
    return lightness, a, b


def difference(one: str, other: str) -> float:
    """Return how different two colours look: CIEDE2000 with its weights at 1.

    Source: G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 Color-Difference Formula", Color Research
    and Application 30(1), 2005, 21-30. Around 1 is the least that is seen side by side.
    """
    return float(ciede2000(lab(one), lab(other)))


def differences(colours: Sequence[str]) -> NDArray[np.float64]:
    """Return the CIEDE2000 difference of each two colours, (n, n), zero on the diagonal."""
    values = labs(colours)
    matrix = np.zeros((len(colours), len(colours)))
    for row in range(1, len(colours)):
        matrix[row, :row] = matrix[:row, row] = ciede2000(values[row], values[:row])
    return matrix


def ink_for(cell: str) -> str:
    """Return black or white, whichever stands out more on a cell of this colour.

    The better of the two never falls below a contrast of sqrt(21), 4.58, since the ratios to
    white and to black multiply to 21.
    """
    return BLACK if contrast(cell, BLACK) >= contrast(cell, WHITE) else WHITE


@lru_cache(maxsize=4096)
def tint(cell: str, least_contrast: float = READABLE, ink: str | None = None) -> str:
    """Return the cell colour, changed just enough for a symbol on it to be read.

    ink: colour of the symbol, black or white; None for the better of the two (which reaches 4.5
    on any colour, so that nothing changes below a `least_contrast` of 4.58).
    The colour moves towards white under a black symbol, and towards black under a white one, on a
    straight line in OKLab (B. Ottosson, 2020), so that its hue stays. A contrast above 21 cannot be
    had: then the result is white or black.
    """
    ink = ink_for(cell) if ink is None else ink
    if contrast(cell, ink) >= least_contrast:
        return cell
    far = WHITE if luminance(ink) < 0.5 else BLACK
    start, end = _colour(cell), _colour(far)
    low, high, best = 0.0, 1.0, far
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        tried = str(start.mix(end, middle, space="oklab").convert("srgb").to_string(hex=True))
        if contrast(tried, ink) >= least_contrast:
            high, best = middle, tried
        else:
            low = middle
    return best


@cache
def _colour_type() -> type[Color]:
    # Loading takes longer than all the arithmetic of a small chart.
    from coloraide import Color  # noqa: PLC0415

    return Color


def _colour(colour: str) -> Color:
    return _colour_type()(colour)
