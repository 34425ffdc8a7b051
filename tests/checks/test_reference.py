"""The page on checks lists every check, and every finding of placing."""

import re
from pathlib import Path

import linenleaf.composing.compose
import linenleaf.composing.misplaced
from linenleaf.checks import CHECKS

PAGE = (Path(__file__).resolve().parents[2] / "grammar" / "checks.md").read_text("utf-8")


def rows(section: str) -> list[list[str]]:
    part = PAGE.split(f"## {section}\n")[1].split("\n## ")[0]
    lines = [line for line in part.splitlines() if line.startswith("| `")]
    return [[cell.strip(" `") for cell in line.strip("|").split("|")] for line in lines]


def test_every_check_has_its_row():
    assert rows("The chart as a whole") == [
        [each.name, each.level.word, each.what] for each in CHECKS
    ]


def test_every_finding_of_placing_has_its_row():
    said = set()
    for module in (linenleaf.composing.compose, linenleaf.composing.misplaced):
        source = Path(module.__file__).read_text("utf-8")
        said |= set(re.findall(r"\berror\(\s*\"([a-z-]+)\"", source))
    assert said == {name for name, *_ in rows("Placing")}
