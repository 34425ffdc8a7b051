"""Switches over what is drawn or counted name every case: a new one is nowhere forgotten."""

import ast
import enum
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from linenleaf.chart.options import Ink, Purpose
from linenleaf.colour.vision import Sight
from linenleaf.core.ground import Method
from linenleaf.core.items import Anchor, Cover, Mirror
from linenleaf.core.key import Kind, Lies, ThreadKind, Way
from linenleaf.core.model import Threads
from linenleaf.core.paging import Axis, Orientation
from linenleaf.core.places import Edge
from linenleaf.photograph.differences import DifferenceKind
from linenleaf.stitches.kinds import CORNERS, STITCHES

from tests.modules import PACKAGE, nodes

MODULES = sorted(PACKAGE.rglob("*.py"))
ENUMS: dict[str, type[enum.Enum]] = {
    each.__name__: each
    for each in (
        Kind,
        Way,
        Method,
        Anchor,
        Mirror,
        Cover,
        Edge,
        Ink,
        Purpose,
        Sight,
        Threads,
        ThreadKind,
        DifferenceKind,
        Orientation,
        Axis,
    )
}
CHANGES = {"diff/changes.py", "diff/facts.py"}  # all kinds of change between two charts


def members(node: ast.AST) -> set[tuple[str, str]]:
    """The members of our enums that an expression names."""
    return {
        (each.value.id, each.attr)
        for each in ast.walk(node)
        if isinstance(each, ast.Attribute)
        and isinstance(each.value, ast.Name)
        and each.value.id in ENUMS
        and each.attr in ENUMS[each.value.id].__members__
    }


def test_no_member_is_compared_with():
    # Not even by `is`: what a comparison asks is a property of the enum or an entry of a table,
    # in which each member has its answer.
    compared = {f"{name}:{node.lineno}" for name, node in nodes(ast.Compare) if members(node)}
    assert not compared


def test_every_match_is_closed():
    for name, node in nodes(ast.Match):
        if any(members(case.pattern) for case in node.cases):
            last = node.cases[-1]
            assert ast.unparse(last.pattern) == "_", f"{name}:{node.lineno}"
            assert ast.unparse(last.body[0]).startswith("assert_never("), name


def test_every_table_is_whole():
    # Ways are of two sorts, each with tables of its own: the halves and the corners.
    corners = {way.name for way in CORNERS}
    sorts = [{each.name for each in ENUMS["Way"]}, corners, set(Way.__members__) - corners]
    for name, node in nodes(ast.Dict):
        keys = [members(key) for key in node.keys if isinstance(key, ast.Attribute)]
        named = {member for key in keys for member in key}
        if not named:
            continue
        (of,) = {each for each, _ in named}
        names = {member for _, member in named}
        wanted = sorts if of == "Way" else [set(ENUMS[of].__members__)]
        assert names in wanted, f"{name}:{node.lineno}"


@pytest.mark.parametrize("kind", Kind)
def test_what_is_known_of_a_stitch_holds_together(kind):
    stitch = STITCHES[kind]
    assert (stitch.placed == "") == (kind.lies is Lies.CELL)
    has_strokes = kind.lies is not Lies.POINT and not kind.by_strokes
    assert all(map(bool, stitch.strokes.values())) == has_strokes
    ways = set(stitch.strokes)
    assert ways in ({None}, set(CORNERS), {Way.UP, Way.DOWN})
    assert not stitch.rows or all(len(each) == 2 for each in stitch.strokes.values())


def test_a_new_member_is_missed_at_every_switch(tmp_path):
    """One run of the type checker over a copy: each enum and union has one member more."""
    switches = {}
    for path in MODULES:
        name = path.relative_to(PACKAGE).as_posix()
        lines = path.read_text("utf-8").splitlines()
        at = {number for number, line in enumerate(lines, 1) if "assert_never(" in line}
        switches |= {name: at} if at else {}
    homes = {sys.modules[each.__module__] for each in ENUMS.values()}
    homes = {Path(each.__file__).resolve().relative_to(PACKAGE).as_posix() for each in homes}
    through = {"compose/worked.py", "stitches/kinds.py", "core/source.py", "core/saying.py"}
    for name in homes | through | CHANGES | set(switches):
        target = tmp_path / "linenleaf" / name
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(PACKAGE / name, target)
    for folder in [*tmp_path.rglob("*/")]:
        (folder / "__init__.py").touch()
    for name in homes:
        file = tmp_path / "linenleaf" / name
        text = file.read_text("utf-8")
        for each in ENUMS:
            # On the line of a member, so that all lines keep their numbers.
            text = re.sub(
                rf"(^class {each}\(.*?^    [A-Z_]+ = \"[^\"]*\")",
                r'\1; ONE_MORE = "one-more"',
                text,
                flags=re.MULTILINE | re.DOTALL,
            )
        file.write_text(text, "utf-8")
    for name, before, after in (
        ("changes", "Drawn = ", "class OneMore: ...\n\nDrawn = OneMore | "),
        ("facts", "Told = ", "class OneMore: ...\n\nTold = OneMore | "),
        ("facts", 'CHART = to_say("chart")', 'ONE_MORE = "one-more"; CHART = to_say("chart")'),
    ):
        file = tmp_path / "linenleaf" / "diff" / f"{name}.py"
        text = file.read_text("utf-8")
        assert before in text
        file.write_text(text.replace(before, after), "utf-8")
    run = subprocess.run(
        [
            *(sys.executable, "-m", "mypy", "--strict", "--follow-imports=skip"),
            *("--disable-error-code=misc", "--no-error-summary", "--cache-dir", os.devnull),
            *("-p", "linenleaf"),
        ],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    missed: dict[str, set[int]] = {}
    for name, line in re.findall(r'^linenleaf/(.*?):(\d+): .*"assert_never"', run.stdout, re.M):
        missed.setdefault(name, set()).add(int(line))
    assert missed == switches, run.stdout + run.stderr
