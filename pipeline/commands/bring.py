"""`linenleaf bring`."""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from ..console import FINDINGS, progress, say, stop, write
from ..core.diagnostics import Diagnostics, finding, has_errors
from ..core.files import LARGEST_PICTURE, LARGEST_TEXT, as_text, read_bytes
from ..core.key import Thread, ThreadKind
from ..core.output import CannotWrite, may_write
from ..core.source import Source
from ..importing.cells import LARGEST_SHEET, Cells, read_sheet
from ..importing.placed import NotPlaced, Placed, named_cells, placed
from ..importing.source import SIGNS, Besides, written
from ..importing.threadfit import FAR, ThreadFit, fit
from ..reports.outputnames import range_name
from ..resolve.grounds import resolve_ground
from ..resolve.read import read_source
from ..resolve.threads import ThreadRange, read_range
from ..syntax.nodes import FabricHead, MotifHead
from ..syntax.parse import parse
from .kinds import kind_option, of_kinds

if TYPE_CHECKING:
    from ..importing.photodraft import Named

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
MOST = len(SIGNS)  # threads in a key that is brought in: one sign each
MOST_TOLD = 5  # threads that are far off
_COLOUR = re.compile(r"#[0-9A-Fa-f]{6}")


@click.command()
@click.argument("grid", metavar="PNG|CSV|PHOTOGRAPH", type=FILE)
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
@kind_option
@click.option("--bare", help="What is bare fabric: a colour such as #ffffff, or what a cell says.")
@click.option(
    "--means",
    "meanings",
    metavar="CELL=THREAD",
    multiple=True,
    help="What a cell of the sheet stands for: code, name or colour of a thread; in a photograph "
    "the thread of the cell at a column and row, such as 12,5=417. May be repeated.",
)
@click.option(
    "--corners",
    metavar='"U,V U,V U,V U,V"',
    help="Of a photograph: the pixels of the four outer corners, round from top left.",
)
@click.option(
    "--size",
    metavar="WxH",
    help="Of a photograph: how many crosses lie between the corners; otherwise proposed.",
)
@click.option(
    "--landmark",
    "landmarks",
    metavar='"X,Y at U,V"',
    multiple=True,
    help="Of a photograph: a crossing that you are sure of, and its pixel. May be repeated.",
)
@click.option(
    "--motif", metavar="NAME", help="Bring it as a motif of this name, which the chart places."
)
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Where the chart goes.")
def command(
    grid: Path,
    threads: Path,
    fabric: str,
    title: str | None,
    most: int | None,
    kinds: tuple[ThreadKind, ...],
    bare: str | None,
    meanings: tuple[str, ...],
    corners: str | None,
    size: str | None,
    landmarks: tuple[str, ...],
    motif: str | None,
    output: Path | None,
) -> None:
    """Make a chart from a picture or a sheet of cells, or a first draft from a photograph.

    In a picture one pixel is one cross. A first draft is made from a photograph of a stitched piece
    and the pixels of its four corners.

    \b
    Example:  linenleaf bring tern.png --range estuary.csv --bare "#ffffff"
              linenleaf bring tern.csv --range estuary.csv --means x=417 --means o=220
              linenleaf bring old-band.jpg --range estuary.csv --size 121x30
                    --corners "212,140 1880,133 1893,402 205,410"
    """  # noqa: D301
    target = _target(grid, output)
    path = _path_beside(target, threads)
    _hold_fabric(fabric)
    if corners is None and (size is not None or landmarks):
        stop("--size and --landmark go with a photograph and its --corners.")
    motif = _motif(motif)
    offered, findings = read_range(threads, range_name(threads.stem, ()))
    _leave_on_errors(findings)
    if corners is None:
        brought = _fitted(grid, offered, most, bare, _meant(meanings), kinds)
    else:
        if bare is not None:
            stop("--bare is for a picture or a sheet; of a photograph say --means 3,4=. instead.")
        shown = _path_beside(target, grid)
        try:
            where = placed(corners, size, landmarks)
            named = named_cells(_meant(meanings), offered)
        except NotPlaced as reason:
            stop(str(reason))
        brought = _drafted(grid, offered, most, named, where, shown, motif, kinds)
    fitted = brought.fitted
    besides = replace(brought.besides, motif=motif)
    text = written(fitted, title or grid.stem, fabric, offered.name, path, brought.origin, besides)
    _hold_chart(text, target)
    write(target, text.encode(), account=_account(fitted, offered, brought.hints))


@dataclass(frozen=True)
class _Brought:
    """What comes of a file. hints: what to tell of it beside how the threads fit."""

    fitted: ThreadFit
    origin: str
    hints: list[str]
    besides: Besides = field(default_factory=Besides)


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


