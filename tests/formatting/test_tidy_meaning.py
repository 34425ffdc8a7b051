"""Whatever the source, its tidy form means the same, keeps every remark and is tidy itself.

`LINENLEAF_FUZZ=20000 pytest tests/test_tidy_meaning.py` tries so many sources instead of a few.
"""

from __future__ import annotations

import os
import re
from bisect import bisect_right
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from linenleaf.checks import check
from linenleaf.compose.compose import compose
from linenleaf.core.diagnostics import render
from linenleaf.core.files import as_text
from linenleaf.core.model import Design
from linenleaf.core.source import Source
from linenleaf.formatting.rulers import Rulers, is_ruler
from linenleaf.formatting.tidy import tidy
from linenleaf.resolve.read import read_source
from linenleaf.syntax.nodes import ChartFile
from linenleaf.syntax.parse import parse

from tests.resolve.test_read_back import designs
from tests.resolve.test_read_fuzz import mend
from tests.sources import MARKS, SMALL, WHOLE, folder_with
from tests.writing import csv, source

MANY = int(os.environ.get("LINENLEAF_FUZZ", "10"))
FUZZ = settings(
    max_examples=MANY,
    derandomize=MANY <= 1000,
    database=None,
    suppress_health_check=list(HealthCheck),
)
HOUSE = Path(__file__).resolve().parent.parent.parent
EXAMPLES = sorted((HOUSE / "examples").rglob("*.linen"))
RULERS = st.sampled_from(Rulers)


def parsed(text: str) -> ChartFile:
    file, findings = parse(Source("chart.linen", text))
    assert findings == (), [render(each) for each in findings]
    return file


def remarks(file: ChartFile) -> list[str]:
    return [each.text.rstrip() for each in file.comments if not is_ruler(each.text.rstrip())]


def meaning(text: str, path: Path) -> tuple[Design | None, list[str]]:
    """The design of a text at a path, and the names of what is found, places left out."""
    given = Source("chart.linen", text)
    design, findings = read_source(given, path)
    names = sorted(each.name for each in findings)
    if design is None:
        return None, names
    return replace(design, source=Source("", "")), names


def places(file: ChartFile) -> list[tuple[str, int | None, int | None]]:
    """Each remark with the line that it stands behind and that right below, counted in order.

    A ruler may come between a remark and a row, but not below one that keeps a finding quiet.
    """
    starts = [block.head.span.line for block in file.blocks if block.head is not None]
    starts += [member.span.line for block in file.blocks for member in block.members]
    order = sorted(set(starts))
    rulers = {each.span.line for each in file.comments if is_ruler(each.text.rstrip())}
    found = []
    for each in file.comments:
        text, line = each.text.rstrip(), each.span.line
        if is_ruler(text):
            continue
        below = line + 1
        while below in rulers and not text.startswith("# meant"):
            below += 1
        at = bisect_right(order, line)
        behind = at if at and order[at - 1] == line else None
        above = at if each.alone and order[at : at + 1] == [below] else None
        found.append((text, behind, above))
    return found


def hold(text: str, path: Path, rulers: Rulers = Rulers.KEPT) -> str | None:
    """Hold the tidy form of a text to all that is promised of it; None where there is none."""
    once, findings = tidy(Source("chart.linen", text), rulers)
    if once is None:
        assert findings
        return None
    assert tidy(Source("chart.linen", once), rulers) == (once, ())
    assert once == text or meaning(once, path) == meaning(text, path)
    before, after = parsed(text), parsed(once)
    assert remarks(after) == remarks(before)
    for (_, behind, above), (_, behind_now, above_now) in zip(
        places(before), places(after), strict=True
    ):
        assert behind_now == behind
        assert above is None or above_now == above
    assert not re.search(r"[ \t]\n|\n\n\n|\n *\t|\A\n|[^\n]\Z|\n\n\Z", _without_remarks(once))
    return once


def _without_remarks(text: str) -> str:
    return re.sub(r"#[^\n]*", "#", text)


