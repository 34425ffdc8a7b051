"""Several charts at once: one after the other, summed up, ended with the worst status."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import click

from .console import FINDINGS, MISUSE, PassedOver, stop
from .core.characters import escaped
from .core.files import CannotList, charts_below
from .terminal import echo

CHARTS = click.argument(
    "charts",
    metavar="CHART...",
    nargs=-1,
    required=True,
    type=click.Path(exists=True, path_type=Path),
)
PASSED = "skipped"
_LEFT = {FINDINGS: "with errors", MISUSE: "not done"}
_FIRST = "with errors, not done, with warnings, with hints"  # in the sum


@dataclass(frozen=True)
class One:
    """A chart that is to be worked on.

    root: the folder that was named and it lies in, None for a chart that was named itself.
    alone: whether it is all that was named.
    """

    path: Path
    root: Path | None = None
    alone: bool = False


def one_by_one(
    named: Sequence[Path],
    do: Callable[[One], str],
    *,
    output: Path | None = None,
    closing: bool = True,
    err: bool = True,
) -> int:
    """Do something with all charts that were named, be it themselves or by their folders.

    do: returns in a word or two what became of a chart, such as `built`; when it leaves, the
    next chart is taken. output: one that was asked for, which is for one chart. closing: whether
    it is summed up when there was more than one. err: whether that goes to the error stream.
    Returns the worst status.
    """
    charts = _opened_up(named)
    if [each.alone for each in charts] == [True]:
        do(charts[0])
        return 0
    if output is not None:
        stop("-o names one file; leave it out where several charts or a folder are named.")
    outcomes: Counter[str] = Counter()
    worst = 0
    for each in charts:
        try:
            outcome = do(each)
        except PassedOver:
            outcome = PASSED
            echo(f"{escaped(str(each.path))}: holds no chart, {PASSED}.", err=True)
        except SystemExit as end:
            status = end.code if isinstance(end.code, int) else MISUSE
            worst = max(worst, status)
            outcome = _LEFT.get(status, "not done")
        outcomes[outcome] += 1
        if not gc.isenabled():
            gc.collect()  # see __main__: nobody else does
    if set(outcomes) == {PASSED}:
        stop("There is no chart among these files.")
    if closing and len(charts) > 1:
        order = sorted(outcomes, key=lambda each: (each not in _FIRST, _FIRST.find(each), each))
        told = ", ".join(f"{outcomes[outcome]} {outcome}" for outcome in order)
        echo(("" if err else "\n") + f"{len(charts)} files: {told}.", err=err)
    return worst


def _opened_up(named: Sequence[Path]) -> list[One]:
    """Return the charts in the order in which they were named, each once."""
    charts: dict[Path, One] = {}
    for path in named:
        if not path.is_dir():
            charts.setdefault(path.absolute(), One(path, alone=len(named) == 1))
            continue
        try:
            below = charts_below(path)
        except CannotList as reason:
            stop(str(reason))
        for link in below.links:
            echo(f"{escaped(str(link))}: a link, skipped.", err=True)
        if not below.charts:
            stop(f"There are no .linen files in {path}.")
        for chart in below.charts:
            charts.setdefault(chart.absolute(), One(chart, path))
    return list(charts.values())
