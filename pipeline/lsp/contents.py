"""The blocks of a chart file, for an editor's list of what is in it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..core.source import Span
from ..syntax.nodes import (
    AlphabetHead,
    Block,
    ChartFile,
    ChartHead,
    ColourwayHead,
    MotifHead,
    RangeHead,
)
from ..syntax.phrases import Size
from ..syntax.statements import HEADS, Lines


@dataclass(frozen=True)
class Entry:
    """One block: its word, its name where it has one, its size, all of it, and its first line."""

    word: str
    name: str
    size: str
    whole: Span
    head: Span


_LISTED = frozenset(
    word
    for word, statement in HEADS.items()
    if statement.gives_name or statement.lines in (Lines.KEY, Lines.LETTERS, Lines.GRID)
)


def contents(file: ChartFile) -> Iterator[Entry]:
    """Give the blocks of a file that are worth going to, in order."""
    for block in file.blocks:
        if block.word in _LISTED:
            start, end = block.span.start, _end(block)
            whole = Span(file.source, start, end)
            yield Entry(block.word, _name(block), _size(block), whole, block.span)


def _end(block: Block) -> int:
    parts = (*block.members, *block.broken, block)
    return max(part.span.end for part in parts)


def _name(block: Block) -> str:
    if isinstance(block.head, MotifHead | AlphabetHead | RangeHead | ColourwayHead):
        return block.head.name.text
    return block.word


def _size(block: Block) -> str:
    size: Size | None = block.head.size if isinstance(block.head, MotifHead | ChartHead) else None
    return f"{size.width.text} x {size.height.text}" if size is not None else ""
