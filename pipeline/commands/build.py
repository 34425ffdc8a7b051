"""`linenleaf build`."""

from __future__ import annotations

import sys
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import click
from click.core import ParameterSource

if TYPE_CHECKING:
    from ..pdf.printprofile import PrintProfile

from ..chart.options import Fold, Ink, Options, Paper, Purpose
from ..console import (
    BOOKLET,
    CELL,
    CHART,
    COLOURWAY,
    FINDINGS,
    INK,
    LARGE,
    LETTERS,
    PAPER,
    begin,
    check_colourway,
    check_large,
    progress,
    say,
    stop,
    target_of,
    told,
    write,
)
from ..core.files import noting
from ..pdf.pressroom import pressroom


@click.command()
@CHART
@BOOKLET
@PAPER
@INK
@CELL
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
    "--fold",
    type=click.Choice([each.value for each in Fold]),
    metavar="SHEETS",
    help="Pages two by two on sheets of this paper, to print on both sides, fold and staple: "
    "a4, a3, letter or tabloid. A page is half a sheet.",
)
@LARGE
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
    fold: str | None,
    large: bool,
    colourway: str | None,
    letters: tuple[str, ...],
) -> None:
    """Build the booklet, beside the source unless told otherwise.

    \b
    Example:  linenleaf build saltmarsh.linen --paper letter -o saltmarsh.pdf
              linenleaf build saltmarsh.linen --letter initials="C D" --letter year=2027
    """  # noqa: D301
    if profile is not None and not Purpose(purpose).printed:
        stop("--profile goes with --for print.")
    sheets = None if fold is None else Fold(fold)
    options = Options(
        Paper(paper) if sheets is None else _half(sheets, Purpose(purpose)),
        Ink(ink),
        cell,
        colourway,
        large,
        Purpose(purpose),
        sheets,
    )
    if large:
        check_large(options.paper, cell)
    target = target_of(chart, output, (".pdf",), colourway, letters)
    press = click.get_current_context().with_resource(pressroom())
    named: list[Path] = [chart]
    with noting(named.append):
        begun = begin(chart, letters)
    from ..flow import Flow

    worked = told(begun) if isinstance(begun, Flow) else begun.worked

    @cache
    def check() -> None:
        if not isinstance(begun, Flow):
            told(begun.check())

    if colourway is not None and colourway not in {each.name for each in worked.design.colourways}:
        check()
        check_colourway(chart, worked, colourway)
    # A chart that cannot be read is told of before what the booklet needs is loaded.
    from ..booklet.book import bind
    from ..pdf.document import CannotPress

    condition = _condition(profile)
    sources = named if options.purpose.archived else ()
    try:
        with progress() as report:
            bound, findings = bind(worked, options, report, sources, condition, press, check)
    except CannotPress as reason:
        check()
        stop(str(reason))
    except Exception:
        check()  # what is wrong with the chart may be what is wrong here
        raise
    check()
    say(findings)
    if bound is None:
        sys.exit(FINDINGS)
    write(target, bound.data)
    from ..compose.colourway import recolour
    from ..reports.report import account

    shown = worked if colourway is None else recolour(worked, colourway)
    click.echo(account(shown, bound.pages))
    click.echo(str(target))


def _half(sheets: Fold, purpose: Purpose) -> Paper:
    """Return the paper of the pages, or leave with a sentence where wishes exclude each other."""
    if purpose.printed or purpose.archived:
        stop(f"--fold is for printing at home; leave it out with --for {purpose}.")
    if click.get_current_context().get_parameter_source("paper") is ParameterSource.COMMANDLINE:
        stop(f"--fold {sheets} has pages of {sheets.page}; leave --paper out.")
    return sheets.page


def _condition(profile: Path | None) -> PrintProfile | None:
    """Return the printing condition that a file describes, or leave with a sentence."""
    if profile is None:
        return None
    from ..pdf.printprofile import NotAProfile, opened

    try:
        return opened(profile.read_bytes())
    except OSError as reason:
        stop(f"{profile} cannot be read: {reason.strerror}.")
    except NotAProfile as reason:
        stop(f"{profile} cannot serve as --profile: {reason}")
