"""What every command shares: how findings are said, progress is shown and files are written."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from math import isnan
from pathlib import Path
from threading import Event, Thread
from typing import TYPE_CHECKING, Any, NoReturn

import click

from .chart.options import LARGE_CELL, Ink, NotAPaper, PageSize, holds_large, paper_named
from .core.characters import escaped
from .core.diagnostics import Diagnostics
from .core.output import CannotWrite, may_write, write_whole
from .core.suggest import listed
from .reports.listing import list_findings
from .terminal import echo, echo_findings

if TYPE_CHECKING:
    from .compose.worked import WorkedChart
    from .flow import Composed, Flow

FINDINGS = 1  # exit status: the chart has errors, or a comparison found what it was asked to find
MISUSE = 2  # exit status: the command cannot be carried out as asked
LONG = 1.0  # second, after which a terminal is told what is being done

Report = Callable[[str, int, int], None]

CHART = click.argument(
    "chart", metavar="CHART", type=click.Path(exists=True, dir_okay=False, path_type=Path)
)
COLOURWAY = click.option("--colourway", metavar="NAME", help="A colourway of the chart.")
LETTERS = click.option(
    "--letter",
    "letters",
    multiple=True,
    metavar="NAME=TEXT",
    help="New words for a text marked `changeable`; repeated, for its next line.",
)

# How a booklet looks, for every command that builds one.
BOOKLET = click.option(
    "-o", "--output", type=click.Path(path_type=Path), help="Where the PDF goes."
)


def _paper(_context: click.Context, _parameter: click.Parameter, value: str | PageSize) -> PageSize:
    if not isinstance(value, str):
        return value
    try:
        return paper_named(value)
    except NotAPaper as reason:
        raise click.BadParameter(str(reason)) from None


PAPER = click.option(
    "--paper",
    metavar="PAPER",
    default="a4",
    show_default=True,
    callback=_paper,
    help="a3, a4, a5, letter, half-letter, or a size of your own: '200 x 250 mm'.",
)
INK = click.option(
    "--ink",
    type=click.Choice([each.value for each in Ink]),
    default="colour",
    show_default=True,
    help="Thread colours, pale tints, or symbols alone for black-and-white printing.",
)


def _number(
    _context: click.Context, _parameter: click.Parameter, value: float | None
) -> float | None:
    if value is not None and isnan(value):  # which no range shuts out
        raise click.BadParameter("nan is not a size.")
    return value


CELL = click.option(
    "--cell",
    type=click.FloatRange(1.5, 12),
    callback=_number,
    metavar="MM",
    help="Side of a chart cell; otherwise the size that needs the fewest pages.",
)
LARGE = click.option(
    "--large",
    is_flag=True,
    help="Large print: words of 22 points or more, chart cells of 5 mm or more.",
)


def check_large(paper: PageSize, cell: float | None) -> None:
    """Leave with a sentence when paper or cells are too small for large print."""
    if not holds_large(paper):
        stop(
            "--large needs room: pages of A4, A3 or Letter, or --fold with sheets of a3 or tabloid."
        )
    if cell is not None and cell < LARGE_CELL:
        stop(f"--large has cells of {LARGE_CELL:g} mm or more; --cell asks for {cell:g} mm.")


def letters_in(letters: Sequence[str]) -> dict[str, tuple[str, ...]]:
    """Return the lettering of a personal copy; leave with status 2 where it cannot be."""
    from .compose.copies import NotChangeable, letters_asked

    try:
        return letters_asked(letters)
    except NotChangeable as reason:
        stop(f"--letter: {reason}")


def begin(chart: Path, letters: Sequence[str] = (), root: Path | None = None) -> Composed | Flow:
    """Read and compose a chart, or a personal copy; leave with status 2 on misuse.

    root: as for `set_out`.
    """
    from .compose.copies import NotChangeable
    from .flow import set_out

    try:
        with told_if_long("reading"):
            return set_out(chart, letters_in(letters), root)
    except NotChangeable as reason:
        stop(f"--letter: {reason}")


def follow_flow(chart: Path, letters: Sequence[str] = (), root: Path | None = None) -> Flow:
    """Return what becomes of a chart, or of a personal copy; leave with status 2 on misuse."""
    from .flow import Composed

    begun = begin(chart, letters, root)
    if not isinstance(begun, Composed):
        return begun
    with told_if_long("checking"):
        return begun.check()


def follow_chart(
    chart: Path,
    colourway: str | None = None,
    letters: Sequence[str] = (),
    *,
    alone: bool = True,
) -> WorkedChart:
    """Return the worked chart, having told all findings; leave with status 1 on errors.

    alone: whether nothing else was named; if not, a file without a chart is skipped.
    """
    worked = told(follow_flow(chart, letters), alone=alone)
    if colourway is None:
        return worked
    from .compose.copies import recolour

    check_colourway(chart, worked, colourway)
    return recolour(worked, colourway)


class PassedOver(Exception):
    """A file among several that a command has nothing to do with."""


def told(flow: Flow, *, alone: bool = True) -> WorkedChart:
    """Tell all findings; return the worked chart, or leave with status 1 on errors.

    Raises:
        PassedOver: for a file without a chart, unless it is alone.
    """
    if flow.shared is not None and not alone:
        raise PassedOver
    say(flow.findings)
    if flow.worked is None:
        sys.exit(FINDINGS)
    return flow.worked


def check_colourway(chart: Path, worked: WorkedChart, colourway: str) -> None:
    """Leave with a sentence when a chart has no colourway of that name."""
    names = [each.name for each in worked.design.colourways]
    if colourway not in names:
        known = ", ".join(names) if names else "none"
        stop(f"{chart} has no colourway named {colourway}. It has: {known}.")


def say(findings: Diagnostics) -> None:
    """Tell findings on the error stream, file by file, with their count."""
    if findings:
        echo_findings(list_findings(findings), err=True)


def target_of(beside: Path, output: Path | None, suffixes: tuple[str, ...], name: str) -> Path:
    """Return where an output goes: as asked, or under a name beside a file.

    Leaves with a sentence where it cannot go there, before anything is worked out.
    """
    target = beside.with_name(name) if output is None else output
    if target.suffix.lower() not in suffixes:
        stop(f"The output {target} must end in {listed(suffixes, 'or')}.")
    try:
        may_write(target)
    except CannotWrite as reason:
        stop(str(reason))
    return target


def write(target: Path, data: bytes, sources: Iterable[Path] = (), account: str = "") -> None:
    """Write a file whole and tell what and where it is, or leave with a plain message.

    sources: files that it was made of, which it may not take the place of.
    """
    for source in sources:
        if _same(source, target):
            stop(f"{target} is a file that the chart is made of; name another with -o.")
    try:
        write_whole(target, data)
    except CannotWrite as reason:
        stop(str(reason))
    if account:
        echo(account)
    echo(escaped(str(target)))


def _same(source: Path, target: Path) -> bool:
    try:
        return source.samefile(target)
    except OSError:  # one of them is not there
        return False


def stop(message: str, to_type: str = "") -> NoReturn:
    """Say why the command cannot be carried out, and leave with status 2.

    to_type: a line for the shell that mends it, below the message.
    """
    echo(f"linenleaf: {escaped(message)}", err=True)
    if to_type:
        echo(escaped(to_type), err=True)
    sys.exit(MISUSE)


@contextmanager
def progress() -> Iterator[Report]:
    """Show what is being done on a terminal; say nothing elsewhere."""
    if not sys.stderr.isatty():
        yield lambda _stage, _done, _total: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    with Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        console=Console(stderr=True),
        transient=True,
    ) as bar:
        tasks: dict[str, Any] = {}

        def report(stage: str, done: int, total: int) -> None:
            if stage not in tasks:
                tasks[stage] = bar.add_task(stage, total=total or None)
            bar.update(tasks[stage], completed=done, total=total or None)  # 0: not known yet

        yield report


@contextmanager
def told_if_long(what: str) -> Iterator[None]:
    """Show on a terminal what is being done, from when it has taken long until it is done.

    For work that cannot tell how far it is, and mostly is done before anybody wonders.
    """
    if not sys.stderr.isatty():
        yield
        return
    done = Event()

    def show() -> None:
        if not done.wait(LONG):
            from rich.console import Console

            with Console(stderr=True).status(what):
                done.wait()

    shown = Thread(target=show, daemon=True)
    shown.start()
    try:
        yield
    finally:
        done.set()
        shown.join()
