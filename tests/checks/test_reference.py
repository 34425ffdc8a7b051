"""The pages on checks: every check and finding of placing, and every example does what is said.

After a change of wording that is meant, `LINENLEAF_REWRITE=1 pytest tests/checks/test_reference.py`
writes anew what is said of the examples; read the difference.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import linenleaf.compose.compose
import linenleaf.compose.misplaced
import pytest
from click.testing import CliRunner
from linenleaf.chart.symbols import shape_names
from linenleaf.checks import CHECKS
from linenleaf.cli import main
from linenleaf.core.diagnostics import Level
from linenleaf.flow import Flow
from linenleaf.reports.about import about, sections

from .cases import many_lines
from .frame import followed, said

FOLDER = Path(__file__).resolve().parents[2] / "grammar"
PAGE = (FOLDER / "checks.md").read_text("utf-8")
PAGES = sorted((FOLDER / "checks").glob("*.md"))
REWRITE = bool(os.environ.get("LINENLEAF_REWRITE"))
LONG = "too-many-symbols"  # its example is not written out

EXAMPLE = re.compile(r"^```linen ?(.*)\n((?:.*\n)*?)^```\n\n```text\n((?:.*\n)*?)^```\n", re.M)
SECTIONS = sections()
LEVELS = {each.name: each.level for each in CHECKS} | {"idle-remark": Level.HINT}


def rows(section: str) -> list[list[str]]:
    part = PAGE.split(f"## {section}\n")[1].split("\n## ")[0]
    lines = [line for line in part.splitlines() if line.startswith("| `")]
    return [[cell.strip(" `") for cell in line.strip("|").split("|")] for line in lines]


def level(name: str) -> Level:
    return LEVELS.get(name, Level.ERROR)


def test_every_check_has_its_row():
    assert rows("The chart as a whole") == [
        [each.name, each.level.word, each.what] for each in CHECKS
    ]


def test_every_finding_of_placing_has_its_row():
    placing = set()
    for module in (linenleaf.compose.compose, linenleaf.compose.misplaced):
        source = Path(module.__file__).read_text("utf-8")
        placing |= set(re.findall(r"\berror\(\s*\"([a-z-]+)\"", source))
    assert placing == {name for name, *_ in rows("Placing")}


def test_every_row_has_a_section_and_nothing_else_has():
    listed = [name for part in ("Placing", "The chart as a whole") for name, *_ in rows(part)]
    headings = [name for page in PAGES for name in re.findall(r"^## (.*)$", page.read_text(), re.M)]
    assert sorted(headings) == sorted([*listed, "idle-remark"])
    assert set(SECTIONS) == set(headings)


def test_every_page_is_linked():
    assert {f"checks/{page.name}" for page in PAGES} == set(re.findall(r"\((checks/[^)]*)\)", PAGE))
    for page in PAGES:
        for link in re.findall(r"\]\(([^)#]+)", page.read_text("utf-8")):
            assert (page.parent / link).exists(), f"{page.name}: {link}"


@pytest.mark.parametrize("name", SECTIONS)
def test_a_section_has_its_parts(name):
    text = SECTIONS[name]
    what = {row[0]: row[-1] for part in ("Placing", "The chart as a whole") for row in rows(part)}
    first = " ".join(text.split("\n\n")[0].split())
    if name in what:
        assert first.lower() == f"{what[name]}.".lower()
    marks = re.findall(r"^\*\*(.*?)\*\*", text, re.M)
    assert marks == ["Why.", "Mend it.", *["Keep it."] * (name not in of_placing())]
    keep = text.rpartition("**Keep it.**")[2]
    if level(name) is Level.ERROR:
        assert name in of_placing() or "cannot be kept quiet" in keep
    elif name != "idle-remark":
        assert f"`# meant {name}: the reason` at " in keep
    assert bool(EXAMPLE.search(text)) != (name == LONG)


def of_placing() -> set[str]:
    return {name for name, *_ in rows("Placing")}


def example(name: str) -> str:
    if name == LONG:
        return many_lines(len(shape_names()) + 1).lstrip()
    mark, text, _ = EXAMPLE.search(SECTIONS[name]).groups()
    repeated = re.fullmatch(r"the last line (\d+) times", mark)
    if repeated:
        *lines, last = text.splitlines()
        text = "\n".join([*lines, *[last] * int(repeated[1])]) + "\n"
    else:
        assert not mark
    return text


@pytest.fixture(scope="module")
def flows(tmp_path_factory) -> dict[str, Flow]:
    folder = tmp_path_factory.mktemp("examples")
    return {name: followed(example(name), folder) for name in SECTIONS}


@pytest.mark.parametrize("name", SECTIONS)
def test_an_example_is_found_out_and_what_is_said_is_said(name, flows):
    found = flows[name].findings
    assert {each.name for each in found} == {"absurd-number" if name == "chart-size" else name}
    finding = found[0]
    assert finding.level is level(name)
    advice = [each.message for each in finding.hints if each.span is None]
    assert advice or name == "chart-size"  # its sentence says what is possible
    if name == LONG:
        return
    shown = EXAMPLE.search(SECTIONS[name])[3]
    if REWRITE:
        rewrite(name, said(finding))
    assert shown == said(finding)
    assert len(found) == 1


def rewrite(name: str, now: str) -> None:
    for page in PAGES:
        text = page.read_text("utf-8")
        start = text.find(f"\n## {name}\n")
        if start >= 0:
            match = EXAMPLE.search(text, start)
            page.write_text(text[: match.start(3)] + now + text[match.end(3) :], "utf-8")


@pytest.mark.parametrize("name", sorted({*SECTIONS} - {"idle-remark", LONG}))
def test_it_is_kept_quiet_as_the_page_says(name, flows, tmp_path):
    finding = flows[name].findings[0]
    source = finding.span.source
    lines = source.text.split("\n")
    lines[finding.span.line - 1] += f"  # meant {name}: I like it so"
    (tmp_path / "estuary.csv").write_bytes((Path(source.path).parent / "estuary.csv").read_bytes())
    path = tmp_path / "example.linen"
    path.write_text("\n".join(lines), "utf-8")
    done = CliRunner().invoke(main, ["check", str(path)])
    if level(name) is Level.ERROR:
        assert done.exit_code == 1
        assert "silenced" not in done.output
    else:
        many = 1 + len(flows[name].silenced)
        assert done.output == f"{path}: no findings; {many} silenced\n"


def test_the_terminal_tells_a_section():
    done = CliRunner().invoke(main, ["check", "--about", "speck"])
    assert done.exit_code == 0
    assert done.output.startswith(
        "speck\n\nA lone cross, or a hole, inside a field of one thread.\n\nWhy. In a field"
    )
    assert "\n    chart 7 x 6\n      |mmmmmmm|\n" in done.output
    assert "# meant speck: the reason" in done.output
    assert about("speck") == done.output.rstrip("\n")


def test_a_name_without_a_section_is_helped():
    runner = CliRunner()
    done = runner.invoke(main, ["check", "--about", "spek"])
    assert done.exit_code == 2
    assert "did you mean `speck`?" in done.stderr
    done = runner.invoke(main, ["check", "--about", "ragged-row"])
    assert done.exit_code == 2
    assert "notation" in done.stderr
