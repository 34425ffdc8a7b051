"""How a file of an older version of the notation is said in the words of the next one."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import Any

from ..syntax.nodes import ChartFile, WordLine
from ..syntax.phrases import Option, Text, ThreadWords, Word

_STITCH = "stitch"
# Pieces in which a word is no name of the chart's own.
_OTHERS = {WordLine: ("word",), ThreadWords: ("code",)}
_NO_NAMES = ("printed", "changeable")  # options whose words name nothing in the chart


def names_for_stitches(file: ChartFile) -> ChartFile:
    """Give another name to whatever is called `stitch`, which begins a block from `linen 2` on."""
    taken = {word for block in file.blocks for word in _words(block)}
    if _STITCH not in taken:
        return file
    name = f"my-{_STITCH}"
    number = 2
    while name in taken:
        name, number = f"my-{_STITCH}-{number}", number + 1
    return replace(file, blocks=tuple(_renamed(block, name) for block in file.blocks))


def _words(node: Any) -> set[str]:
    if isinstance(node, Word):
        return {node.text}
    if isinstance(node, tuple):
        return {word for each in node for word in _words(each)}
    if not is_dataclass(node) or isinstance(node, Text):
        return set()
    held = [getattr(node, each.name) for each in fields(node) if each.compare]
    return {word for each in held for word in _words(each)}


def _renamed(node: Any, name: str) -> Any:
    """Return a node in which every name `stitch` is another."""
    if isinstance(node, Word):
        return replace(node, text=name) if node.text == _STITCH else node
    if isinstance(node, tuple):
        return tuple(_renamed(each, name) for each in node)
    if not is_dataclass(node) or isinstance(node, (type, Text)):
        return node
    if isinstance(node, Option) and node.word in _NO_NAMES:
        return node
    kept = _OTHERS.get(type(node), ())
    changed = {
        each.name: _renamed(getattr(node, each.name), name)
        for each in fields(node)
        if each.compare and each.name not in kept
    }
    return replace(node, **changed)
