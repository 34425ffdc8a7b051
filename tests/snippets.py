"""Charts for tests in the notation's own words, through the real reader and composer."""

from __future__ import annotations

from pathlib import Path
from textwrap import dedent

from linenleaf.checks import check
from linenleaf.compose.compose import compose
from linenleaf.compose.worked import WorkedChart
from linenleaf.core.diagnostics import Diagnostics
from linenleaf.core.model import Design
from linenleaf.core.source import Source
from linenleaf.resolve.read import read, read_source

HEAD = 'linen 1\nbooklet "Test"\n'
FABRIC = "fabric linen 32 over 2\n"


def design_of(text: str, folder: Path) -> Design:
    """Read a snippet; the first lines and a linen fabric are added where it has none."""
    body = dedent(text)
    if "booklet" not in body:
        body = HEAD + body
    if "\nfabric" not in body:
        body += FABRIC
    path = folder / "test.linen"
    path.write_text(body, encoding="utf-8")
    design, findings = read(path)
    assert design is not None, [each.message for each in findings]
    assert not findings, [each.message for each in findings]
    return design


def worked_of(text: str, folder: Path) -> WorkedChart:
    """Read and compose a snippet in which neither stage finds anything."""
    worked, findings = compose(design_of(text, folder))
    assert worked is not None, [each.message for each in findings]
    return worked


def rows_of(text: str) -> list[str]:
    """Read and compose a whole chart of the symbols m, s and k, in this order in its key.

    Returns its rows, or the names of what is wrong with it.
    """
    design, findings = read_source(Source("chart.linen", text), Path("chart.linen"))
    worked, findings = compose(design) if design is not None else (None, findings)
    if worked is None:
        return [each.name for each in findings]
    return ["".join(".msk"[cell] for cell in row) for row in worked.grid]


def found_in(text: str, folder: Path) -> Diagnostics:
    """Return what the checks find in a snippet."""
    return check(worked_of(text, folder))
