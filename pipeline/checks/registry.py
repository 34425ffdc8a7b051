"""All checks, in the order in which the reference lists them."""

from __future__ import annotations

from . import colours, keys, lines, pieces, placings, printed, slips, symmetry, words
from .checking import Check

CHECKS: tuple[Check, ...] = (
    *symmetry.CHECKS,
    *lines.CHECKS,
    *pieces.CHECKS,
    *placings.CHECKS,
    *keys.CHECKS,
    *colours.CHECKS,
    *printed.CHECKS,
    *words.CHECKS,
    *slips.CHECKS,
)
