"""`linenleaf count`."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from ..booklet.supplies import strands_on
from ..compose.copies import restrand
from ..compose.worked import WorkedChart
from ..console import COLOURWAY, LETTERS, follow_chart, stop
from ..core.characters import escaped
from ..core.model import Fabric
from ..count.calibrate import fit
from ..count.thread import estimate
from ..reports.asked import NoWidth, fabric_asked, roll_asked
from ..reports.exchange import HEADER, Table, as_csv, as_data, table
from ..reports.facts import Facts, gather
from ..reports.kit import Kit, kit_of
from ..reports.kitdata import KIT_HEADER, kit_data, kit_table
from ..reports.kitsheet import as_sheet
from ..reports.phrasing import fabric_name, many
from ..reports.report import as_text
from ..reports.roll import TooNarrow
from ..reports.shoplist import as_list
from ..reports.used import NotUnderstood, as_working
from ..reports.used import used as read_used
from ..several import CHARTS, One, one_by_one
from ..terminal import echo, echo_json

FORMS = ("text", "csv", "json", "list", "kit")
_OF_KITS = ("kit", "csv", "json")
WORDS = {"text": as_text, "list": as_list}


@click.command()
@CHARTS
@click.option(
    "--format",
    "form",
    type=click.Choice(FORMS),
    default="text",
    show_default=True,
    help="A table, the same as CSV or JSON, a plain shopping list, or a sheet for making kits.",
)
@click.option("--fabric", metavar="FABRIC", help='Another fabric, such as "linen 36 over 2".')
@click.option(
    "--strands", type=click.IntRange(1, 24), metavar="N", help="Strands for most of the crosses."
)
@click.option(
    "--kits",
    type=click.IntRange(1, 100_000),
    metavar="N",
    help="How many kits to make; with --format csv or json, what they take.",
)
@click.option(
    "--roll",
    metavar="WIDTH",
    help='With kits: width of the roll that the fabric is cut from, such as "140 cm".',
)
@click.option(
    "--used",
    multiple=True,
    metavar="THREAD=AMOUNT",
    help="What the stitched model really took; prints a `working` block fitted to it.",
)
@COLOURWAY
@LETTERS
def command(
    charts: tuple[Path, ...],
    form: str,
    fabric: str | None,
    strands: int | None,
    kits: int | None,
    roll: str | None,
    used: tuple[str, ...],
    colourway: str | None,
    letters: tuple[str, ...],
) -> None:
    """Count stitches, thread, skeins and sizes.

    Of a folder, all charts in it and below are counted.

    \b
    Example:  linenleaf count saltmarsh.linen --format csv > saltmarsh.csv
              linenleaf count saltmarsh.linen --fabric "linen 36 over 2" --strands 1
              linenleaf count saltmarsh.linen --format kit --kits 25 --roll "140 cm"
              linenleaf count saltmarsh.linen --used "estuary 417=2 less 3.1 g at 8 g"
    """  # noqa: D301
    if kits is not None and form not in _OF_KITS:
        stop("--kits goes with --format kit, csv or json.")
    for_kits = form == "kit" or kits is not None
    if roll is not None and not for_kits:
        stop("--roll goes with kits; add --format kit, or --kits and their number.")
    width = None if roll is None else _roll(roll)
    if used and form != "text":
        stop("--used prints a `working` block; leave --format out.")
    if used and (len(charts) > 1 or charts[0].is_dir()):
        stop("--used goes with one chart.")
    wanted = None if fabric is None else _fabric(fabric)
    tables: dict[str, Table] = {}
    data: dict[str, dict[str, object]] = {}

    def tally(one: One) -> str:
        worked = follow_chart(one.path, colourway, letters, alone=one.alone)
        if used:
            echo(_fitted(worked, wanted, strands, used), nl=False)
            return "fitted"
        facts = gather(worked, wanted, strands)
        kit = _kit(one.path, facts, kits or 1, width) if for_kits else None
        if form == "csv":
            tables[str(one.path)] = table(facts) if kit is None else kit_table(kit)
        elif form == "json":
            data[str(one.path)] = as_data(facts) if kit is None else kit_data(kit)
        else:
            words = WORDS[form](facts) if kit is None else as_sheet(kit)
            heading = "" if one.alone else f"--- {escaped(str(one.path))}\n"
            echo(f"{heading}{words}" + ("" if one.alone else "\n"), nl=False)
        return "counted"

    status = one_by_one(charts, tally)
    several = len(charts) > 1 or charts[0].is_dir()
    if tables:
        echo(as_csv(tables, KIT_HEADER if for_kits else HEADER, told=several), nl=False)
    if data:
        each = [{"chart": chart} | counted for chart, counted in data.items()]
        told = {"charts": each} if several else next(iter(data.values()))
        echo_json(json.dumps(told, ensure_ascii=False, indent=2))
    sys.exit(status)


def _roll(text: str) -> float:
    try:
        return roll_asked(text)
    except NoWidth as reason:
        stop(f"--roll: {reason}")


def _kit(chart: Path, facts: Facts, kits: int, roll: float | None) -> Kit:
    try:
        return kit_of(facts, kits, roll)
    except TooNarrow as reason:
        stop(f"--roll: {chart}: {reason}")


def _fabric(text: str) -> Fabric:
    fabric, findings = fabric_asked(text)
    if fabric is None:
        first = findings[0]
        hints = "".join(f" ({each.message})" for each in first.hints)
        stop(f"--fabric: {first.message}{hints}")
    return fabric


def _fitted(
    worked: WorkedChart, wanted: Fabric | None, strands: int | None, texts: tuple[str, ...]
) -> str:
    fabric = worked.design.ground.fabric if wanted is None else wanted
    strands = strands_on(worked, fabric) if strands is None else strands
    model = restrand(worked, strands)
    try:
        took = read_used(texts, [use.thread for use in estimate(model, fabric)])
    except NotUnderstood as reason:
        stop(f"--used: {reason}")
    if not took:
        stop("--used: say how much of which thread the model took.")
    found = fit(model, fabric, took)
    doubt = "See whether fabric, strands, method and amounts are those of the model."
    if found.too_little:
        stop(f"--used: this is less than the stitches take without any tails. {doubt}")
    if found.too_much:
        stop(f"--used: this is more than the longest tails would take. {doubt}")
    return as_working(found, f"{fabric_name(fabric)} with {many(strands, 'strand')}")
