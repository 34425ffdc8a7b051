"""`linenleaf build`."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import click
from click.core import ParameterSource

if TYPE_CHECKING:
    from ..pdf.printprofile import PrintProfile

from ..chart.options import Fold, Ink, Options, PageSize, Purpose
from ..console import (
    BOOKLET,
    CELL,
    COLOURWAY,
    FINDINGS,
    INK,
    LARGE,
    LETTERS,
    PAPER,
    begin,
    check_colourway,
    check_large,
    letters_in,
    progress,
    say,
    stop,
    target_of,
    told,
    write,
)
from ..core.files import noting, read_bytes
from ..core.matter import WIDEST_GUTTER
from ..core.paging import Orientation
from ..core.system import MissingLibrary
from ..pdf.pressroom import pressroom
from ..reports.outputnames import booklet_name
from ..several import CHARTS, One, one_by_one


@click.command()
@CHARTS
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
    help="To read and print at home; for a printer, with bleed and crop marks (PDF/X-4); "
    "to keep, with the sources attached (PDF/A-3u).",
)
@click.option(
    "--profile",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    metavar="FILE",
    help="With --for print: the ICC profile that the printer asks for; otherwise sRGB.",
)
@click.option(
    "--fold",
    type=click.Choice([each.value for each in Fold]),
    metavar="SHEETS",
    help="Two pages on each side of a sheet of this paper, to fold and staple: "
    "a4, a3, letter or tabloid. A page is half a sheet.",
)
@click.option(
    "--orientation",
    type=click.Choice([each.value for each in Orientation]),
    help="How pages with charts lie; otherwise as the chart says, or as fits best.",
)
@click.option(
    "--whole",
    is_flag=True,
    help="The whole chart with its key on one page of its own size: for a tablet, or to fold out.",
)
@click.option(
    "--gutter",
    type=click.FloatRange(0, WIDEST_GUTTER),
    metavar="MM",
    help="For printing on both sides and binding: what that takes of each page; 0 for loose pages. "
    "Otherwise as the chart says.",
)
@click.option(
    "--with-symbols",
    is_flag=True,
    help="The chart a second time, in symbols alone: to copy, and to mark what is stitched.",
)
@LARGE
@COLOURWAY
@LETTERS
def command(
    charts: tuple[Path, ...],
    output: Path | None,
    paper: PageSize,
    ink: str,
    cell: float | None,
    purpose: str,
    profile: Path | None,
    fold: str | None,
    orientation: str | None,
    whole: bool,
    gutter: float | None,
    with_symbols: bool,
    large: bool,
    colourway: str | None,
    letters: tuple[str, ...],
) -> None:
    """Build the booklet, next to the source unless -o says where.

    Of a folder, the booklets of all charts in it and below are built.

    \b
    Example:  linenleaf build saltmarsh.linen --paper letter -o saltmarsh.pdf
              linenleaf build saltmarsh.linen --letter initials="C D" --letter year=2027
              linenleaf build charts --large
    """  # noqa: D301
    if profile is not None and not Purpose(purpose).printed:
        stop("--profile goes with --for print.")
    sheets = None if fold is None else Fold(fold)
    options = Options(
        paper if sheets is None else _half(sheets, Purpose(purpose)),
        Ink(ink),
        cell,
        colourway,
        large,
        Purpose(purpose),
        sheets,
        None if orientation is None else Orientation(orientation),
        whole,
        gutter,
        with_symbols,
    )
    if orientation is not None and not options.turns:
        stop(
            "--orientation is for loose pages: for a printer, bound, and on folded sheets all lie "
            "alike."
        )
    if with_symbols and options.ink.black:
        stop("--with-symbols is for charts in colour; with --ink symbols they stand there already.")
    if whole:
        _check_whole(options)
    if large:
        check_large(options.paper, cell)
    wish = _Wish(output, options, letters, _condition(profile))
    sys.exit(one_by_one(charts, lambda one: _build(one, wish), output=output))


@dataclass(frozen=True)
class _Wish:
    """What is to be built of each chart. condition: of the printer."""

    output: Path | None
    options: Options
    letters: tuple[str, ...]
    condition: PrintProfile | None


def _build(one: One, wish: _Wish) -> str:
    chart, options, colourway = one.path, wish.options, wish.options.colourway
    profile = None if wish.condition is None else wish.condition.data
    name = booklet_name(chart, options, letters_in(wish.letters), profile)
    target = target_of(chart, wish.output, (".pdf",), name)
    with pressroom() as press:
        named: list[Path] = [chart]
        with noting(named.append):
            begun = begin(chart, wish.letters, one.root)
        from ..flow import Flow

        worked = told(begun, alone=one.alone) if isinstance(begun, Flow) else begun.worked

        @cache
        def check() -> None:
            if not isinstance(begun, Flow):
                told(begun.check())

        if colourway is not None and colourway not in {
            each.name for each in worked.design.colourways
        }:
            check()
            check_colourway(chart, worked, colourway)
        # A chart that cannot be read is told of before what the booklet needs is loaded.
        from ..booklet.book import bind
        from ..pdf.document import CannotPress

        sources = named if options.purpose.archived else ()
        try:
            with progress() as report:
                bound, findings = bind(
                    worked, options, report, sources, wish.condition, press, check
                )
        except (CannotPress, MissingLibrary) as reason:
            check()
            stop(str(reason))
        except Exception:
            check()  # what is wrong with the chart may be what is wrong here
            raise
        check()
    say(findings)
    if bound is None:
        sys.exit(FINDINGS)
    from ..compose.copies import recolour
    from ..reports.report import account

    shown = worked if colourway is None else recolour(worked, colourway)
    write(target, bound.data, named, account(shown, bound.pages))
    return "built"


def _check_whole(options: Options) -> None:
    """Leave with a sentence where there is something that one page of its own size cannot be."""
    given = click.get_current_context().get_parameter_source
    for word, said in (
        ("paper", given("paper") is ParameterSource.COMMANDLINE),
        ("fold", options.fold is not None),
        ("orientation", options.orientation is not None),
        ("large", options.large),
        ("gutter", bool(options.gutter)),
        ("with-symbols", options.with_symbols),
        ("for print", options.purpose.printed),
    ):
        if said:
            stop(f"--whole makes one page as large as the chart; leave --{word} out.")


def _half(sheets: Fold, purpose: Purpose) -> PageSize:
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
    from ..pdf.printprofile import LARGEST, NotAProfile, opened

    data, findings = read_bytes(profile, str(profile), LARGEST)
    if data is None:
        stop(f"--profile: {findings[0].message}")
    try:
        return opened(data)
    except NotAProfile as reason:
        stop(f"{profile} cannot serve as --profile: {reason}")
