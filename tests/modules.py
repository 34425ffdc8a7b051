"""The modules of the package as syntax trees, parsed and walked once for all tests."""

from __future__ import annotations

import ast
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


@cache
def nodes(kind: type[NodeType]) -> tuple[tuple[str, NodeType], ...]:
    """All nodes of a kind in the package, each after the path of its module."""
    return tuple((path, node) for path, node in _all_nodes() if isinstance(node, kind))


@cache
def _all_nodes() -> tuple[tuple[str, ast.AST], ...]:
    return tuple((path, node) for path, tree in trees().items() for node in ast.walk(tree))
