"""`linenleaf picture`."""

from __future__ import annotations

from pathlib import Path

import click

from ..console import CHART, COLOURWAY, LETTERS, follow_chart, progress, target_of, write
from ..pictures.shape import Shape


@click.command()
@CHART
@click.option("-o", "--output", type=click.Path(path_type=Path), help="A .png, .jpg or .svg file.")
@click.option(
    "--of",
    "what",
    type=click.Choice(["piece", "chart", "key"]),
    default="piece",
    show_default=True,
    help="The worked piece on its linen, the chart, or the key.",
)
@click.option(
    "--shape",
    type=click.Choice([each.value for each in Shape]),
    default="as-is",
    show_default=True,
    help="As it is, or square or wide (16 to 9) with more cloth or paper around.",
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
    shape: str,
    width: int,
    colourway: str | None,
    letters: tuple[str, ...],
) -> None:
    """Draw the worked piece, the chart or the key as one picture.

    Example:  linenleaf picture saltmarsh.linen --of piece --shape square -o shop-page.png
    """
    target = target_of(chart, output, (".png", ".jpg", ".svg"), colourway, letters)
    if output is None:
        # Each picture has a name of its own, so that one shop page can have them all.
        marks = [what] * (what != "piece") + [shape] * (shape != Shape.AS_IS)
        target = target.with_stem("-".join([target.stem, *marks]))
    worked = follow_chart(chart, colourway, letters)
    from ..pictures.picture import render

    with progress() as report:
        report("picture", 0, 1)
        data = render(
            worked, what=what, suffix=target.suffix.lower(), width=width, shape=Shape(shape)
        )
    write(target, data)
    click.echo(str(target))
