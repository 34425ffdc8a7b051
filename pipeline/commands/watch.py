"""`linenleaf watch`."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import click

from ..chart.options import Ink, Options, PageSize
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
    letters_in,
    stop,
    target_of,
)
from ..core.characters import escaped
from ..core.diagnostics import render
from ..reports.outputnames import booklet_name
from ..terminal import echo, echo_findings


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
    help="Port of the page; otherwise any that is free.",
)
def command(
    chart: Path,
    output: Path | None,
    paper: PageSize,
    ink: str,
    cell: float | None,
    large: bool,
    colourway: str | None,
    letters: tuple[str, ...],
    page: bool,
    port: int | None,
) -> None:
    """Check and build again at every save; Ctrl-C ends it.

    Findings are shown at once, and the booklet follows. While the chart has errors, the last
    good booklet is kept.

    Example:  linenleaf watch saltmarsh.linen
    """
    if large:
        check_large(paper, cell)
    from ..core.output import CannotWrite
    from ..watch.page import serve
    from ..watch.serving import CannotServe
    from ..watch.view import Board, State
    from ..watch.watch import Asked, News, Watch

    options = Options(paper, Ink(ink), cell, colourway, large)
    asked = Asked(options, letters_in(letters))
    target = target_of(chart, output, (".pdf",), booklet_name(chart, options, asked.letters))

    def tell(told: News) -> None:
        for each in told.findings:
            echo_findings("\n" + render(each))
        echo(("\n" if told.findings else "") + escaped(told.line))

    with ExitStack() as closing:
        board = None
        if page:
            board = Board(State(str(chart)))
            try:
                shown = serve(board, target, port or 0)
            except CannotServe as reason:
                stop(str(reason))
            closing.callback(shown.close)
            echo(f"Page: {shown.address}")
        echo(f"Watching {escaped(str(chart))}. Ctrl-C ends it.")
        try:
            Watch(chart, target, asked, tell, board).run()
        except CannotWrite as reason:
            stop(str(reason))
        except KeyboardInterrupt:
            echo("\nStopped watching.")
            raise
