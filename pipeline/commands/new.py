"""`linenleaf new`."""

from __future__ import annotations

import os
import re
from datetime import date
from importlib.resources import files
from pathlib import Path

import click
from jinja2 import Environment, StrictUndefined

from ..console import stop
from ..core.characters import escaped
from ..core.installed import GIT_SETTING, as_started
from ..core.output import CannotWrite, why, write_whole
from ..syntax.cutting import NOTATION
from ..terminal import echo


def start(folder: Path, day: date) -> tuple[Path, ...]:
    """Write a first chart, its range, story and version-control settings into a folder.

    Returns the paths written, the chart first.

    Raises:
        CannotWrite: when the folder cannot be made or one of the files is already there.
    """
    name = re.sub(r"[^\w-]+", "-", Path(os.path.realpath(folder)).name).strip("-") or "chart"
    title = name.replace("-", " ").replace("_", " ").strip().capitalize() or "Chart"
    made = {
        f"{name}.linen": "chart.linen.j2",
        "shore.csv": "shore.csv.j2",
        "story.md": "story.md.j2",
        ".gitattributes": "gitattributes.j2",
    }
    for file in made:
        if os.path.lexists(folder / file):
            raise CannotWrite(
                f"{escaped(str(folder / file))} is already there; nothing was written."
            )
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as reason:
        raise CannotWrite(
            f"The folder {escaped(str(folder))} cannot be made: {why(reason)}"
        ) from reason
    # Plain text, so nothing to escape: the title holds only letters, digits and blanks.
    plain = Environment(undefined=StrictUndefined, keep_trailing_newline=True, autoescape=False)
    sources = files("linenleaf.templates") / "new"
    for file, template in made.items():
        text = plain.from_string((sources / template).read_text("utf-8"))
        filled = text.render(
            title=title,
            file=f"{name}.linen",
            day=day.isoformat(),
            setting=GIT_SETTING,
            notation=NOTATION,
        )
        write_whole(folder / file, filled.encode())
    return tuple(folder / file for file in made)


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
