"""The commands: arguments in, words out.

Modules that draw are imported inside the commands that draw, so that `check` and `count` answer
without waiting for the renderer.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from . import __version__
from .diagnostics import Diagnostics, Level, as_json, has_errors, render, summary
from .output import CannotWrite, write_whole

if TYPE_CHECKING:
    from .worked import WorkedChart

FINDINGS = 1  # exit status: the chart has errors
MISUSE = 2  # exit status: the command cannot be carried out as asked

CHART = click.argument(
    "chart", metavar="CHART", type=click.Path(exists=True, dir_okay=False, path_type=Path)
)
COLOURWAY = click.option("--colourway", metavar="NAME", help="A colourway of the chart.")


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="linenleaf", message="%(prog)s %(version)s")
def main() -> None:
    """Counted cross stitch charts as plain text: checked, counted, built into a booklet.

    \b
    Start:    linenleaf new my-chart
    Check:    linenleaf check my-chart/my-chart.linen
    Booklet:  linenleaf build my-chart/my-chart.linen
    """  # noqa: D301


@main.command()
@CHART
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Where the PDF goes.")
@click.option(
    "--paper", type=click.Choice(["a4", "letter", "a5", "a3"]), default="a4", show_default=True
)
@click.option(
    "--ink",
    type=click.Choice(["colour", "tints", "symbols"]),
    default="colour",
    show_default=True,
    help="Thread colours, pale tints, or symbols alone for black-and-white printing.",
)
@click.option(
    "--cell",
    type=click.FloatRange(1.5, 12),
    metavar="MM",
    help="Side of a chart cell; without it the size that needs the fewest pages.",
)
@COLOURWAY
def build(
    chart: Path,
    output: Path | None,
    paper: str,
    ink: str,
    cell: float | None,
    colourway: str | None,
) -> None:
    """Build the booklet, beside the source unless told otherwise.

    Example:  linenleaf build saltmarsh.linen --paper letter -o saltmarsh.pdf
    """
    from .options import Ink, Options, Paper

    target = _target(chart, output, (".pdf",))
    worked = _follow(chart, colourway)
    from .book import bind
    from .pdf import MissingLibraries
    from .report import account

    options = Options(Paper(paper), Ink(ink), cell)
    try:
        with _progress() as report:
            bound, findings = bind(worked, options, report)
    except MissingLibraries as missing:
        _stop(str(missing))
    _say(findings)
    if bound is None:
        sys.exit(FINDINGS)
    _write(target, bound.data)
    click.echo(account(worked, bound.pages))
    click.echo(str(target))


@main.command()
@CHART
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text")
def check(chart: Path, form: str) -> None:
    """Proof-read the chart; exit status 1 when it has errors.

    Example:  linenleaf check saltmarsh.linen
    """
    from .flow import follow

    findings = follow(chart).findings
    if form == "json":
        click.echo(json.dumps(as_json(findings), ensure_ascii=False, indent=2))
    else:
        for each in findings:
            click.echo(_coloured(render(each)) + "\n")
        click.echo(f"{chart}: {summary(findings)}")
    if has_errors(findings):
        sys.exit(FINDINGS)


@main.command()
@CHART
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "csv", "json", "list"]),
    default="text",
    show_default=True,
    help="A table, the same as CSV or JSON, or a plain shopping list.",
)
@COLOURWAY
def count(chart: Path, form: str, colourway: str | None) -> None:
    """Count stitches, thread, skeins and sizes.

    Example:  linenleaf count saltmarsh.linen --format csv > saltmarsh.csv
    """
    from . import report

    worked = _follow(chart, colourway)
    click.echo(getattr(report, f"as_{form}")(worked), nl=False)


@main.command()
@CHART
@click.option("-o", "--output", type=click.Path(path_type=Path), help="A .png, .jpg or .svg file.")
@click.option(
    "--of",
    "what",
    type=click.Choice(["piece", "chart"]),
    default="piece",
    show_default=True,
    help="The worked piece on its linen, or the chart.",
)
@click.option(
    "--width", type=click.IntRange(64, 8000), default=1600, show_default=True, metavar="PIXELS"
)
@COLOURWAY
def picture(chart: Path, output: Path | None, what: str, width: int, colourway: str | None) -> None:
    """Draw the worked piece or the chart as one picture.

    Example:  linenleaf picture saltmarsh.linen --of piece -o shop-page.png
    """
    from .picture import render as draw

    target = _target(chart, output, (".png", ".jpg", ".svg"))
    worked = _follow(chart, colourway)
    with _progress() as report:
        report("picture", 0, 1)
        data = draw(worked, what=what, suffix=target.suffix.lower(), width=width)
    _write(target, data)
    click.echo(str(target))


@main.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
def new(folder: Path) -> None:
    """Make a folder with a small chart to start from.

    Example:  linenleaf new reed-border
    """
    from .new import start

    try:
        written = start(folder, date.today())
    except CannotWrite as reason:
        _stop(str(reason))
    click.echo(f"Next: linenleaf build {written[0]}")
    for path in written:
        click.echo(str(path))


def _follow(chart: Path, colourway: str | None = None) -> WorkedChart:
    """Return the worked chart, having told all findings; leave with status 1 on errors."""
    from .flow import follow

    flow = follow(chart)
    _say(flow.findings)
    if flow.worked is None:
        sys.exit(FINDINGS)
    if colourway is None:
        return flow.worked
    from .colourway import recolour

    names = [each.name for each in flow.worked.design.colourways]
    if colourway not in names:
        known = ", ".join(names) if names else "none"
        _stop(f"{chart} has no colourway named {colourway}. It has: {known}.")
    return recolour(flow.worked, colourway)


def _say(findings: Diagnostics) -> None:
    for each in findings:
        click.echo(_coloured(render(each), err=True) + "\n", err=True)
    if findings:
        click.echo(summary(findings), err=True)


def _coloured(text: str, *, err: bool = False) -> str:
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
    import os

    return (sys.stderr if err else sys.stdout).isatty() and not os.environ.get("NO_COLOR")


def _target(chart: Path, output: Path | None, suffixes: tuple[str, ...]) -> Path:
    target = chart.with_suffix(suffixes[0]) if output is None else output
    if target.suffix.lower() not in suffixes:
        _stop(f"The output {target} must end in {' or '.join(suffixes)}.")
    return target


def _write(target: Path, data: bytes) -> None:
    try:
        write_whole(target, data)
    except CannotWrite as reason:
        _stop(str(reason))


def _stop(message: str) -> NoReturn:
    click.echo(f"linenleaf: {message}", err=True)
    sys.exit(MISUSE)


@contextmanager
def _progress() -> Iterator[Any]:
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
                tasks[stage] = bar.add_task(stage, total=total)
            bar.update(tasks[stage], completed=done, total=total)

        yield report
