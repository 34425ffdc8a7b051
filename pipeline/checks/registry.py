"""All checks, in the order in which the reference lists them."""

from __future__ import annotations

from . import colours, keys, lines, pieces, printed, remarks, symmetry
from .checking import Check
from .slips import placings, slips

CHECKS: tuple[Check, ...] = (
    *symmetry.CHECKS,
    *lines.CHECKS,
    *pieces.CHECKS,
    *placings.CHECKS,
    *keys.CHECKS,
    *colours.CHECKS,
    *printed.CHECKS,
    *remarks.CHECKS,
    *slips.CHECKS,
)
