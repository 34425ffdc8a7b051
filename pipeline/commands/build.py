"""`linenleaf build`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from ..printprofile import PrintProfile

from ..console import (
    CHART,
    COLOURWAY,
    FINDINGS,
    LETTERS,
    check_colourway,
    follow_chart,
    progress,
    say,
    stop,
    target_of,
    write,
)
from ..files import noting
from ..options import LARGE_CELL, LARGE_PAPERS, Ink, Options, Paper, Purpose


@click.command()
@CHART
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Where the PDF goes.")
@click.option(
    "--paper", type=click.Choice([each.value for each in Paper]), default="a4", show_default=True
)
@click.option(
    "--ink",
    type=click.Choice([each.value for each in Ink]),
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
@click.option(
    "--for",
    "purpose",
    type=click.Choice([each.value for each in Purpose]),
    default="screen",
    show_default=True,
    help="Reading and printing at home; a printer, with bleed and crop marks (PDF/X-4); "
    "keeping, with the sources attached (PDF/A-3u).",
)
@click.option(
    "--profile",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    metavar="FILE",
    help="With --for print: the ICC profile that the printer names; sRGB without it.",
)
@click.option(
    "--large",
    is_flag=True,
    help="Large print for tired eyes: text of 16 points, chart cells of 5 mm or more.",
)
@COLOURWAY
@LETTERS
def command(
    chart: Path,
    output: Path | None,
    paper: str,
    ink: str,
    cell: float | None,
    purpose: str,
    profile: Path | None,
    large: bool,
    colourway: str | None,
    letters: tuple[str, ...],
) -> None:
    """Build the booklet, beside the source unless told otherwise.

    \b
    Example:  linenleaf build saltmarsh.linen --paper letter -o saltmarsh.pdf
              linenleaf build saltmarsh.linen --letter initials="C D" --letter year=2027
    """  # noqa: D301
    if profile is not None and purpose != Purpose.PRINT:
        stop("--profile goes with --for print.")
    if large:
        _check_large(Paper(paper), cell)
    target = target_of(chart, output, (".pdf",), colourway, letters)
    named: list[Path] = [chart]
    with noting(named.append):
        worked = follow_chart(chart, letters=letters)
    if colourway is not None:
        check_colourway(chart, worked, colourway)
    # What draws takes half a second to load, so a chart with errors is told of before.
    from ..book import bind
    from ..colourway import recolour
    from ..pdf import MissingLibraries
    from ..report import account

    condition = _condition(profile)
    try:
        with progress() as report:
            options = Options(Paper(paper), Ink(ink), cell, colourway, large, Purpose(purpose))
            sources = named if options.purpose is Purpose.ARCHIVE else ()
            bound, findings = bind(worked, options, report, sources, condition)
    except MissingLibraries as missing:
        stop(str(missing))
    say(findings)
    if bound is None:
        sys.exit(FINDINGS)
    write(target, bound.data)
    shown = worked if colourway is None else recolour(worked, colourway)
    click.echo(account(shown, bound.pages))
    click.echo(str(target))


def _check_large(paper: Paper, cell: float | None) -> None:
    """Leave with a sentence when paper or cells are too small for large print."""
    if paper not in LARGE_PAPERS:
        stop("--large needs room: choose A4, A3 or Letter paper.")
    if cell is not None and cell < LARGE_CELL:
        stop(f"--large has cells of {LARGE_CELL:g} mm or more; --cell asks for {cell:g} mm.")


def _condition(profile: Path | None) -> PrintProfile | None:
    """Return the printing condition that a file describes, or leave with a sentence."""
    if profile is None:
        return None
    from ..printprofile import NotAProfile, opened

    try:
        return opened(profile.read_bytes())
    except OSError as reason:
        stop(f"{profile} cannot be read: {reason.strerror}.")
    except NotAProfile as reason:
        stop(f"{profile} cannot serve as --profile: {reason}")
