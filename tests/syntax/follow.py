"""Prints what follows from a table with made-up entries: run by `test_statements` in a copy."""

from __future__ import annotations

import json
from pathlib import Path

from linenleaf.core.diagnostics import render
from linenleaf.core.source import Source
from linenleaf.formatting.tidy import tidy
from linenleaf.lsp.completion import complete
from linenleaf.lsp.editors import written
from linenleaf.lsp.outline import outline
from linenleaf.syntax.notation import notation
from linenleaf.syntax.parse import parse

UNTIDY = """\
linen 2
hoop   "Beech" 12.0 cm  round
booklet "A"
lining   "Calico"
needs "A hoop"
chart 3 x 3
 tern fading 3 at  1,1
"""


def offered(text: str) -> dict[str, str]:
    """What is offered at the end of a text, with its details."""
    found = complete(outline(Source("chart.linen", text), Path("chart.linen")), len(text))
    return {choice.text: choice.detail for choice in found.choices} if found else {}


def chart_line(version: int, line: str) -> list[str]:
    """What a line below `chart` becomes, and what is found."""
    file, findings = parse(Source("chart.linen", f"linen {version}\nchart 3 x 3\n  {line}\n"))
    members = [type(member).__name__ for member in file.blocks[-1].members]
    return members + [finding.name for finding in findings]


def said(text: str) -> list[str]:
    """What is said of a text, as a user sees it."""
    return [render(finding) for finding in parse(Source("chart.linen", text))[1]]


if __name__ == "__main__":
    report = {
        "written": [text for _, text in sorted(written().items())],
        "tidy": tidy(Source("chart.linen", UNTIDY))[0],
        "heads": [offered("linen 1\n"), offered("linen 2\n")],
        "units": list(offered('linen 2\nhoop "Beech" 12 ')),
        "shapes": list(offered('linen 2\nhoop "Beech" ')),
        "options": [offered(f"linen {version}\nchart 3 x 3\n tern ") for version in (1, 2)],
        "below": offered('linen 1\nbooklet "A"\n  '),
        "placed": [chart_line(version, "hoop at 1,1") for version in (1, 2)],
        "said": said("linen 2\nhoop\n"),
        "too early": [
            *said('linen 1\nhoop "Beech" round\n'),
            *said("linen 1\nchart 3 x 3\n  tern fading 3 at 1,1\n"),
        ],
        "reserved": ["hoop" in notation(version).reserved for version in (1, 2)],
    }
    print(json.dumps(report))
