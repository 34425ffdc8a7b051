"""`linenleaf watch`."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import click

from ..console import CHART, COLOURWAY, coloured, stop, target_of
from ..diagnostics import render
from ..options import Ink, Options, Paper


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
@COLOURWAY
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
    colourway: str | None,
    page: bool,
    port: int | None,
) -> None:
    """Check and build again at every save; Ctrl-C ends it.

    Findings are told at once, the booklet follows. While the chart has errors the last good
    booklet stays.

    Example:  linenleaf watch saltmarsh.linen
    """
    target = target_of(chart, output, (".pdf",))
    from ..watch import Told, Watch
    from ..watchboard import Board, State
    from ..watchpage import CannotServe, Page

    def tell(told: Told) -> None:
        for each in told.findings:
            click.echo("\n" + coloured(render(each)))
        click.echo(("\n" if told.findings else "") + told.line)

    options = Options(Paper(paper), Ink(ink), cell, colourway)
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
            Watch(chart, target, options, tell, board).run()
        except KeyboardInterrupt:
            click.echo("\nThe watch has ended.")
