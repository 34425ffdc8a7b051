"""`linenleaf watch`."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import click

from ..chart.options import Ink, Options, Paper
from ..console import (
    BOOKLET,
    CELL,
    CHART,
    COLOURWAY,
    INK,
    LARGE,
    LETTERS,
    PAPER,
    check_large,
    coloured,
    stop,
    target_of,
)
from ..core.diagnostics import render


@click.command()
@CHART
@BOOKLET
@PAPER
@INK
@CELL
@LARGE
@COLOURWAY
@LETTERS
@click.option(
    "--page/--no-page",
    default=True,
    help="Show the chart and the findings on a small page that only this computer can open.",
)
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    help="Port of the page; without it any that is free.",
)
def command(
    chart: Path,
    output: Path | None,
    paper: str,
    ink: str,
    cell: float | None,
    large: bool,
    colourway: str | None,
    letters: tuple[str, ...],
    page: bool,
    port: int | None,
) -> None:
    """Check and build again at every save; Ctrl-C ends it.

    Findings are told at once, the booklet follows. While the chart has errors the last good
    booklet stays.

    Example:  linenleaf watch saltmarsh.linen
    """
    if large:
        check_large(Paper(paper), cell)
    target = target_of(chart, output, (".pdf",), colourway, letters)
    from ..compose.personal import NotChangeable, letters_asked
    from ..core.output import CannotWrite
    from ..watch.board import Board, State
    from ..watch.page import CannotServe, Page
    from ..watch.watch import Asked, Told, Watch

    def tell(told: Told) -> None:
        for each in told.findings:
            click.echo("\n" + coloured(render(each)))
        click.echo(("\n" if told.findings else "") + told.line)

    try:
        asked = Asked(
            Options(Paper(paper), Ink(ink), cell, colourway, large), letters_asked(letters)
        )
    except NotChangeable as reason:
        stop(f"--letter: {reason}")
    with ExitStack() as closing:
        board = None
        if page:
            board = Board(State(str(chart)))
            try:
                shown = Page(board, target, port or 0)
            except CannotServe as reason:
                stop(str(reason))
            closing.callback(shown.close)
            click.echo(f"Page: {shown.address}")
        click.echo(f"Watching {chart}. Ctrl-C ends it.")
        try:
            Watch(chart, target, asked, tell, board).run()
        except CannotWrite as reason:
            stop(str(reason))
        except KeyboardInterrupt:
            click.echo("\nThe watch has ended.")
