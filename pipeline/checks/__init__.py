"""What a technical editor would look at: `check` runs every rule on a worked chart."""

from __future__ import annotations

from collections.abc import Collection

from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostics, Silenced, in_order
from . import counted, keys, lines, lookalikes, openwork, photographs, pieces, remarks, symmetry
from .checking import Check
from .meant import without_the_meant
from .slips import slips

__all__ = ["CHECKS", "NAMES", "check", "examine"]

# All checks, in the order in which the reference lists them.
CHECKS: tuple[Check, ...] = (
    *symmetry.CHECKS,
    *lines.CHECKS,
    *pieces.CHECKS,
    *counted.CHECKS,
    *openwork.CHECKS,
    *keys.CHECKS,
    *lookalikes.CHECKS,
    *remarks.CHECKS,
    *photographs.CHECKS,
    *slips.CHECKS,
)

NAMES = frozenset(each.name for each in CHECKS)


def check(worked: WorkedChart) -> Diagnostics:
    """Return all findings about a worked chart, but for those that the designer says are meant."""
    return examine(worked)[0]


def examine(
    worked: WorkedChart, names: Collection[str] = NAMES
) -> tuple[Diagnostics, tuple[Silenced, ...]]:
    """Return the findings about a worked chart, and those that the designer says are meant.

    names: of the checks to run.
    """
    findings = [finding for each in CHECKS if each.name in names for finding in each.run(worked)]
    kept, quiet = without_the_meant(findings, worked.design.source, names, NAMES)
    return in_order(kept), tuple(quiet)
