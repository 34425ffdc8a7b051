"""From the parser's tokens to the pieces of a line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from lark import Token, Tree

from ..core.source import Source, Span
from .phrases import (
    Cloth,
    KindWords,
    Measure,
    NeedleWords,
    Number,
    Option,
    PartWords,
    Place,
    Row,
    Size,
    SwapPair,
    Swaps,
    Text,
    ThreadWords,
    Word,
)

Leaf = Tree[Token]


def first_token(tree: Leaf) -> Token:
    """Return the first token of a tree that holds at least one."""
    child = tree.children[0]
    return child if isinstance(child, Token) else first_token(child)


def last_token(tree: Leaf) -> Token:
    """Return the last token of a tree that holds at least one."""
    child = tree.children[-1]
    return child if isinstance(child, Token) else last_token(child)


class Pieces:
    """Makes the pieces of one source.

    Each statement is parsed as a text of its own (the parser would count the lines before it
    anew each time); `base` is the offset in the source at which that text begins.
    """

    def __init__(self, source: Source) -> None:
        self.source = source
        self.base = 0

    def ends(self, token: Token) -> tuple[int, int]:
        """Return the offsets in the source of a token's start and end."""
        # The lexer always sets both; lark's types say they may be missing.
        return self.base + (token.start_pos or 0), self.base + (token.end_pos or 0)

    def rows(self, tree: Leaf) -> list[Row]:
        """Return the rows of a `rows` tree."""
        return [self.row(token) for token in tree.children if isinstance(token, Token)]

    def row(self, token: Token) -> Row:
        """Return one row."""
        start, end = self.ends(token)
        return Row(token[1:-1], Span(self.source, start + 1, end - 1))

    def span(self, tree: Leaf) -> Span:
        """Return the place of a tree, from its first token to its last."""
        return Span(self.source, self.ends(first_token(tree))[0], self.ends(last_token(tree))[1])

    def word(self, child: Any) -> Word:
        """Return a word."""
        return Word(str(child), Span(self.source, *self.ends(child)))

    def text(self, child: Any) -> Text:
        """Return a text, its quotes and escapes taken off."""
        inside = child[1:-1]
        if "\\" in inside:
            inside = re.sub(r"\\(.)", r"\1", inside)
        return Text(inside, Span(self.source, *self.ends(child)))

    def path(self, child: Any) -> Word | Text:
        """Return a path or letter, which may stand in quotes or bare."""
        return self.text(child) if child.type == "STRING" else self.word(child)

    def number(self, child: Any) -> Number:
        """Return a number as written."""
        return Number(str(child), Span(self.source, *self.ends(child)))

    def place(self, child: Any) -> Place:
        """Return a position."""
        start, end = self.ends(child)
        comma = child.index(",")
        after = len(child) - len(child[comma + 1 :].lstrip())
        return Place(
            Number(child[:comma], Span(self.source, start, start + comma)),
            Number(child[after:], Span(self.source, start + after, end)),
            Span(self.source, start, end),
        )

    def measure(self, tree: Any) -> Measure:
        """Return a length with its unit."""
        return Measure(self.number(tree.children[0]), self.word(tree.children[1]))

    def size(self, tree: Any) -> Size:
        """Return a stated size."""
        width, _, height = tree.children
        return Size(self.number(width), self.number(height), self.span(tree))

    def value(self, token: Token) -> Word | Number | Place:
        """Return what a token of an option says."""
        if token.type == "NUMBER":
            return self.number(token)
        return self.place(token) if token.type == "POINT" else self.word(token)

    def option(self, tree: Any) -> Option:
        """Return an option; words without a value of their own (`replacing`) are its value."""
        name = _OPTION_NAMES.get(str(tree.data), str(tree.data))
        kept = [token for token in tree.children if token.type not in _SILENT[name]]
        if name in {"gap", "alphabet_option"}:
            name = str(tree.children[0])
            kept = kept[1:]
        return Option(name, tuple(self.value(token) for token in kept), self.span(tree))

    def options(self, trees: Sequence[Any]) -> tuple[Option, ...]:
        """Return options in order."""
        return tuple(self.option(tree) for tree in trees)

    def options_and_swaps(self, trees: list[Any]) -> tuple[Option | Swaps, ...]:
        """Return the options of a placement in order, swaps among them."""
        return tuple(
            self.swaps(tree) if tree.data == "swaps" else self.option(tree) for tree in trees
        )

    def swaps(self, tree: Any) -> Swaps:
        """Return the pairs of a `with`."""
        pairs = tuple(
            SwapPair(self.word(pair.children[0]), self.word(pair.children[1]))
            for pair in tree.children[1:]
        )
        return Swaps(pairs, self.span(tree))

    def cloth(self, tree: Any) -> Cloth:
        """Return a fabric as written."""
        numbers: dict[str, Number] = {}
        before = "count"
        per_cm = False
        for child in tree.children[1:]:
            if child.type == "NUMBER":
                numbers[before] = self.number(child)
            elif child.type == "PER":
                per_cm = True
            else:
                before = {"X": "down", "OVER": "over"}.get(child.type, before)
        return Cloth(
            self.word(tree.children[0]),
            numbers["count"],
            numbers.get("down"),
            per_cm,
            numbers.get("over"),
            self.span(tree),
        )

    def thread(self, tree: Any) -> ThreadWords:
        """Return a thread as written."""
        first, second = tree.children
        span = self.span(tree)
        if first.type == "COLOUR":
            return ThreadWords(None, None, self.word(first), self.text(second), span)
        return ThreadWords(self.word(first), self.word(second), None, None, span)

    def kind(self, tree: Any) -> KindWords:
        """Return a kind of stitch as written."""
        words = [self.word(token) for token in tree.children]
        return KindWords(words[0], words[1] if len(words) > 1 else None, self.span(tree))

    def part(self, tree: Any) -> PartWords:
        """Return one part of a key line."""
        needles = []
        for needle in tree.children:
            strands = [
                self.number(each.children[0])
                for each in needle.children[1:]
                if each.data == "strands"
            ]
            kinds = [self.kind(each) for each in needle.children[1:] if each.data == "kind"]
            needles.append(
                NeedleWords(self.thread(needle.children[0]), tuple(strands), tuple(kinds))
            )
        return PartWords(tuple(needles), self.span(tree))


# What an option is called, and which of its tokens only introduce a value.
_OPTION_NAMES = {"text_at": "at", "in_alphabet": "in"}
_SILENT: dict[str, frozenset[str]] = {
    "over": frozenset({"OVER"}),
    "symmetric": frozenset({"SYMMETRIC"}),
    "alphabet_option": frozenset(),
    "inset": frozenset({"INSET"}),
    "at": frozenset({"AT"}),
    "repeat": frozenset({"X", "BY"}),
    "step": frozenset({"STEP"}),
    "mirrored": frozenset({"MIRRORED"}),
    "turned": frozenset({"TURNED"}),
    "cover": frozenset(),
    "in": frozenset({"IN"}),
    "centred": frozenset({"CENTRED"}),
    "gap": frozenset(),
    "changeable": frozenset({"CHANGEABLE"}),
}
