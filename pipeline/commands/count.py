"""`linenleaf count`."""

from __future__ import annotations

from pathlib import Path

import click

from ..asked import fabric_asked
from ..console import CHART, COLOURWAY, follow_chart, stop
from ..exchange import as_csv, as_json
from ..facts import gather
from ..kit import as_kit
from ..model import Fabric
from ..report import as_text
from ..shoplist import as_list

FORMS = {"text": as_text, "csv": as_csv, "json": as_json, "list": as_list, "kit": as_kit}


@click.command()
@CHART
@click.option(
    "--format",
    "form",
    type=click.Choice(list(FORMS)),
    default="text",
    show_default=True,
    help="A table, the same as CSV or JSON, a plain shopping list, or a cutting list for kits.",
)
@click.option("--fabric", metavar="FABRIC", help='Another fabric, such as "linen 36 over 2".')
@click.option(
    "--strands", type=click.IntRange(1, 24), metavar="N", help="Strands for most of the crosses."
)
@click.option("--kits", type=click.IntRange(1, 100_000), metavar="N", help="How many kits to cut.")
@COLOURWAY
def command(
    chart: Path,
    form: str,
    fabric: str | None,
    strands: int | None,
    kits: int | None,
    colourway: str | None,
) -> None:
    """Count stitches, thread, skeins and sizes.

    \b
    Example:  linenleaf count saltmarsh.linen --format csv > saltmarsh.csv
              linenleaf count saltmarsh.linen --fabric "linen 36 over 2" --strands 1
              linenleaf count saltmarsh.linen --format kit --kits 25
    """  # noqa: D301
    if kits is not None and form != "kit":
        stop("--kits goes with --format kit.")
    wanted = None if fabric is None else _fabric(fabric)
    facts = gather(follow_chart(chart, colourway), wanted, strands)
    click.echo(as_kit(facts, kits or 1) if form == "kit" else FORMS[form](facts), nl=False)


def _fabric(text: str) -> Fabric:
    fabric, findings = fabric_asked(text)
    if fabric is None:
        first = findings[0]
        hints = "".join(f" ({each.message})" for each in first.hints)
        stop(f"--fabric: {first.message}{hints}")
    return fabric
