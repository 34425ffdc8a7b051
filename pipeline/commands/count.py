"""`linenleaf count`."""

from __future__ import annotations

from pathlib import Path

import click

from .. import report
from ..console import CHART, COLOURWAY, follow_chart

FORMS = {
    "text": report.as_text,
    "csv": report.as_csv,
    "json": report.as_json,
    "list": report.as_list,
}


@click.command()
@CHART
@click.option(
    "--format",
    "form",
    type=click.Choice(list(FORMS)),
    default="text",
    show_default=True,
    help="A table, the same as CSV or JSON, or a plain shopping list.",
)
@COLOURWAY
def command(chart: Path, form: str, colourway: str | None) -> None:
    """Count stitches, thread, skeins and sizes.

    Example:  linenleaf count saltmarsh.linen --format csv > saltmarsh.csv
    """
    click.echo(FORMS[form](follow_chart(chart, colourway)), nl=False)