REMARKS = st.sampled_from(
    [
        "# meant few-stitches: a light",
        '# a remark | with "all" sorts #',
        "",
        "   ",
        "\t# one more",
        "#",
        "  # in",
        "#....5...10",
    ]
)
TAILS = st.sampled_from(["", "  ", ' # behind | the "line"', "\t#x\t ", " # a" * 20])
LEADS = st.sampled_from(["", "  ", "\t", "        "])


@st.composite
def untidy(draw: st.DrawFn, text: str) -> str:
    """A text with remarks and blanks in between, and its words written in other ways."""
    lines: list[str] = []
    for line in text.split("\n"):
        lines.extend(draw(st.lists(REMARKS, max_size=3)))
        body = line.strip()
        if body and not body.startswith("|") and draw(st.booleans()):
            body = _respaced(body, draw(st.sampled_from([" ", "   ", "\t"])))
        lines.append(draw(LEADS) + body + (draw(TAILS) if body else ""))
    lines.extend(draw(st.lists(REMARKS, max_size=2)))
    return "\n".join(lines) + draw(st.sampled_from(["", "\n", "\n\n  \n"]))


def _respaced(line: str, blank: str) -> str:
    """A line with other blanks between words, outside its texts and rows."""
    pieces = re.split(r'("(?:[^"\\]|\\.)*"|\|[^|]*\|)', line)
    return "".join(
        piece if number % 2 else re.sub(r"(?<=\d),(?=-?\d)", f",{blank}", piece.replace(" ", blank))
        for number, piece in enumerate(pieces)
    )


@FUZZ
@given(design=designs(), data=st.data())
def test_a_design_written_untidily(tmp_path, design, data):
    ranges = {thread.range for thread in design.threads if thread.range}
    for name in ranges:
        members = [thread for thread in design.threads if thread.range == name]
        (tmp_path / f"{name}.csv").write_text(csv(members), "utf-8")
    text = data.draw(untidy(source(design)))
    path = tmp_path / "chart.linen"
    assert meaning(text, path)[0] is not None, text
    assert hold(text, path, data.draw(RULERS)) is not None


@pytest.fixture(scope="module")
def whole(tmp_path_factory) -> Path:
    return folder_with(tmp_path_factory.mktemp("whole"))


@FUZZ
@given(data=st.data())
def test_a_chart_with_every_statement_written_untidily(whole, data):
    text = data.draw(untidy(data.draw(st.sampled_from([WHOLE, SMALL, MARKS]))))
    assert hold(text, whole, data.draw(RULERS)) is not None


@settings(FUZZ, max_examples=3 * MANY)
@given(data=st.data())
def test_a_harmed_chart_is_left_alone_or_means_what_it_meant(whole, data):
    text = mend(data.draw, data.draw(st.sampled_from([WHOLE, SMALL, MARKS])))
    given, _ = as_text(text.encode("utf-8", "surrogatepass"), "chart.linen")
    if given is not None:
        hold(given.text, whole, data.draw(RULERS))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
@pytest.mark.parametrize("rulers", Rulers)
def test_the_examples_mean_the_same(path, rulers):
    assert hold(path.read_text("utf-8"), path, rulers) is not None


@pytest.mark.parametrize(
    "path",
    [each for each in EXAMPLES if "# meant" in each.read_text("utf-8")],
    ids=lambda p: p.name,
)
def test_the_examples_untidied_are_checked_the_same(path):
    """Remarks that keep a finding quiet stand at its line, so that it stays quiet."""
    text = path.read_text("utf-8")
    found = []
    for each in (text, tidy(Source(str(path), text), Rulers.ADDED)[0]):
        design, findings = read_source(Source(str(path), each), path)
        assert findings == ()
        worked, findings = compose(design)
        assert findings == ()
        found.append([(finding.name, finding.message) for finding in check(worked)])
    assert sorted(found[0]) == sorted(found[1])


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_the_examples_are_tidy(path):
    text = path.read_text("utf-8")
    assert tidy(Source(str(path), text))[0] == text
