"""`linenleaf new`."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from ..console import stop
from ..core.characters import escaped
from ..core.installed import as_started
from ..core.output import CannotWrite
from ..reports.new import start
from ..terminal import echo


@click.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
def command(folder: Path) -> None:
    """Make a folder with a small chart to start from.

    Example:  linenleaf new reed-border
    """
    try:
        written = start(folder, date.today())
    except CannotWrite as reason:
        stop(str(reason))
    for path in written:
        echo(escaped(str(path)))
    chart = str(written[0])
    # A name that begins with a dash would be taken for an option.
    named = f"./{chart}" if chart.startswith("-") else chart
    echo(f"\nNext:\n{escaped(as_started('build', named))}")
