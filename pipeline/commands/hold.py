"""`linenleaf hold`."""

from __future__ import annotations

import sys
from pathlib import Path
from threading import Event

import click

from ..console import CHART, FINDINGS, say, stop
from ..core.characters import escaped
from ..terminal import echo


@click.command()
@CHART
@click.option(
    "--photograph",
    "photographs",
    metavar="FILE",
    multiple=True,
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A photograph that the chart does not name yet, in its folder or below. May be repeated.",
)
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    help="Port of the page; otherwise any that is free.",
)
def command(chart: Path, photographs: tuple[Path, ...], port: int | None) -> None:
    """Lay a chart beside photographs of the old piece, on a page of this computer.

    There the four corners of a part are set, its crosses are followed, what differs is looked
    through, and the `photograph` statement is written into the chart. Ctrl-C ends it.

    Example:  linenleaf hold saltmarsh.linen --photograph old-band.jpg
    """
    from ..lighttable.entries import Refused
    from ..lighttable.page import serve
    from ..lighttable.table import Table
    from ..watch.serving import CannotServe

    table = Table(chart, tuple(_beside(chart, each) for each in photographs))
    try:
        table.lie()
    except Refused as reason:
        say(reason.findings)
        if reason.findings:
            sys.exit(FINDINGS)
        stop(f"{chart}: {reason}")
    try:
        page = serve(table, port or 0)
    except CannotServe as reason:
        stop(str(reason))
    echo(f"Page: {page.address}")
    echo(f"Only this computer can open it. It writes {escaped(str(chart))} when asked to. Ctrl-C.")
    try:
        Event().wait()
    except KeyboardInterrupt:
        echo("\nThe page has ended.")
        raise
    finally:
        page.close()


def _beside(chart: Path, file: Path) -> str:
    """Return how the chart names a file; it can name only what lies beside it or below."""
    folder, there = chart.resolve().parent, file.parent.resolve() / file.name
    if not there.is_relative_to(folder):
        stop(f"{chart} cannot name {file}: it opens only files in its own folder or below it.")
    return there.relative_to(folder).as_posix()
