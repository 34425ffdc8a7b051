"""`linenleaf errata`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from ..chart.options import Paper
from ..console import FINDINGS, progress, say, stop, target_of, write
from ..reports.outputnames import corrections_name
from ..terminal import echo
from .diff import TWO, two_charts


@click.command()
@click.argument("charts", nargs=-1, metavar="OLD NEW")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Where the PDF goes.")
@click.option(
    "--paper", type=click.Choice([each.value for each in Paper]), default="a4", show_default=True
)
@click.option(
    "--revisions",
    is_flag=True,
    help="Print the list as `revision` lines for the new chart; no PDF is made.",
)
def command(charts: tuple[str, ...], output: Path | None, paper: str, revisions: bool) -> None:
    """Make a sheet of corrections for those who have the old edition.

    OLD and NEW are charts, or charts of a revision as REVISION:path. The sheet goes next to NEW
    unless -o says where.

    Example:  linenleaf errata edition-1:saltmarsh.linen saltmarsh.linen --paper letter
    """
    if revisions:
        from ..diff.entries import revision_lines

        changes, _ = two_charts(charts, thread=False)
        echo(revision_lines(changes), nl=False)
        return
    if len(charts) != 2:
        stop(TWO)
    beside, wished = _place(charts[1]), Paper(paper)
    target = target_of(
        beside, output, (".pdf",), corrections_name(beside, (charts[0], charts[1]), wished)
    )
    changes, _ = two_charts(charts, thread=True)
    from ..diff.errata import corrections, same_edition
    from ..pdf.document import CannotPress

    try:
        with progress() as report:
            report("pages", 0, 1)
            data, findings = corrections(changes, wished)
    except CannotPress as reason:
        stop(str(reason))
    say(findings + same_edition(changes))
    if data is None:
        sys.exit(FINDINGS)
    write(target, data, map(Path, charts))


def _place(new: str) -> Path:
    """Return the path beside which the sheet goes: that of the new chart."""
    return Path(new) if Path(new).is_file() else Path(Path(new.rpartition(":")[2]).name)
