"""The written line behind a thing of the model, so that a finding can point at one word of it."""

from __future__ import annotations

from collections.abc import Iterable

from ..core.source import Span
from ..syntax.nodes import Block, Member, ShapeLine
from ..syntax.phrases import Option, SwapPair, Swaps


class Spots:
    """Finds the words of a line by the place where it begins."""

    def __init__(self, blocks: Iterable[Block]) -> None:
        """Take the lines of motifs, alphabets and charts."""
        self._lines: dict[tuple[str, int], Member] = {
            (member.span.path, member.span.start): member
            for block in blocks
            if block.word in {"motif", "alphabet", "chart"}
            for member in block.members
        }

    def line(self, span: Span | None) -> Member | None:
        """Return the line that begins at a place."""
        return None if span is None else self._lines.get((span.path, span.start))

    def symbol(self, span: Span | None) -> Span | None:
        """Return the place of the key word of a line, knot or bead."""
        line = self.line(span)
        return line.symbol.span if isinstance(line, ShapeLine) else span

    def word(self, span: Span | None) -> str:
        """Return by which word a shape was written: `line`, `knot` or `bead`."""
        line = self.line(span)
        return line.word.text if isinstance(line, ShapeLine) else ""

    def point(self, span: Span | None, index: int) -> Span | None:
        """Return the place of one point of a line, knot or bead."""
        line = self.line(span)
        return line.points[index].span if isinstance(line, ShapeLine) else span

    def option(self, span: Span | None, word: str) -> Span | None:
        """Return the place of an option of a placement."""
        line = self.line(span)
        for option in getattr(line, "options", ()):
            if isinstance(option, Option) and option.word == word:
                return option.span
        return span

    def swap(self, span: Span | None, old: str) -> tuple[Span | None, Span | None]:
        """Return the places of both symbols of a swap."""
        pair = self._pair(self.line(span), old)
        return (span, span) if pair is None else (pair.old.span, pair.new.span)

    def _pair(self, line: Member | None, old: str) -> SwapPair | None:
        for option in getattr(line, "options", ()):
            if isinstance(option, Swaps):
                for pair in option.pairs:
                    if pair.old.text == old:
                        return pair
        return None
