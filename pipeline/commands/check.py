"""`linenleaf check`."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path

import click

from .. import __version__
from ..compose.copies import letters_asked, personalise
from ..compose.worked import WorkedChart
from ..console import FINDINGS, LETTERS, follow_flow, progress, stop
from ..core.diagnostics import Diagnostics, in_order
from ..core.findings import REGISTRY, Level
from ..core.model import Chart, Design
from ..flow import Flow
from ..reports.listing import list_findings, plain_findings, plain_of_several
from ..reports.placements import list_places, placed, plain_places
from ..reports.sarif import as_sarif
from ..resolve.read import read_any
from ..several import CHARTS, One, one_by_one
from ..terminal import echo, echo_findings, echo_json

FORMS = ("text", "json", "sarif")


def _about(_context: click.Context, _parameter: click.Parameter, name: str | None) -> None:
    """Show what the reference says of a finding, and leave."""
    if name is None:
        return
    from ..core.suggest import did_you_mean
    from ..reports.listing import about, sections

    text = about(name)
    if text is None:
        guess = did_you_mean(name, sections())
        stop(
            f"No finding is called {name[:60]}; "
            + (guess or "all of them are listed in grammar/checks.md.")
        )
    echo(text)
    sys.exit()


@click.command()
@CHARTS
@click.option(
    "--format",
    "form",
    type=click.Choice(FORMS),
    default="text",
    show_default=True,
    help="For people, as JSON for programs, or as SARIF 2.1.0 for review tools.",
)
@click.option(
    "--about",
    metavar="NAME",
    is_eager=True,
    expose_value=False,
    callback=_about,
    help="Show what a finding is about, why it matters, an example, and what to do.",
)
@click.option(
    "--fail-on",
    type=click.Choice([level.word for level in Level]),
    default=Level.ERROR.word,
    show_default=True,
    help="Exit with status 1 for findings of this level or worse.",
)
@click.option(
    "--places", is_flag=True, help="Also list where everything came to stand, and how large it is."
)
@click.option(
    "--photographs",
    is_flag=True,
    help="Also hold each chart against its photographs, and tell what differs, the surest first.",
)
@LETTERS
def command(
    charts: tuple[Path, ...],
    form: str,
    fail_on: str,
    letters: tuple[str, ...],
    *,
    places: bool,
    photographs: bool,
) -> None:
    """Proof-read charts; exit status 1 when one has errors.

    Of a folder, all charts in it and below are read, and the files of motifs, alphabets and ranges
    that they use.

    \b
    Example:  linenleaf check saltmarsh.linen
              linenleaf check charts --fail-on warning
              linenleaf check saltmarsh.linen --format sarif > saltmarsh.sarif
              linenleaf check saltmarsh.linen --letter initials="C D"
              linenleaf check saltmarsh.linen --places
              linenleaf check saltmarsh.linen --photographs
              linenleaf check --about odd-repeat
    """  # noqa: D301
    checked: list[tuple[One, Flow]] = []
    listed: dict[Path, list[dict[str, object]]] = {}
    shown: dict[Path, list[dict[str, object]]] = {}

    def proof_read(one: One) -> str:
        flow = follow_flow(one.path, letters, one.root)
        if photographs and flow.worked is not None:
            flow, shown[one.path] = _held(flow, flow.worked)
        stood = _placed(one.path, letters, one.root) if places else ()
        if form == "text":
            _tell(str(one.path), flow, stood, first=not checked)
        if stood:
            listed[one.path] = plain_places(stood)
        checked.append((one, replace(flow, worked=None)))  # there may be many
        return _outcome(flow)

    status = one_by_one(charts, proof_read, closing=form == "text", err=False)
    if form == "json":
        plain = [
            _plain(one, flow, listed.get(one.path), shown.get(one.path)) for one, flow in checked
        ]
        alone = checked[0][0].alone if checked else False
        echo_json(
            json.dumps(plain[0] if alone else plain_of_several(plain), ensure_ascii=False, indent=2)
        )
    elif form == "sarif":
        echo_json(_sarif([flow for _, flow in checked]))
    mildest = Level[fail_on.upper()]
    if any(each.level <= mildest for _, flow in checked for each in flow.proper):
        status = max(status, FINDINGS)
    sys.exit(status)


def _placed(path: Path, letters: tuple[str, ...], root: Path | None) -> tuple[Chart, ...]:
    """Return the chart and its motifs with all places, also where something else is wrong."""
    design, _ = read_any(path, root)
    if not isinstance(design, Design):
        return ()
    return placed(personalise(design, letters_asked(letters)) if letters else design)


def _tell(chart: str, flow: Flow, places: tuple[Chart, ...], *, first: bool) -> None:
    if not first:
        echo("")
    if places:
        echo(list_places(places) + "\n")
    told = list_findings(flow.proper, chart, flow.silenced)
    if flow.shared is not None:
        told += "; a file for charts to use"
    echo_findings(told)


def _outcome(flow: Flow) -> str:
    gravest = min((each.level for each in flow.proper), default=None)
    return "without findings" if gravest is None else f"with {gravest.word}s"


def _held(flow: Flow, worked: WorkedChart) -> tuple[Flow, list[dict[str, object]]]:
    """Return a flow with what its photographs tell, and that as plain data."""
    from ..held.answers import answers
    from ..held.plain import plain_answer
    from ..held.telling import findings_of

    told: Diagnostics = ()
    plain = []
    with progress() as report:
        for answer in answers(worked, report):
            told += findings_of(worked, answer)
            plain.append(plain_answer(answer))
    return replace(flow, findings=flow.findings + told), plain


def _plain(
    one: One,
    flow: Flow,
    places: list[dict[str, object]] | None,
    photographs: list[dict[str, object]] | None,
) -> dict[str, object]:
    plain = plain_findings(str(one.path), flow.proper, flow.silenced)
    if places is not None:
        plain["places"] = places
    if photographs is not None:
        plain["photographs"] = photographs
    return plain if flow.shared is None else {**plain, "shared": True}


def _sarif(flows: list[Flow]) -> str:
    what = {name: registered.what for name, registered in REGISTRY.items()}
    findings = in_order(each for flow in flows for each in flow.proper)
    silenced = [each for flow in flows for each in flow.silenced]
    log = as_sarif(findings, silenced, version=__version__, folder=Path.cwd(), what=what)
    return json.dumps(log, indent=2)  # in ASCII, so that no terminal or pipe re-encodes it
