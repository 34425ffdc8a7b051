"""The registry of findings: whatever is told is registered, and whatever is registered is told."""

import ast
from pathlib import Path

import linenleaf
import pytest
from linenleaf.core.diagnostics import finding
from linenleaf.core.findings import REGISTRY

PACKAGE = Path(linenleaf.__file__).resolve().parent
TELLERS = {"finding", "Check"}


def trees() -> dict[str, ast.Module]:
    paths = [path for path in PACKAGE.rglob("*.py") if path.name != "findings.py"]
    return {str(path.relative_to(PACKAGE)): ast.parse(path.read_text("utf-8")) for path in paths}


def names_told(tree: ast.Module) -> set[str]:
    """Every name that stands as such where a finding is told."""
    calls = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") in TELLERS and node.args
    ]
    return {
        part.value
        for call in calls
        for part in ast.walk(call.args[0])
        if isinstance(part, ast.Constant) and isinstance(part.value, str)
    }


def test_what_is_told_is_registered():
    told = {path: names_told(tree) - REGISTRY.keys() for path, tree in trees().items()}
    assert not {path: names for path, names in told.items() if names}


def test_what_is_registered_is_told():
    strings = {
        node.value
        for tree in trees().values()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    assert not REGISTRY.keys() - strings


def test_no_finding_is_made_but_by_its_name():
    """Its level stands in the registry alone; only `finding` makes one from a level."""
    for path, tree in trees().items():
        makers = [
            node
            for node in ast.walk(tree)
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Diagnostic"
        ]
        assert not makers or path == "core/diagnostics.py"


def test_a_name_that_is_not_registered_is_a_fault():
    with pytest.raises(KeyError):
        finding("no-such-finding", "Nothing.", None)


def test_whoever_tells_a_finding_says_what_to_do():
    silent = [
        f"{path}:{node.lineno}"
        for path, tree in trees().items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "finding"
        if len(node.args) < 4
    ]
    assert not silent
