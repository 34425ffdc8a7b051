"""`linenleaf tidy`."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

import click

from ..console import FINDINGS, say, stop, told_if_long, write
from ..core.characters import escaped
from ..core.diagnostics import Diagnostics
from ..core.files import LARGEST_TEXT, as_text, read_bytes
from ..core.model import Design
from ..core.source import Source
from ..formatting.pinned import Pins
from ..formatting.rulers import Rulers
from ..formatting.tidy import difference, tidy
from ..several import One, one_by_one
from ..terminal import echo, hand_on

STREAM = Path("-")


@click.command()
@click.argument(
    "charts",
    metavar="CHART...",
    nargs=-1,
    required=True,
    type=click.Path(exists=True, allow_dash=True, path_type=Path),
)
@click.option("--check", is_flag=True, help="Write nothing; name the files that are not tidy.")
@click.option("--diff", "show", is_flag=True, help="Write nothing; show what would change.")
@click.option(
    "--rulers/--no-rulers",
    "ruled",
    default=None,
    help="Add a ruler above every grid, or take rulers out; otherwise they stay as they are.",
)
@click.option(
    "--newest",
    is_flag=True,
    help="Bring charts to the newest version of the notation as well.",
)
@click.option(
    "--absolute",
    is_flag=True,
    help="Write out the position of everything that stands by another thing or in a band.",
)
@click.option(
    "--printed",
    is_flag=True,
    help="Write out the printed symbol of every line of the key, so that it stays for good.",
)
def command(
    charts: tuple[Path, ...],
    *,
    check: bool,
    show: bool,
    ruled: bool | None,
    newest: bool,
    absolute: bool,
    printed: bool,
) -> None:
    """Format charts in the standard layout; `-` reads standard input.

    What a chart says does not change, and every remark is kept. A source with lines that cannot
    be read is left as it is. In a folder, all sources in it and below are formatted.

    Example:  linenleaf tidy saltmarsh.linen marking.linen
    """
    if STREAM in charts and len(charts) > 1:
        stop("`-` stands for standard input and cannot be tidied together with files.")
    rulers = {None: Rulers.KEPT, True: Rulers.ADDED, False: Rulers.NONE}[ruled]
    untidy = 0

    def bring(one: One) -> str:
        nonlocal untidy
        tidied, findings = _tidied(
            one.path, rulers, newest=newest, absolute=absolute, printed=printed
        )
        say(findings)
        if tidied is None:
            sys.exit(FINDINGS)
        changes = tidied.data != tidied.before
        untidy += changes
        if one.path == STREAM and not check and not show:
            hand_on(tidied.data.decode())
        elif show and changes:
            _show(tidied)
        elif check and changes:
            echo(escaped(tidied.source.path))
        elif changes:
            write(tidied.chart, tidied.data)
        if findings:
            sys.exit(FINDINGS)
        return "tidy already" if not changes else "not tidy" if check or show else "tidied"

    status = one_by_one(charts, bring)
    sys.exit(max(status, FINDINGS if check and untidy else 0))


@dataclass(frozen=True)
class _Tidied:
    chart: Path
    source: Source
    before: bytes
    data: bytes


def _tidied(
    chart: Path, rulers: Rulers, *, newest: bool, absolute: bool, printed: bool
) -> tuple[_Tidied | None, Diagnostics]:
    shown = "standard input" if chart == STREAM else str(chart)
    if chart == STREAM:
        before = sys.stdin.buffer.read(LARGEST_TEXT + 1)
        if len(before) > LARGEST_TEXT:
            stop(f"What comes from standard input is larger than {LARGEST_TEXT >> 20} MiB.")
    else:
        read, findings = read_bytes(chart, shown, LARGEST_TEXT)
        if read is None:
            return None, findings
        before = read
    source, findings = as_text(before, shown)
    if source is None:
        return None, findings
    with told_if_long("tidying"):
        places: Pins | None = None
        if absolute:
            places, findings = _places(source, chart)
            if places is None:
                return None, findings
        shapes: dict[str, str] | None = None
        if printed:
            shapes, findings = _shapes(source, chart)
            if shapes is None:
                return None, findings
        text, findings = tidy(source, rulers, newest=newest, pins=places, shapes=shapes)
    if text is None:
        return None, findings
    return _Tidied(chart, source, before, text.encode()), findings


def _places(source: Source, chart: Path) -> tuple[Pins | None, Diagnostics]:
    """Return where everything in a chart stands, and why not where it has no place."""
    from ..reports.placements import pins

    design, findings = _design(source, chart)
    if design is None:
        return None, findings
    return pins(design)


def _shapes(source: Source, chart: Path) -> tuple[dict[str, str] | None, Diagnostics]:
    """Return the printed symbol of each key line by its character, None where it cannot be read."""
    from ..chart.symbols import of_key

    design, findings = _design(source, chart)
    if design is None:
        return None, findings
    return {design.key[at - 1].symbol: shape for at, shape in of_key(design).items()}, findings


def _design(source: Source, chart: Path) -> tuple[Design | None, Diagnostics]:
    from ..resolve.read import read_source

    return read_source(source, Path("chart.linen") if chart == STREAM else chart)


def _show(one: _Tidied) -> None:
    lines = difference(one.source, one.data.decode())
    if lines:
        hand_on(lines)
    else:
        shown = escaped(one.source.path)
        echo(f"{shown}: only how its line ends or accents are stored changes.", err=True)
