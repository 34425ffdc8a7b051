"""`linenleaf match`."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import click

from ..colour.colorimetry import Floats, hex_of_lab
from ..colour.matching import LIGHTS, colour_asked, nearest_threads
from ..console import FINDINGS, follow_chart, say, stop
from ..core.characters import called, hidden_in_name
from ..core.diagnostics import has_errors
from ..core.key import ThreadKind
from ..reports.outputnames import range_name
from ..reports.phrasing import LEFT, RIGHT, table
from ..resolve.threads import ThreadRange, read_range
from ..terminal import echo
from .kinds import kind_option, of_kinds

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


Corner = tuple[int, int]
PhotoArea = tuple[Corner, Corner]


def corner(text: str) -> Corner:
    """Return a place in a picture, `300,40`: pixels from the left and from the top."""
    words = [each.strip() for each in text.split(",")]
    if len(words) != 2 or not all(each.isdecimal() and len(each) < 8 for each in words):
        raise click.BadParameter(f"{text!r} is not a place in a picture; write 300,40")
    return int(words[0]), int(words[1])


def _area(word: str, said: str) -> Callable[[click.decorators.FC], click.decorators.FC]:
    return click.option(word, type=(corner, corner), metavar="X,Y X,Y", help=said)


@click.command()
@click.argument("file", metavar="RANGE|CHART", type=FILE)
@click.argument("colour", required=False)
@click.option(
    "-n",
    "--best",
    type=click.IntRange(1, 100),
    default=5,
    show_default=True,
    metavar="N",
    help="How many threads to list.",
)
@click.option(
    "--light",
    type=click.Choice(list(LIGHTS)),
    default="d65",
    show_default=True,
    help="The light under which a Lab colour was measured.",
)
@click.option("--photo", type=FILE, help="A photograph, PNG or JPEG.")
@_area("--patch", "Corners of the patch in the photograph to match.")
@_area("--white", "Corners of a white patch in the same light.")
@_area("--grey", "Corners of a grey card in the same light.")
@click.option(
    "--reflects",
    type=click.FloatRange(1, 100),
    metavar="PERCENT",
    help="Light that the white or grey patch gives back; 90 for white, 18 for grey.",
)
@click.option("--into", type=FILE, help="A range: substitutes for the whole key of a chart.")
@kind_option
def command(
    file: Path,
    colour: str | None,
    best: int,
    light: str,
    photo: Path | None,
    patch: PhotoArea | None,
    white: PhotoArea | None,
    grey: PhotoArea | None,
    reflects: float | None,
    into: Path | None,
    kinds: tuple[ThreadKind, ...],
) -> None:
    """Find the nearest threads of a range to a colour, or to a whole key.

    \b
    Example:  linenleaf match estuary.csv "#8a6a49"
              linenleaf match estuary.csv "lab(52 10 -3)" -n 3
              linenleaf match estuary.csv --photo cat.jpg --patch 10,10 60,60 --white 300,5 340,30
              linenleaf match saltmarsh.linen --into estuary.csv
    """  # noqa: D301
    if into is not None:
        if colour is not None or photo is not None:
            stop("--into takes the colours of the key; leave the colour and --photo out.")
        _whole_key(file, into, kinds)
        return
    if file.suffix.lower() == ".linen":
        stop("a chart needs --into and a range; a single colour is sought in a range (.csv).")
    if (colour is None) == (photo is None):
        stop('say one colour, in quotes: "#8a6a49" or "lab(52 10 -3)"; or a photo and a patch.')
    if photo is None and (patch or white or grey or reflects):
        stop("--patch, --white, --grey and --reflects go with --photo.")
    if photo is None:
        lab = colour_asked(colour or "", light)
        if lab is None:
            stop(f'{colour!r} is not a colour; write "#8a6a49" or "lab(52 10 -3)", in quotes.')
    else:
        lab = _of_photo(photo, patch, white, grey, reflects)
    threads = of_kinds(_range(file).threads.values(), kinds)
    lightness, a, b = (float(each) for each in lab)
    echo(f"Sought: {hex_of_lab(lab)}, Lab {lightness:.1f} {a:.1f} {b:.1f}\n")
    rows = [("thread", "name", "colour", "off", "")]
    for each in nearest_threads(lab, threads, best):
        thread = each.thread
        rows.append(
            (thread.label, thread.name, thread.colour, f"{each.difference:.1f}", each.words)
        )
    echo("\n".join(table(rows, (LEFT, LEFT, LEFT, RIGHT, LEFT))))


def _range(path: Path) -> ThreadRange:
    """Return a range under the name of its file, or leave with its findings."""
    target, findings = read_range(path, range_name(path.stem, ()))
    say(findings)
    if has_errors(findings) or not target.whole:
        sys.exit(FINDINGS)
    return target


def _of_photo(
    photo: Path,
    patch: PhotoArea | None,
    white: PhotoArea | None,
    grey: PhotoArea | None,
    reflects: float | None,
) -> Floats:
    from ..importing.patch import GREY, WHITE, NotMeasured, measure

    if patch is None:
        stop("--photo needs --patch: two corners of the place to match.")
    if white is not None and grey is not None:
        stop("give one of --white and --grey.")
    reference = white or grey
    share = (WHITE if white else GREY) if reflects is None else reflects / 100
    try:
        measured = measure(
            photo, (*patch[0], *patch[1]), reference and (*reference[0], *reference[1]), share
        )
    except NotMeasured as reason:
        stop(str(reason))
    for doubt in measured.doubts:
        echo(f"warning: {doubt}", err=True)
    return measured.lab


def _whole_key(chart: Path, into: Path, kinds: tuple[ThreadKind, ...]) -> None:
    from ..colour.substitutes import TooFew
    from ..reports.rekeyed import rekey

    worked = follow_chart(chart)
    named = beside(chart, into)
    if (hidden := hidden_in_name(named)) is not None:
        stop(f"no chart can name {into}: it contains {called(hidden)}; rename it.")
    target = _range(into)
    if any(kind.traits.bead for kind in kinds):
        stop("the lines of a key are worked with thread; beads are matched one by one.")
    of_kinds(target.threads.values(), kinds)
    try:
        rekeyed = rekey(worked, target, named, kinds)
    except TooFew as reason:
        stop(f"{into}: {reason}")
    for each in rekeyed.close:
        echo(f"warning: {each}", err=True)
    echo(rekeyed.text, nl=False)


def beside(chart: Path, file: Path) -> str:
    """Return how a chart names a file: from its own folder, or as if it were put there."""
    folder, real = chart.resolve().parent, file.resolve()
    return real.relative_to(folder).as_posix() if real.is_relative_to(folder) else file.name
