"""The way of the data on one screen: read, compose, check."""

from __future__ import annotations

from collections.abc import Callable, Set
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from .compose.compose import compose
from .compose.copies import Letters, explained, personalise
from .compose.worked import WorkedChart
from .core.diagnostics import Diagnostics, Silenced, has_errors, in_order
from .core.model import Design
from .resolve.library import Shared, no_chart
from .resolve.read import read_any

OF_THE_MASTER = frozenset({"not-as-expected"})  # checks that a personal copy is not held to


@dataclass(frozen=True)
class Flow:
    """What became of a source: the worked chart, None after an error, and every finding.

    silenced: findings that a remark in the source keeps quiet; they are not among `findings`.
    shared: of a file of motifs, alphabets or ranges for charts to use, its own findings; that it
    holds no chart, an error to who wants one, is only among `findings`.
    """

    worked: WorkedChart | None
    findings: Diagnostics
    silenced: tuple[Silenced, ...] = ()
    shared: Diagnostics | None = None

    @property
    def proper(self) -> Diagnostics:
        """The findings on what the file is: a chart, or one for charts to use."""
        return self.findings if self.shared is None else self.shared


@dataclass(frozen=True)
class Composed:
    """A chart on its way: what is stitched is known, and `check` follows the rest of the way."""

    worked: WorkedChart
    check: Callable[[], Flow]


def follow(path: Path, letters: Letters | None = None) -> Flow:
    """Read, compose and check the chart at a path.

    Each stage is finished before its errors stop the next one, so that one run tells all that
    can be told. letters: new lines of changeable lettering, by name, for a personal copy.

    Raises:
        NotChangeable: for a name that no lettering of the chart has.
    """
    laid_out = set_out(path, letters)
    return laid_out.check() if isinstance(laid_out, Composed) else laid_out


def set_out(
    path: Path, letters: Letters | None = None, root: Path | None = None
) -> Composed | Flow:
    """Read and compose the chart at a path, for whoever has work to do while it is checked.

    A flow comes back where errors end the way here. root: the folder that a file for charts to
    use may not lead out of, its own where not stated. See `follow`.
    """
    design, findings = read_any(path, root)
    if isinstance(design, Shared):
        return Flow(None, in_order((*findings, no_chart(design))), shared=findings)
    if design is None or has_errors(findings):
        return Flow(None, in_order(findings))
    if letters:
        return _copy(design, letters, findings)
    worked, more = compose(design)
    findings += more
    if worked is None or has_errors(findings):
        return Flow(None, in_order(findings))
    return Composed(worked, partial(_check, worked, findings))


def _check(worked: WorkedChart, findings: Diagnostics) -> Flow:
    more, silenced = _examined(worked)
    return _end(worked, findings + more, silenced)


def _copy(master: Design, letters: Letters, findings: Diagnostics) -> Composed | Flow:
    """Compose a personal copy; what the source expects is held to the master."""
    design = personalise(master, letters)
    worked, more = compose(design)
    findings += explained(more, design)
    if worked is None or has_errors(findings):
        return Flow(None, in_order(findings))
    return Composed(worked, partial(_check_copy, master, worked, findings))


def _check_copy(master: Design, worked: WorkedChart, findings: Diagnostics) -> Flow:
    more, silenced = _examined(worked, without=OF_THE_MASTER)
    findings += explained(more, worked.design)
    published, _ = compose(master)
    if published is not None:
        more, quiet = _examined(published, only=OF_THE_MASTER)
        findings, silenced = findings + more, silenced + quiet
    return _end(worked, findings, silenced)


def _examined(
    worked: WorkedChart, only: Set[str] | None = None, without: Set[str] = frozenset()
) -> tuple[Diagnostics, tuple[Silenced, ...]]:
    # Loaded here, since whoever sets out has other work to do first.
    from .checks import NAMES, examine  # noqa: PLC0415

    return examine(worked, (NAMES if only is None else only) - without)


def _end(worked: WorkedChart, findings: Diagnostics, silenced: tuple[Silenced, ...]) -> Flow:
    findings = in_order(findings)
    return Flow(None if has_errors(findings) else worked, findings, silenced)
