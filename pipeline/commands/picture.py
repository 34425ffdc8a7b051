"""`linenleaf picture`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from ..chart.options import Shape
from ..compose.worked import WorkedChart
from ..console import (
    COLOURWAY,
    LETTERS,
    follow_chart,
    letters_in,
    progress,
    say,
    stop,
    target_of,
    write,
)
from ..core.files import noting
from ..reports.outputnames import picture_name
from ..several import CHARTS, One, one_by_one

WIDTH = 1600  # pixels, where nothing is said


@click.command()
@CHARTS
@click.option("-o", "--output", type=click.Path(path_type=Path), help="A .png, .jpg or .svg file.")
@click.option(
    "--of",
    "what",
    type=click.Choice(["piece", "detail", "back", "chart", "key", "photographs"]),
    default="piece",
    show_default=True,
    help="The stitched piece on its fabric, a part of it from near by, its back without what is "
    "carried from run to run, the chart, the key, or all beside its photographs, with rings at "
    "what differs.",
)
@click.option(
    "--part",
    metavar="X,Y,X,Y",
    help="With --of detail: two corners of the part, in grid lines; otherwise where most is "
    "going on.",
)
@click.option(
    "--shape",
    type=click.Choice([each.value for each in Shape]),
    default="as-is",
    show_default=True,
    help="As it is, or square or wide (16 to 9) with more cloth or paper around it.",
)
@click.option(
    "--width", type=click.IntRange(64, 8000), default=WIDTH, show_default=True, metavar="PIXELS"
)
@COLOURWAY
@LETTERS
def command(
    charts: tuple[Path, ...],
    output: Path | None,
    what: str,
    part: str | None,
    shape: str,
    width: int,
    colourway: str | None,
    letters: tuple[str, ...],
) -> None:
    """Draw the stitched piece, the chart or the key as one picture.

    \b
    Example:  linenleaf picture saltmarsh.linen --of piece --shape square -o shop-page.png
              linenleaf picture saltmarsh.linen --of detail --part 20,60,80,110
    """  # noqa: D301
    if part is not None and what != "detail":
        stop("--part goes with --of detail.")
    if part is not None and shape != Shape.AS_IS:
        stop("A stated part has a shape of its own: leave --shape out.")

    def draw(one: One) -> str:
        wide = None if width == WIDTH else width
        name = picture_name(
            one.path, what, Shape(shape), wide, colourway, letters_in(letters), part
        )
        target = target_of(one.path, output, (".png", ".jpg", ".svg"), name)
        sources = [one.path]
        with noting(sources.append):
            worked = follow_chart(one.path, colourway, letters, alone=one.alone)
        from ..pictures.picture import PAINTED, render

        with progress() as report:
            report("picture", 0, 1)
            if what in PAINTED and target.suffix.lower() == ".svg":
                stop(f"A picture of the {what} is a .png or .jpg file.")
            if what == "photographs":
                data = _beside_photographs(worked, one, target.suffix.lower(), width)
            else:
                data = render(
                    worked,
                    what=what,
                    suffix=target.suffix.lower(),
                    width=width,
                    shape=Shape(shape),
                    box=None if part is None else _box(part, worked),
                )
        write(target, data, sources)
        return "drawn"

    sys.exit(one_by_one(charts, draw, output=output))


def _box(part: str, worked: WorkedChart) -> tuple[int, int, int, int]:
    """Return the part that is asked for, or leave with a sentence."""
    numbers = part.split(",")
    if len(numbers) != 4 or not all(each.strip().isdecimal() and len(each) < 6 for each in numbers):
        stop(f"--part {part[:40]!r} is no part of a chart: write four grid lines, `20,60,80,110`.")
    x0, y0, x1, y1 = (int(each) for each in numbers)
    if not (x0 < x1 <= worked.width and y0 < y1 <= worked.height):
        stop(
            f"--part {part} has no crosses in it or lies beyond the chart, which goes from 0,0 to "
            f"{worked.width},{worked.height}; name its top left corner first."
        )
    return x0, y0, x1, y1


def _beside_photographs(worked: WorkedChart, one: One, suffix: str, width: int) -> bytes:
    from ..held.answers import answers
    from ..held.picture import picture
    from ..held.telling import findings_of

    if suffix == ".svg":
        stop("A picture beside photographs is a .png or .jpg file.")
    held = tuple(answers(worked))
    data = picture(worked, held, suffix, width)
    if not data:
        say(tuple(each for answer in held for each in findings_of(worked, answer)))
        why = "none of its photographs can be read" if held else "it has no `photograph`"
        stop(f"{one.path}: nothing to show, for {why}.")
    return data