def _path_beside(target: Path, file: Path) -> str:
    """Return how the chart names a file; it can name only what lies beside it or below."""
    folder = target.parent.resolve()
    there = file.parent.resolve() / file.name
    if not there.is_relative_to(folder):
        stop(
            f"A chart in {target.parent} cannot name {file}: it opens only files in its own "
            "folder or below it. Copy it there, or put the chart beside it with -o."
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


def _motif(name: str | None) -> str:
    """Return the name of a motif as a chart would have it; empty for none."""
    if name is None:
        return ""
    words = name if name.isprintable() else ""
    file, findings = parse(Source("--motif", f"linen 1\nmotif {words} 2 x 2"))
    head = file.blocks[-1].head if len(file.blocks) == 2 and not findings else None
    if not isinstance(head, MotifHead) or head.name.text != name:
        stop(f"--motif {name!r} is no name of a motif: letters, figures and - such as old-reeds")
    return name


def _meant(meanings: tuple[str, ...]) -> dict[str, str]:
    meant: dict[str, str] = {}
    for each in meanings:
        cell, equals, thread = each.rpartition("=")
        if not equals or not cell.strip():
            stop(f"--means {each!r} needs a cell, `=`, and what it stands for: x=417")
        meant[cell.strip()] = thread.strip()
    return meant


def _fitted(
    grid: Path,
    offered: ThreadRange,
    most: int | None,
    bare: str | None,
    meant: dict[str, str],
    kinds: tuple[ThreadKind, ...],
) -> _Brought:
    """Return what comes of a picture or a sheet."""
    threads = list(offered.threads.values())
    data, findings = read_bytes(grid, str(grid), max(LARGEST_PICTURE, LARGEST_SHEET))
    if data is None:
        _leave(findings)
    if data.startswith(b"\xff\xd8\xff"):
        stop(
            f"{grid} is a JPEG, so a photograph: say where its four corners lie with --corners "
            '"U,V U,V U,V U,V". A picture of one pixel a cross is saved as PNG.'
        )
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
    return _Brought(_fit(grid, cells, threads, most, kinds), origin, hints)


def _fit(
    grid: Path,
    cells: Cells,
    threads: list[Thread],
    most: int | None,
    kinds: tuple[ThreadKind, ...],
) -> ThreadFit:
    """Choose the threads, or leave where that cannot be done."""
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
    stated = {each.thread for each in cells.wanted if each.thread is not None}
    if len(stated) > (most or MOST):
        stop(f"{len(stated)} threads are named; at most {most or MOST} can be used.")
    if len(cells.wanted) > MOST and most is None:
        _too_many(grid, len(cells.wanted))
    beads = [each.label for each in stated if each.kind.traits.bead]
    if beads:
        stop(f"{beads[0]} is a bead; cells are worked with thread.")
    if None in {each.thread for each in cells.wanted}:
        of_kinds(threads, kinds)
    return fit(cells, threads, most or MOST, kinds)


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


# --- a first draft from a photograph -------------------------------------------------------------


def _drafted(
    grid: Path,
    offered: ThreadRange,
    most: int | None,
    named: Named,
    where: Placed,
    shown: str,
    motif: str,
    kinds: tuple[ThreadKind, ...],
) -> _Brought:
    """Return the first draft of what a photograph shows, or leave with what is told of it."""
    from ..core.raster import Damaged
    from ..importing.marks import Whereabouts
    from ..importing.photodraft import first_draft
    from ..importing.statement import Laid
    from ..photograph.picture import open_photograph

    threads = list(offered.threads.values())
    data, findings = read_bytes(grid, str(grid), LARGEST_PICTURE)
    if data is None:
        _leave(findings)
    try:
        photograph = open_photograph(data)
    except Damaged as reason:
        _leave((finding("damaged-picture", f"`{grid}`: {reason}.", None, "save it again as JPEG"),))
    with progress() as report:
        report("following the crosses", 0, 0)
        drafted, findings = first_draft(
            photograph, str(grid), where.corners, where.size, where.landmarks, named
        )
    if drafted is None:
        _leave(findings)
    say(findings)
    statement = Laid(shown, motif or "chart", where.corners, where.landmarks)
    doubts = [each.line(Whereabouts(motif)) for each in drafted.inferred]
    besides = Besides(drafted.remarks, (*statement.lines, *doubts))
    origin = f"{grid.name}, a photograph: a first draft"
    return _Brought(
        _fit(grid, drafted.cells, threads, most, kinds), origin, list(drafted.account), besides
    )


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
