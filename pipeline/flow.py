"""The way of the data on one screen: read, compose, check."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from .checks import examine
from .compose import compose
from .diagnostics import Diagnostics, Silenced, has_errors, in_order
from .read import read
from .worked import WorkedChart


@dataclass(frozen=True)
class Flow:
    """What became of a source: the worked chart, None after an error, and every finding.

    silenced: findings that a remark in the source keeps quiet; they are not among `findings`.
    """

    worked: WorkedChart | None
    findings: Diagnostics
    silenced: tuple[Silenced, ...] = ()


def follow(path: Path) -> Flow:
    """Read, compose and check the chart at a path.

    Each stage is finished before its errors stop the next one, so that one run tells all that
    can be told.
    """
    design, findings = read(path)
    if design is None or has_errors(findings):
        return Flow(None, in_order(findings))
    worked, more = compose(design)
    findings += more
    if worked is None or has_errors(findings):
        return Flow(None, in_order(findings))
    more, silenced = examine(worked)
    findings = in_order(findings + more)
    return Flow(None if has_errors(findings) else worked, findings, silenced)
