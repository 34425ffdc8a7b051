"""`linenleaf diff`."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ..console import FINDINGS, progress, say, stop, target_of, told_if_long, write
from ..core.files import noting
from ..terminal import echo, echo_json

if TYPE_CHECKING:
    from ..diff.changes import Changes

SUFFIXES = (".png", ".svg", ".pdf")
TWO = "Two charts are compared: name the old one and the new one."
QUICK = 250_000  # cells of a chart up to which skeins are reckoned unasked


@click.command()
@click.argument("charts", nargs=-1, metavar="OLD NEW")
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="Words, or everything as data.",
)
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    help="Also draw old and new side by side, the changes ringed: a .png, .svg or .pdf file.",
)
@click.option("--exit-code", is_flag=True, help="Exit with status 1 when the charts differ.")
@click.option(
    "--thread/--no-thread",
    default=None,
    help="Work out the skeins before and after; otherwise only for charts that are not huge.",
)
@click.option("--git", is_flag=True, help="Take the arguments git gives to a diff driver.")
def command(
    charts: tuple[str, ...],
    form: str,
    output: Path | None,
    exit_code: bool,
    thread: bool | None,
    git: bool,
) -> None:
    """Say what changed between two charts, in a stitcher's words.

    OLD and NEW are charts, or charts of a revision as REVISION:path. What they use is taken from
    the same revision.

    Example:  linenleaf diff HEAD:saltmarsh.linen saltmarsh.linen -o change.png
    """
    if git:
        from ..core.installed import GIT_SETTING
        from ..diff.driver import answer_git

        try:
            echo(answer_git(charts), nl=False)
        except ValueError as reason:
            stop(f"{reason}. Git itself gives them, once this is set:\n{GIT_SETTING}")
        return
    if output is not None:
        target_of(output, output, SUFFIXES, output.name)
    sources: list[Path] = []
    with noting(sources.append):
        changes, said = two_charts(charts, thread=thread)
    from ..diff.diffjson import as_json
    from ..diff.difftext import as_text

    with told_if_long("comparing"):
        words = as_json(changes, said) if form == "json" else as_text(changes, said)
    if form == "json":
        echo_json(words)
    else:
        echo(words, nl=False)
    if output is not None:
        draw(changes, output, (*map(Path, charts), *sources))
    if exit_code and changes:
        sys.exit(FINDINGS)


def two_charts(charts: tuple[str, ...], *, thread: bool | None) -> tuple[Changes, tuple[str, str]]:
    """Return what differs between two charts, and how they were named.

    Leaves with a sentence when there are not two, or one of them is not there, and with the
    findings when one of them has errors. thread: whether skeins are reckoned, None for unless it
    would take long.
    """
    from ..diff.compare import compare
    from ..diff.history import NoRevision, opener

    if len(charts) != 2:
        stop(TWO)
    try:
        with opener() as opened:
            with told_if_long("reading"):
                old, new = (opened.open(each) for each in charts)
            for side in (old, new):
                if side.worked is None:
                    say(side.findings)
            if old.worked is None or new.worked is None:
                sys.exit(FINDINGS)
            if thread is None:
                thread = max(old.worked.grid.size, new.worked.grid.size) <= QUICK
            with told_if_long("comparing"):
                return compare(old.worked, new.worked, thread=thread), (old.said, new.said)
    except NoRevision as reason:
        stop(str(reason))


def draw(changes: Changes, output: Path, sources: Iterable[Path]) -> None:
    """Draw the differences into a file and tell where it is; sources: as for `write`."""
    from ..diff.sidebyside import TooMuch, picture

    try:
        with progress() as report:
            report("picture", 0, 1)
            data = picture(changes, output.suffix.lower())
    except TooMuch as reason:
        stop(str(reason))
    write(output, data, sources)
