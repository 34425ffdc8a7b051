"""`linenleaf tidy`."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

import click

from ..console import FINDINGS, say, stop, write
from ..core.diagnostics import Diagnostics
from ..core.files import LARGEST_TEXT, as_text, read_bytes
from ..core.source import Source
from ..formatting.rulers import Rulers
from ..formatting.tidy import difference, tidy

STREAM = Path("-")


@click.command()
@click.argument(
    "charts",
    metavar="CHART...",
    nargs=-1,
    required=True,
    type=click.Path(exists=True, dir_okay=False, allow_dash=True, path_type=Path),
)
@click.option("--check", is_flag=True, help="Write nothing; name the files that are not tidy.")
@click.option("--diff", "show", is_flag=True, help="Write nothing; show what would change.")
@click.option(
    "--rulers/--no-rulers",
    "ruled",
    default=None,
    help="Count the columns above every grid, or no longer; else rulers stay as they are.",
)
def command(charts: tuple[Path, ...], check: bool, show: bool, ruled: bool | None) -> None:
    """Bring sources to their one tidy form; `-` reads a source and writes it out.

    The meaning and every remark stay. A source with lines that cannot be read stays as it is.

    Example:  linenleaf tidy saltmarsh.linen marking.linen
    """
    if STREAM in charts and len(charts) > 1:
        stop("`-` stands for standard input and cannot be tidied together with files.")
    rulers = {None: Rulers.KEPT, True: Rulers.ADDED, False: Rulers.NONE}[ruled]
    findings: Diagnostics = ()
    changed: list[_Tidied] = []
    for chart in charts:
        one, more = _tidied(chart, rulers)
        findings += more
        if one is None:
            continue
        if one.data != one.before:
            changed.append(one)
        if chart == STREAM and not check and not show:
            click.echo(one.data, nl=False)
    say(findings)
    if show:
        _show(changed)
    elif check:
        _name(changed)
    elif charts != (STREAM,):
        for one in changed:
            write(one.chart, one.data)
        _name(changed)
    if findings or (check and changed):
        sys.exit(FINDINGS)


@dataclass(frozen=True)
class _Tidied:
    chart: Path
    source: Source
    before: bytes
    data: bytes


def _tidied(chart: Path, rulers: Rulers) -> tuple[_Tidied | None, Diagnostics]:
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
    text, findings = tidy(source, rulers)
    if text is None:
        return None, findings
    return _Tidied(chart, source, before, text.encode()), findings


def _show(changed: list[_Tidied]) -> None:
    for one in changed:
        lines = difference(one.source, one.data.decode())
        if lines:
            click.echo(lines, nl=False)
        else:
            shown = one.source.path
            click.echo(f"{shown}: only how its line ends or accents are stored changes.", err=True)


def _name(changed: list[_Tidied]) -> None:
    for one in changed:
        click.echo(one.source.path)
