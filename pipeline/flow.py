"""The way of the data on one screen: read, compose, check."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from .checks import NAMES, examine
from .compose import compose
from .diagnostics import Diagnostics, Silenced, has_errors, in_order
from .model import Design
from .personal import Letters, explained, personalise
from .read import read
from .worked import WorkedChart

OF_THE_MASTER = frozenset({"not-as-expected"})  # checks that a personal copy is not held to


@dataclass(frozen=True)
class Flow:
    """What became of a source: the worked chart, None after an error, and every finding.

    silenced: findings that a remark in the source keeps quiet; they are not among `findings`.
    """

    worked: WorkedChart | None
    findings: Diagnostics
    silenced: tuple[Silenced, ...] = ()


def follow(path: Path, letters: Letters | None = None) -> Flow:
    """Read, compose and check the chart at a path.

    Each stage is finished before its errors stop the next one, so that one run tells all that
    can be told. letters: new lines of changeable lettering, by name, for a personal copy.

    Raises:
        NotChangeable: for a name that no lettering of the chart has.
    """
    design, findings = read(path)
    if design is None or has_errors(findings):
        return Flow(None, in_order(findings))
    if letters:
        return _copy(design, letters, findings)
    worked, more = compose(design)
    findings += more
    if worked is None or has_errors(findings):
        return Flow(None, in_order(findings))
    more, silenced = examine(worked)
    return _end(worked, findings + more, silenced)


def _copy(master: Design, letters: Letters, findings: Diagnostics) -> Flow:
    """Compose and check a personal copy; what the source expects is held to the master."""
    design = personalise(master, letters)
    worked, more = compose(design)
    findings += explained(more, design)
    if worked is None or has_errors(findings):
        return Flow(None, in_order(findings))
    more, silenced = examine(worked, NAMES - OF_THE_MASTER)
    findings += explained(more, design)
    published, _ = compose(master)
    if published is not None:
        more, quiet = examine(published, OF_THE_MASTER)
        findings, silenced = findings + more, silenced + quiet
    return _end(worked, findings, silenced)


def _end(worked: WorkedChart, findings: Diagnostics, silenced: tuple[Silenced, ...]) -> Flow:
    findings = in_order(findings)
    return Flow(None if has_errors(findings) else worked, findings, silenced)
