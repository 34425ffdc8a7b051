"""What every command shares: how findings are said, progress is shown and files are written."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from .chart.options import LARGE_CELL, LARGE_PAPERS, Ink, Paper
from .core.diagnostics import Diagnostics, Level
from .core.output import CannotWrite, write_whole
from .reports.listing import list_findings

if TYPE_CHECKING:
    from .compose.worked import WorkedChart
    from .flow import Composed, Flow

FINDINGS = 1  # exit status: the chart has errors, or a comparison found what it was asked to find
MISUSE = 2  # exit status: the command cannot be carried out as asked
LONGEST_MARK = 100  # characters that a colourway or personal copy adds to the name of a file

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
    help="A text marked `changeable`, for a personal copy; given again, its next line.",
)

# How a booklet looks, for every command that builds one.
BOOKLET = click.option(
    "-o", "--output", type=click.Path(path_type=Path), help="Where the PDF goes."
)
PAPER = click.option(
    "--paper", type=click.Choice([each.value for each in Paper]), default="a4", show_default=True
)
INK = click.option(
    "--ink",
    type=click.Choice([each.value for each in Ink]),
    default="colour",
    show_default=True,
    help="Thread colours, pale tints, or symbols alone for black-and-white printing.",
)
CELL = click.option(
    "--cell",
    type=click.FloatRange(1.5, 12),
    metavar="MM",
    help="Side of a chart cell; without it the size that needs the fewest pages.",
)
LARGE = click.option(
    "--large",
    is_flag=True,
    help="Large print for tired eyes: text of 16 points, chart cells of 5 mm or more.",
)


def check_large(paper: Paper, cell: float | None) -> None:
    """Leave with a sentence when paper or cells are too small for large print."""
    if paper not in LARGE_PAPERS:
        stop(
            "--large needs room: pages of A4, A3 or Letter, or --fold with sheets of a3 or tabloid."
        )
    if cell is not None and cell < LARGE_CELL:
        stop(f"--large has cells of {LARGE_CELL:g} mm or more; --cell asks for {cell:g} mm.")


def follow_flow(chart: Path, letters: Sequence[str] = ()) -> Flow:
    """Return what becomes of a chart, or of a personal copy; leave with status 2 on misuse."""
    from .flow import Composed

    found = begin(chart, letters)
    return found.check() if isinstance(found, Composed) else found


def begin(chart: Path, letters: Sequence[str] = ()) -> Composed | Flow:
    """Read and compose a chart, or a personal copy; leave with status 2 on misuse."""
    from .compose.personal import NotChangeable, letters_asked
    from .flow import set_out

    try:
        return set_out(chart, letters_asked(letters))
    except NotChangeable as reason:
        stop(f"--letter: {reason}")


def follow_chart(
    chart: Path, colourway: str | None = None, letters: Sequence[str] = ()
) -> WorkedChart:
    """Return the worked chart, having told all findings; leave with status 1 on errors."""
    worked = told(follow_flow(chart, letters))
    if colourway is None:
        return worked
    from .compose.colourway import recolour

    check_colourway(chart, worked, colourway)
    return recolour(worked, colourway)


def told(flow: Flow) -> WorkedChart:
    """Tell all findings; return the worked chart, or leave with status 1 on errors."""
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
        told = list_findings(findings, colour=lambda text: coloured(text, err=True))
        click.echo(told, err=True)


def coloured(text: str, *, err: bool = False) -> str:
    """Colour the level of a finding when it goes to a terminal that wants colour."""
    if not _wants_colour(err=err):
        return text
    head, _, rest = text.partition("\n")
    colours = {Level.ERROR: "red", Level.WARNING: "yellow", Level.HINT: "cyan"}
    for level, colour in colours.items():
        word = f"{level.word}:"
        if word in head:
            head = head.replace(word, click.style(word, fg=colour, bold=True), 1)
            break
    return f"{head}\n{rest}" if rest else head


def _wants_colour(*, err: bool) -> bool:
    return (sys.stderr if err else sys.stdout).isatty() and not os.environ.get("NO_COLOR")


def target_of(
    chart: Path,
    output: Path | None,
    suffixes: tuple[str, ...],
    colourway: str | None = None,
    letters: Sequence[str] = (),
) -> Path:
    """Return where an output goes: as asked, or beside the chart with the first suffix.

    A colourway and a personal copy get names of their own: they never take the place of the
    booklet that is sold.
    """
    target = chart.with_suffix(suffixes[0]) if output is None else output
    if output is None and (colourway or letters):
        words = [colourway or "", *(text.partition("=")[2] for text in letters)]
        plain = [re.sub(r"[^\w-]+", "-", word).strip("-") for word in words]
        mark = "-".join(word for word in plain if word) or "personal"
        target = chart.with_name(f"{chart.stem}-{mark[:LONGEST_MARK]}{suffixes[0]}")
    if target.suffix.lower() not in suffixes:
        stop(f"The output {target} must end in {' or '.join(suffixes)}.")
    return target


def write(target: Path, data: bytes) -> None:
    """Write a file whole, or leave with a plain message."""
    try:
        write_whole(target, data)
    except CannotWrite as reason:
        stop(str(reason))


def stop(message: str) -> NoReturn:
    """Say why the command cannot be carried out, and leave with status 2."""
    click.echo(f"linenleaf: {message}", err=True)
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
