"""Colours as they look to those who lack one of the three kinds of cone, and in a grey print.

Model: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A Physiologically-based Model for
Simulation of Color Vision Deficiency", IEEE Transactions on Visualization and Computer Graphics
15(6), 2009, 1291-1298; its matrices for the full deficiency, which act on linear sRGB. The authors
hold the third, for the rare lack of blue cones, to be an approximation only.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from typing import assert_never

import numpy as np

from .colorimetry import Floats, ciede2000, encoded, from_hex, labs, linear, to_hex
from .colour import grey


class Sight(StrEnum):
    """Ways of seeing, by what is said of them."""

    ALL = "to every eye"
    NO_RED = "to an eye without red cones (protanopia)"
    NO_GREEN = "to an eye without green cones (deuteranopia)"
    NO_BLUE = "to an eye without blue cones (tritanopia)"
    GREY = "in a grey print"

    @property
    def printed(self) -> bool:
        """Whether it is about a print, where symbols help, and not about an eye."""
        match self:
            case Sight.GREY:
                return True
            case Sight.ALL | Sight.NO_RED | Sight.NO_GREEN | Sight.NO_BLUE:
                return False
            case _:
                assert_never(self)


_NO_RED, _NO_GREEN, _NO_BLUE = (
    (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
)


def seen(colours: Sequence[str], sight: Sight) -> list[str]:
    """Return sRGB colours as they look in one way of seeing; what leaves sRGB is cut to it."""
    match sight:
        case Sight.ALL:
            return list(colours)
        case Sight.GREY:
            return [grey(colour) for colour in colours]
        case Sight.NO_RED:
            cones = _NO_RED
        case Sight.NO_GREEN:
            cones = _NO_GREEN
        case Sight.NO_BLUE:
            cones = _NO_BLUE
        case _:
            assert_never(sight)
    light = linear(from_hex(colours)) @ np.array(cones).T
    return [to_hex(each) for each in encoded(light)]


def apart(ones: Sequence[str], others: Sequence[str], sight: Sight) -> Floats:
    """Return how different each colour looks from its counterpart, in CIEDE2000, (n,)."""
    return ciede2000(labs(seen(ones, sight)), labs(seen(others, sight)))
