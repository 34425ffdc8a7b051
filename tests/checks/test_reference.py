"""The pages on findings: every finding has its section, and every example does what is said.

After a change of wording that is meant, `LINENLEAF_REWRITE=1 pytest tests/checks/test_reference.py`
writes anew the tables and what is said of the examples; read the difference.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from linenleaf.checks import CHECKS
from linenleaf.cli import main
from linenleaf.core.findings import REGISTRY, TOPICS, Level
from linenleaf.flow import Flow
from linenleaf.reports.listing import about, overview, sections

from .frame import followed, said

FOLDER = Path(__file__).resolve().parents[2] / "grammar"
PAGE = FOLDER / "checks.md"
REWRITE = bool(os.environ.get("LINENLEAF_REWRITE"))
TABLES = re.compile(r"(<!-- findings: .*? -->\n)(.*?)(<!-- end of findings -->)", re.DOTALL)
EXAMPLE = re.compile(
    r"((?:^```\w+ \S+\.\w+\n(?:.*\n)*?^```\n\n)*)"  # files beside the chart
    r"^```linen ?(.*)\n((?:.*\n)*?)^```\n\n```text\n((?:.*\n)*?)^```\n",
    re.MULTILINE,
)
BESIDE = re.compile(r"^```\w+ (\S+)\n((?:.*\n)*?)^```\n", re.MULTILINE)

SECTIONS = sections()
SHOWN = [name for name, text in SECTIONS.items() if EXAMPLE.search(text)]
RULES = {check.name for check in CHECKS} | {"idle-remark"}


def test_every_finding_has_a_section_on_the_page_of_its_topic():
    pages = {path.stem for path in (FOLDER / "checks").glob("*.md")}
    assert pages == {topic.name for topic in TOPICS}
    for topic in TOPICS:
        text = (FOLDER / "checks" / f"{topic.name}.md").read_text("utf-8")
        assert re.findall(r"^## (.*)$", text, re.M) == [each.name for each in topic.findings]
        assert text.startswith(f"# {topic.title[0].upper()}{topic.title[1:]}\n")


def test_the_tables_of_the_reference_are_those_of_the_registry():
    text = PAGE.read_text("utf-8")
    if REWRITE:
        text = TABLES.sub(lambda match: f"{match[1]}\n{overview()}\n{match[3]}", text)
        PAGE.write_text(text, "utf-8")
    assert TABLES.search(text)[2].strip("\n") == overview().strip("\n")


def test_every_rule_is_registered_once():
    assert sum(len(topic.findings) for topic in TOPICS) == len(REGISTRY)
    assert len({check.name for check in CHECKS}) == len(CHECKS)
    assert set(REGISTRY) >= RULES


def test_every_link_leads_somewhere():
    for page in [PAGE, *(FOLDER / "checks").glob("*.md")]:
        for link in re.findall(r"\]\(([^)#]+)", page.read_text("utf-8")):
            assert (page.parent / link).exists(), f"{page.name}: {link}"


def test_a_section_has_its_parts():
    for name, text in SECTIONS.items():
        finding = REGISTRY[name]
        first = " ".join(text.split("\n\n")[0].split())
        assert first.lower() == f"{finding.what}.".lower()
        parts = re.findall(r"^\*\*(.*?)\*\*", text, re.M)
        assert parts[:2] == ["Why.", "What to do."], name
        keep = text.partition("**If it is meant.**")[2]
        if finding.level is Level.ERROR:
            assert not keep or "cannot be silenced" in keep, name
        elif name in RULES - {"idle-remark"}:
            assert f"`# meant {name}: the reason` at " in keep


def flow_of(name: str, folder: Path) -> Flow:
    beside, mark, text, _ = EXAMPLE.search(SECTIONS[name]).groups()
    assert mark in ("", "whole", "2")
    files = dict(BESIDE.findall(beside))
    version = 2 if mark == "2" else 1
    return followed(text, folder, whole=mark == "whole", beside=files, version=version)


@pytest.fixture(scope="module")
def flows(tmp_path_factory) -> dict[str, Flow]:
    folders = {name: tmp_path_factory.mktemp(name) for name in SHOWN}
    return {name: flow_of(name, folder) for name, folder in folders.items()}


@pytest.mark.parametrize("name", SHOWN)
def test_an_example_is_found_out_and_what_is_said_is_said(name, flows):
    findings = flows[name].findings
    told = "absurd-number" if name == "chart-size" else name  # reading lets no larger one through
    assert [each.name for each in findings] == [told]
    finding = findings[0]
    assert finding.level is REGISTRY[name].level
    advice = [each.message for each in finding.hints if each.span is None]
    assert advice or told == "absurd-number"  # its sentence says what is possible
    if REWRITE:
        rewrite(name, said(finding))
    assert EXAMPLE.search(sections()[name])[4] == said(finding)


def rewrite(name: str, now: str) -> None:
    page = FOLDER / "checks" / f"{REGISTRY[name].topic}.md"
    text = page.read_text("utf-8")
    match = EXAMPLE.search(text, text.index(f"\n## {name}\n"))
    page.write_text(text[: match.start(4)] + now + text[match.end(4) :], "utf-8")


@pytest.mark.parametrize("name", [name for name in SHOWN if name in RULES - {"idle-remark"}])
def test_it_is_kept_quiet_as_the_page_says(name, flows, tmp_path):
    finding = flows[name].findings[0]
    source = finding.span.source
    lines = source.text.split("\n")
    lines[finding.span.line - 1] += f"  # meant {name}: I like it so"
    (tmp_path / "estuary.csv").write_bytes((Path(source.path).parent / "estuary.csv").read_bytes())
    path = tmp_path / "example.linen"
    path.write_text("\n".join(lines), "utf-8")
    done = CliRunner().invoke(main, ["check", str(path)])
    if REGISTRY[name].level is Level.ERROR:
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


def test_the_terminal_knows_what_reading_finds_and_helps_with_a_slip():
    runner = CliRunner()
    done = runner.invoke(main, ["check", "--about", "ragged-row"])
    assert done.exit_code == 0
    assert done.output.startswith("ragged-row\n\nA row wider or narrower than its grid.")
    done = runner.invoke(main, ["check", "--about", "spek"])
    assert done.exit_code == 2
    assert "did you mean `speck`?" in done.stderr
    done = runner.invoke(main, ["check", "--about", "xylophone"])
    assert done.exit_code == 2
    assert "checks.md" in done.stderr
