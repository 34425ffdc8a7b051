"""`linenleaf picture`."""

from __future__ import annotations

from pathlib import Path

import click

from ..console import CHART, COLOURWAY, LETTERS, follow_chart, progress, target_of, write


@click.command()
@CHART
@click.option("-o", "--output", type=click.Path(path_type=Path), help="A .png, .jpg or .svg file.")
@click.option(
    "--of",
    "what",
    type=click.Choice(["piece", "chart"]),
    default="piece",
    show_default=True,
    help="The worked piece on its linen, or the chart.",
)
@click.option(
    "--width", type=click.IntRange(64, 8000), default=1600, show_default=True, metavar="PIXELS"
)
@COLOURWAY
@LETTERS
def command(
    chart: Path,
    output: Path | None,
    what: str,
    width: int,
    colourway: str | None,
    letters: tuple[str, ...],
) -> None:
    """Draw the worked piece or the chart as one picture.

    Example:  linenleaf picture saltmarsh.linen --of piece -o shop-page.png
    """
    target = target_of(chart, output, (".png", ".jpg", ".svg"), colourway, letters)
    worked = follow_chart(chart, colourway, letters)
    from ..picture import render

    with progress() as report:
        report("picture", 0, 1)
        data = render(worked, what=what, suffix=target.suffix.lower(), width=width)
    write(target, data)
    click.echo(str(target))
