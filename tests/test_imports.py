"""The house: the table in DEVELOPERS.md is the order of the rooms, and imports follow it."""

import ast
import graphlib
import importlib.util
import re
from functools import cache
from pathlib import Path

from tests.modules import PACKAGE, tree_of

GUIDE = Path(__file__).resolve().parent.parent / "DEVELOPERS.md"


@cache
def modules() -> dict[str, Path]:
    """All modules of pipeline/ by dotted name below the package."""
    found = {}
    for path in PACKAGE.rglob("*.py"):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        if name:
            found[name] = path
    return found


@cache
def imports(name: str, path: Path) -> set[str]:
    """The modules of ours that a module imports, by dotted name below the package."""
    package = (
        f"linenleaf.{name}"
        if path.name == "__init__.py"
        else f"linenleaf.{name}".rpartition(".")[0]
    )
    known = modules()
    found = set()
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                base = importlib.util.resolve_name("." * node.level + base, package)
            if not base.startswith("linenleaf"):
                continue
            base = base.removeprefix("linenleaf").removeprefix(".")
            for each in node.names:
                full = f"{base}.{each.name}" if base else each.name
                found.add(full if full in known else base)
    return found & set(known)


@cache
def rooms() -> dict[str, int]:
    """Which row of the guide's table a module stands in."""
    order = {}
    rows = re.findall(r"^\| (?:\w+) \| (`.*?`.*?) \|", GUIDE.read_text("utf-8"), re.MULTILINE)
    for number, row in enumerate(rows):
        for name in re.findall(r"`([\w/.*]+)`", row):
            order[name.rstrip("/*").replace("/", ".")] = number
    return order


def room_of(name: str, order: dict[str, int]) -> int:
    return order[name] if name in order else order[name.partition(".")[0]]


def test_a_module_imports_only_from_its_own_room_and_those_before_it():
    order = rooms()
    late = {
        (name, other)
        for name, path in modules().items()
        for other in imports(name, path)
        if other not in ("grammar", "templates") and room_of(other, order) > room_of(name, order)
    }
    assert not late


def test_no_imports_run_in_a_circle():
    graph = {name: imports(name, path) - {name} for name, path in modules().items()}
    assert list(graphlib.TopologicalSorter(graph).static_order())


def test_the_guide_names_every_module_and_no_other():
    named = {name for name in rooms() if name != "grammar"}
    there = {name for name in modules() if "." not in name}
    assert named == there
