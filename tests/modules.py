"""The modules of the package as syntax trees, parsed and walked once for all tests."""

from __future__ import annotations

import ast
from collections import defaultdict
from functools import cache
from pathlib import Path
from typing import TypeVar

import linenleaf

PACKAGE = Path(linenleaf.__file__).resolve().parent
NodeType = TypeVar("NodeType", bound=ast.AST)


@cache
def tree_of(path: Path) -> ast.Module:
    """The syntax tree of a module."""
    return ast.parse(path.read_text("utf-8"))


@cache
def trees() -> dict[str, ast.Module]:
    """The tree of every module, by its path below the package."""
    return {path.relative_to(PACKAGE).as_posix(): tree_of(path) for path in PACKAGE.rglob("*.py")}


def nodes(kind: type[NodeType]) -> tuple[tuple[str, NodeType], ...]:
    """All nodes of a kind in the package, each after the path of its module."""
    return tuple(_by_kind()[kind])


@cache
def _by_kind() -> dict[type[ast.AST], list[tuple[str, ast.AST]]]:
    sorted_out: dict[type[ast.AST], list[tuple[str, ast.AST]]] = defaultdict(list)
    for path, tree in trees().items():
        for node in ast.walk(tree):
            sorted_out[type(node)].append((path, node))
    return sorted_out
