"""The registry of findings: whatever is told is registered, and whatever is registered is told."""

import ast

import pytest
from linenleaf.core.diagnostics import finding
from linenleaf.core.findings import REGISTRY

from tests.modules import nodes

TELLERS = {"finding", "Check"}
REGISTER = "core/findings.py"


def calls(*names: str) -> list[tuple[str, ast.Call]]:
    """All calls of a function by one of these names, outside the register itself."""
    return [
        (path, call)
        for path, call in nodes(ast.Call)
        if getattr(call.func, "id", "") in names and path != REGISTER
    ]


def test_what_is_told_is_registered():
    told = {
        (path, part.value)
        for path, call in calls(*TELLERS)
        for part in (ast.walk(call.args[0]) if call.args else ())
        if isinstance(part, ast.Constant) and isinstance(part.value, str)
    }
    assert len(told) > 100
    assert not {(path, name) for path, name in told if name not in REGISTRY}


def test_what_is_registered_is_told():
    strings = {node.value for path, node in nodes(ast.Constant) if path != REGISTER}
    assert not REGISTRY.keys() - strings


def test_no_finding_is_made_but_by_its_name():
    """Its level stands in the registry alone; only `finding` makes one from a level."""
    assert {path for path, _ in calls("Diagnostic")} == {"core/diagnostics.py"}


def test_a_name_that_is_not_registered_is_a_fault():
    with pytest.raises(KeyError):
        finding("no-such-finding", "Nothing.", None)


def test_whoever_tells_a_finding_says_what_to_do():
    silent = [f"{path}:{call.lineno}" for path, call in calls("finding") if len(call.args) < 4]
    assert not silent
