"""`linenleaf count`."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path

import click

from ..booklet.supplies import strands_on
from ..compose.copies import restrand
from ..compose.worked import WorkedChart
from ..console import COLOURWAY, LETTERS, follow_chart, stop
from ..core.characters import escaped
from ..core.diagnostics import Diagnostic, Diagnostics, finding, has_errors
from ..core.ground import Fabric
from ..core.source import Source
from ..count.calibrate import fit
from ..count.thread import estimate
from ..reports.exchange import HEADER, Table, as_csv, as_data, table
from ..reports.facts import Facts, gather
from ..reports.kit import KIT_HEADER, Kit, kit_data, kit_of, kit_table
from ..reports.kitsheet import as_sheet
from ..reports.phrasing import many
from ..reports.report import as_text
from ..reports.roll import TooNarrow
from ..reports.shoplist import as_list
from ..reports.used import NotUnderstood, as_working
from ..reports.used import used as read_used
from ..resolve.grounds import resolve_ground
from ..resolve.settings import MM_IN
from ..several import CHARTS, One, one_by_one
from ..syntax.nodes import FabricHead
from ..syntax.parse import parse
from ..terminal import echo, echo_json

_LONGEST = 200  # characters
_ROLL = re.compile(r"(\d{1,5}(?:\.\d{1,3})?) ?(mm|cm|in)", re.ASCII)
_NARROWEST, _WIDEST = 100.0, 5000.0  # mm; no loom is wider


def fabric_asked(text: str) -> tuple[Fabric | None, Diagnostics]:
    """Return a fabric written as in a chart, such as `linen 36 over 2`, and findings.

    The fabric is None when anything is wrong; then there is a finding.
    """
    if len(text) > _LONGEST or not text.isprintable():
        return None, (_no_fabric(),)
    file, unread = parse(Source("--fabric", f"linen 1\nfabric {text}\n"))
    findings = list(unread)
    block = next((each for each in file.blocks if each.word == "fabric"), None)
    if has_errors(findings) or block is None or not isinstance(block.head, FabricHead):
        return None, tuple(findings) or (_no_fabric(),)
    ground = resolve_ground(block, block.head, findings)
    return (None if ground is None else ground.fabric), tuple(findings)


def _no_fabric() -> Diagnostic:
    advice = "write it as in a chart: `linen 36 over 2`"
    return finding("bad-fabric", "This is not a fabric.", None, advice)


class NoWidth(ValueError):
    """What was typed is no width of a roll; the message says why."""


def roll_asked(text: str) -> float:
    """Return the width of a roll in mm, written as a length in a chart, such as `140 cm`.

    Raises:
        NoWidth: for what is no length, or no width of a roll.
    """
    match = _ROLL.fullmatch(text.strip())
    if match is None:
        raise NoWidth(f"{text[:40]!r} is not a length, such as `140 cm` or `55 in`.")
    width = float(match[1]) * MM_IN[match[2]]
    if not _NARROWEST <= width <= _WIDEST:
        raise NoWidth(
            f"no roll is {match[0]} wide; {_NARROWEST / 10:g} to {_WIDEST / 10:g} cm is possible."
        )
    return width


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
    fitted = fit(model, fabric, took)
    doubt = "See whether fabric, strands, method and amounts are those of the model."
    if fitted.too_little:
        stop(f"--used: this is less than the stitches take without any tails. {doubt}")
    if fitted.too_much:
        stop(f"--used: this is more than the longest tails would take. {doubt}")
    return as_working(fitted, f"{fabric.written} with {many(strands, 'strand')}")
