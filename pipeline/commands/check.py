"""`linenleaf check`."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path

import click

from .. import __version__
from ..checks import CHECKS
from ..console import CHART, FINDINGS, LETTERS, coloured, follow_flow, stop
from ..core.diagnostics import has_errors
from ..flow import Flow
from ..reports.listing import list_findings, plain_findings
from ..reports.sarif import as_sarif


def _text(chart: Path, flow: Flow) -> str:
    return list_findings(flow.findings, str(chart), flow.silenced, coloured)


def _json(chart: Path, flow: Flow) -> str:
    plain = plain_findings(str(chart), flow.findings, flow.silenced)
    return json.dumps(plain, ensure_ascii=False, indent=2)


def _sarif(_chart: Path, flow: Flow) -> str:
    what = {each.name: each.what for each in CHECKS}
    log = as_sarif(flow.findings, flow.silenced, version=__version__, folder=Path.cwd(), what=what)
    return json.dumps(log, indent=2)  # in ASCII, so that no terminal or pipe re-encodes it


FORMS: dict[str, Callable[[Path, Flow], str]] = {"text": _text, "json": _json, "sarif": _sarif}


def _about(_context: click.Context, _parameter: click.Parameter, name: str | None) -> None:
    """Show what the reference says of a finding, and leave."""
    if name is None:
        return
    from ..core.suggest import did_you_mean
    from ..reports.about import about, sections

    text = about(name)
    if text is None:
        guess = did_you_mean(name, sections())
        stop(
            f"No check is called {name[:60]}; "
            + (guess or "what comes from reading a file is listed in grammar/notation.md.")
        )
    click.echo(text)
    sys.exit()


@click.command()
@CHART
@click.option(
    "--format",
    "form",
    type=click.Choice(list(FORMS)),
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
    help="Show what a check looks for, with an example, and how it is kept quiet.",
)
@LETTERS
def command(chart: Path, form: str, letters: tuple[str, ...]) -> None:
    """Proof-read the chart; exit status 1 when it has errors.

    \b
    Example:  linenleaf check saltmarsh.linen
              linenleaf check saltmarsh.linen --format sarif > saltmarsh.sarif
              linenleaf check saltmarsh.linen --letter initials="C D"
              linenleaf check --about odd-repeat
    """  # noqa: D301
    flow = follow_flow(chart, letters)
    click.echo(FORMS[form](chart, flow))
    if has_errors(flow.findings):
        sys.exit(FINDINGS)
