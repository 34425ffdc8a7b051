"""How a file of an older version of the notation is said in the words of the next one."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import Any

from ..syntax.nodes import ChartFile, WordLine
from ..syntax.notation import notation
from ..syntax.phrases import Option, Text, ThreadWords, Word

# Pieces in which a word is no name of the chart's own.
_OTHERS = {WordLine: ("word", "values"), ThreadWords: ("code",)}
_NO_NAMES = ("printed", "changeable")  # options whose words name nothing in the chart


def names_for_new_words(file: ChartFile) -> ChartFile:
    """Give another name to whatever is called by a word that `linen 2` brought."""
    taken = {word for block in file.blocks for word in _words(block)}
    for word in sorted((notation(2).reserved - notation(1).reserved) & taken):
        name, number = f"my-{word}", 2
        while name in taken:
            name, number = f"my-{word}-{number}", number + 1
        taken.add(name)
        file = replace(file, blocks=tuple(_renamed(block, word, name) for block in file.blocks))
    return file


def _words(node: Any) -> set[str]:
    if isinstance(node, Word):
        return {node.text}
    if isinstance(node, tuple):
        return {word for each in node for word in _words(each)}
    if not is_dataclass(node) or isinstance(node, Text):
        return set()
    held = [getattr(node, each.name) for each in fields(node) if each.compare]
    return {word for each in held for word in _words(each)}


def _renamed(node: Any, word: str, name: str) -> Any:
    """Return a node in which a name is another wherever it stands."""
    if isinstance(node, Word):
        return replace(node, text=name) if node.text == word else node
    if isinstance(node, tuple):
        return tuple(_renamed(each, word, name) for each in node)
    if not is_dataclass(node) or isinstance(node, (type, Text)):
        return node
    if isinstance(node, Option) and node.word in _NO_NAMES:
        return node
    kept = _OTHERS.get(type(node), ())
    changed = {
        each.name: _renamed(getattr(node, each.name), word, name)
        for each in fields(node)
        if each.compare and each.name not in kept
    }
    return replace(node, **changed)
