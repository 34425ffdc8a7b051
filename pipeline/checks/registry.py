"""All checks, in the order in which the reference lists them."""

from __future__ import annotations

from . import keys, lines, pieces, slips, symmetry, words
from .checking import Check

CHECKS: tuple[Check, ...] = (
    *symmetry.CHECKS,
    *lines.CHECKS,
    *pieces.CHECKS,
    *keys.CHECKS,
    *words.CHECKS,
    *slips.CHECKS,
)
