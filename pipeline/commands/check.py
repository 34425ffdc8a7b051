"""`linenleaf check`."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from ..console import CHART, FINDINGS, coloured
from ..diagnostics import as_json, has_errors, render, summary
from ..flow import follow


@click.command()
@CHART
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text")
def command(chart: Path, form: str) -> None:
    """Proof-read the chart; exit status 1 when it has errors.

    Example:  linenleaf check saltmarsh.linen
    """
    findings = follow(chart).findings
    if form == "json":
        click.echo(json.dumps(as_json(findings), ensure_ascii=False, indent=2))
    else:
        for each in findings:
            click.echo(coloured(render(each)) + "\n")
        click.echo(f"{chart}: {summary(findings)}")
    if has_errors(findings):
        sys.exit(FINDINGS)
