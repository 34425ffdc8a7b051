"""All checks, in the order in which the reference lists them."""

from __future__ import annotations

from . import keys, lines, pieces, printed, slips, symmetry, words
from .checking import Check

CHECKS: tuple[Check, ...] = (
    *symmetry.CHECKS,
    *lines.CHECKS,
    *pieces.CHECKS,
    *keys.CHECKS,
    *printed.CHECKS,
    *words.CHECKS,
    *slips.CHECKS,
)
