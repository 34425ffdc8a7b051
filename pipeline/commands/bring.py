"""`linenleaf bring`."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import NoReturn

import click

from ..console import FINDINGS, say, stop, write
from ..core.diagnostics import Diagnostics, finding, has_errors
from ..core.files import LARGEST_PICTURE, LARGEST_TEXT, as_text, read_bytes
from ..core.output import CannotWrite, may_write
from ..core.source import Source
from ..importing.cells import LARGEST_SHEET, Cells, read_sheet
from ..importing.source import SIGNS, written
from ..importing.threadfit import FAR, ThreadFit, fit
from ..reports.outputnames import range_name
from ..resolve.grounds import resolve_ground
from ..resolve.read import read_source
from ..resolve.threads import ThreadRange, read_range
from ..syntax.nodes import FabricHead
from ..syntax.parse import parse

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
MOST = len(SIGNS)  # threads in a key that is brought in: one sign each
MOST_TOLD = 5  # threads that are far off
_COLOUR = re.compile(r"#[0-9A-Fa-f]{6}")


@click.command()
@click.argument("grid", metavar="PNG|CSV", type=FILE)
@click.option(
    "--range", "threads", metavar="CSV", type=FILE, required=True, help="The thread range."
)
@click.option(
    "--fabric",
    default="linen 32 over 2",
    show_default=True,
    help="The fabric, written as in a chart.",
)
@click.option("--title", help="The title; otherwise the name of the file.")
@click.option(
    "--threads",
    "most",
    metavar="N",
    type=click.IntRange(1, MOST),
    help="Use at most this many threads; similar colours then share one.",
)
@click.option("--bare", help="What is bare fabric: a colour such as #ffffff, or what a cell says.")
@click.option(
    "--means",
    "meanings",
    metavar="CELL=THREAD",
    multiple=True,
    help="What a cell of the sheet stands for: code, name or colour of a thread. May be repeated.",
)
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Where the chart goes.")
def command(
    grid: Path,
    threads: Path,
    fabric: str,
    title: str | None,
    most: int | None,
    bare: str | None,
    meanings: tuple[str, ...],
    output: Path | None,
) -> None:
    """Make a chart from a picture, one pixel a cross, or from a sheet of cells.

    \b
    Example:  linenleaf bring tern.png --range estuary.csv --bare "#ffffff"
              linenleaf bring tern.csv --range estuary.csv --means x=417 --means o=220
    """  # noqa: D301
    target = _target(grid, output)
    path = _path_beside(target, threads)
    _hold_fabric(fabric)
    offered, findings = read_range(threads, range_name(threads.stem, ()))
    _leave_on_errors(findings)
    fitted, origin, hints = _fitted(grid, offered, most, bare, _meant(meanings))
    text = written(fitted, title or grid.stem, fabric, offered.name, path, origin)
    _hold_chart(text, target)
    write(target, text.encode(), account=_account(fitted, offered, hints))


def _target(grid: Path, output: Path | None) -> Path:
    target = grid.with_suffix(".linen") if output is None else output
    if target.suffix.lower() != ".linen":
        stop(f"The output {target} must end in .linen.")
    try:
        may_write(target)
    except CannotWrite as reason:
        stop(str(reason))
    if target.exists():
        stop(f"{target} is already there; nothing was written. Name another with -o.")
    return target


def _path_beside(target: Path, threads: Path) -> str:
    """Return how the chart names the range; it can name only what lies beside it or below."""
    folder = target.parent.resolve()
    there = threads.parent.resolve() / threads.name
    if not there.is_relative_to(folder):
        stop(
            f"A chart in {target.parent} cannot name {threads}: it opens only files in its own "
            "folder or below it. Copy the range there, or put the chart beside it with -o."
        )
    return there.relative_to(folder).as_posix()


def _hold_fabric(fabric: str) -> None:
    if not fabric.isprintable():
        stop(f"--fabric {fabric!r} is not a fabric; write it as in a chart: linen 32 over 2")
    file, findings = parse(Source("--fabric", f"linen 1\nfabric {fabric}"))
    faults = list(findings)
    if not faults:
        block = file.blocks[-1]
        assert isinstance(block.head, FabricHead)
        resolve_ground(block, block.head, faults)
    if faults:
        stop(f"--fabric {fabric!r}: {faults[0].message}")


def _meant(meanings: tuple[str, ...]) -> dict[str, str]:
    meant: dict[str, str] = {}
    for each in meanings:
        cell, equals, thread = each.rpartition("=")
        if not equals or not cell.strip():
            stop(f"--means {each!r} needs a cell, `=`, and what it stands for: x=417")
        meant[cell.strip()] = thread.strip()
    return meant


def _fitted(
    grid: Path, offered: ThreadRange, most: int | None, bare: str | None, meant: dict[str, str]
) -> tuple[ThreadFit, str, list[str]]:
    """Return the threads chosen for a file, what it is, and what to tell of it."""
    threads = list(offered.threads.values())
    data, findings = read_bytes(grid, str(grid), max(LARGEST_PICTURE, LARGEST_SHEET))
    if data is None:
        _leave(findings)
    if data.startswith(b"\x89PNG"):
        if meant:
            stop("--means is for a sheet of cells; a picture says colours.")
        cells, hints = _of_picture(grid, data, most, bare)
        origin = f"{grid.name}, one cross a pixel"
    else:
        source, findings = as_text(data, str(grid))
        if source is None:
            _leave(findings)
        sheet, findings = read_sheet(source, threads, meant, bare)
        if sheet is None:
            _leave(findings)
        cells, hints, origin = sheet, [], f"{grid.name}, one cross a cell"
    if not cells.wanted:
        _leave(
            (
                finding(
                    "nothing-to-stitch",
                    f"All of `{grid}` is bare fabric.",
                    None,
                    "say with `--bare` which colour is the fabric, if it is another",
                ),
            )
        )
    stated = {each.thread for each in cells.wanted} - {None}
    if len(stated) > (most or MOST):
        stop(f"The sheet names {len(stated)} threads; at most {most or MOST} can be used.")
    if len(cells.wanted) > MOST and most is None:
        _too_many(grid, len(cells.wanted))
    return fit(cells, threads, most or MOST), origin, hints


def _of_picture(
    grid: Path, data: bytes, most: int | None, bare: str | None
) -> tuple[Cells, list[str]]:
    # Pillow takes a tenth of a second to load, so it is loaded only for a picture.
    from ..importing.pixelcells import MOST_SHADES, cells_of, corner_colour, read_pixels, shades_of

    if bare is not None and not _COLOUR.fullmatch(bare):
        stop(f"--bare {bare!r} is not a colour; write it as #ffffff")
    pixels, findings = read_pixels(data, str(grid))
    if pixels is None:
        _leave(findings)
    cells, count = cells_of(pixels, bare, MOST_SHADES)
    if cells is None:
        if most is None:
            _too_many(grid, count)
        cells = shades_of(pixels, bare)
    corner = corner_colour(pixels) if bare is None else None
    if corner is None:
        return cells, []
    return cells, [f"Every pixel is a cross. If the ground is bare fabric, say --bare '{corner}'."]


def _too_many(grid: Path, count: int) -> NoReturn:
    stop(
        f"{grid} has {count:,} colours; at most {MOST} can be told apart on a chart. "
        "Say how many threads to use, such as --threads 30; similar colours then share one."
    )


def _hold_chart(text: str, target: Path) -> None:
    """Leave with the findings of a chart that could not be read again."""
    if len(text.encode()) > LARGEST_TEXT:
        stop(f"The chart would be larger than {LARGEST_TEXT >> 20} MiB.")
    _leave_on_errors(read_source(Source(str(target), text), target)[1])


def _leave_on_errors(findings: Diagnostics) -> None:
    if has_errors(findings):
        _leave(findings)
    say(findings)


def _leave(findings: Diagnostics) -> NoReturn:
    say(findings)
    sys.exit(FINDINGS)


def _account(fitted: ThreadFit, threads: ThreadRange, hints: list[str]) -> str:
    height, width = fitted.grid.shape
    crosses = sum(each.crosses for each in fitted.chosen)
    count = len(fitted.chosen)
    told = [
        f"{width} x {height}, {crosses:,} cross{'' if crosses == 1 else 'es'} in {count} "
        f"thread{'' if count == 1 else 's'} of {threads.name}."
    ]
    far = sorted(
        (each for each in fitted.chosen if each.difference >= FAR),
        key=lambda each: -each.difference,
    )
    for each in far[:MOST_TOLD]:
        told.append(f"Poor match: {each.thread.label} ({each.thread.name}) {each.words}.")
    if len(far) > MOST_TOLD:
        told.append(f"{len(far) - MOST_TOLD} more match poorly; the key says which.")
    return "\n".join([*told, *hints])
