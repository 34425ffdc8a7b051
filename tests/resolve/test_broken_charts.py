"""Broken charts and what is said of them: `tests/data/broken/*.linen` with `.expected` beside.

The expected text is what a user sees in the terminal. After a change that is meant, rewrite it
with `LINENLEAF_REWRITE=1 pytest tests/resolve/test_broken_charts.py` and read the difference.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from linenleaf.core.diagnostics import Diagnostics, has_errors, render
from linenleaf.resolve.read import read

FOLDER = Path(__file__).parent.parent / "data" / "broken"
CHARTS = sorted(path.name for path in FOLDER.glob("*.linen"))
REWRITE = bool(os.environ.get("LINENLEAF_REWRITE"))


def shown(findings: Diagnostics) -> str:
    return "".join(f"{render(each)}\n\n" for each in findings)


@pytest.mark.parametrize("name", CHARTS)
def test_the_findings_are_as_expected(name, monkeypatch):
    monkeypatch.chdir(FOLDER)  # the user stands beside the chart, so paths are short
    design, findings = read(Path(name))
    expected = FOLDER / f"{name.removesuffix('.linen')}.expected"
    if REWRITE:
        expected.write_text(shown(findings), "utf-8")
    assert shown(findings) == expected.read_text("utf-8")
    assert has_errors(findings)
    assert design is None


def test_there_are_enough_of_them():
    assert len(CHARTS) >= 40


@pytest.mark.parametrize("name", CHARTS)
def test_every_finding_says_where_and_in_a_sentence(name, monkeypatch):
    monkeypatch.chdir(FOLDER)
    _, findings = read(Path(name))
    for each in findings:
        assert each.span is not None
        assert each.span.line >= 1
        assert each.message[0] == each.message[0].upper() or each.message[0] == "`"
        assert each.message.endswith(".")
        assert len(each.message) < 200


# Sentences that say by themselves what is to be written.
PLAIN = re.compile(r"(is possible|is a whole number, not `.*`)\.$")


@pytest.mark.parametrize("name", CHARTS)
def test_every_finding_says_what_to_do(name, monkeypatch):
    monkeypatch.chdir(FOLDER)
    _, findings = read(Path(name))
    for each in findings:
        advice = [hint for hint in each.hints if hint.span is None]
        assert advice or PLAIN.search(each.message), each.message
