"""From the parser's trees to nodes and to the pieces that they hold."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from typing import Any

from lark import Token, Tree

from ..core.source import Source, Span
from .forms import LISTS, Form, terminal
from .nodes import Head, Member
from .notation import Notation
from .phrases import (
    AreaWords,
    Cloth,
    Dimensions,
    Extent,
    KindWords,
    Length,
    NeedleWords,
    Numeral,
    Option,
    PartWords,
    Position,
    Row,
    StockWords,
    StrokeWords,
    SwapPair,
    Swaps,
    Text,
    ThreadWords,
    Word,
)
from .statements import OptionForm

TokenTree = Tree[Token]


def first_token(tree: TokenTree) -> Token:
    """Return the first token of a tree that holds at least one."""
    child = tree.children[0]
    return child if isinstance(child, Token) else first_token(child)


def last_token(tree: TokenTree) -> Token:
    """Return the last token of a tree that holds at least one."""
    child = tree.children[-1]
    return child if isinstance(child, Token) else last_token(child)


def _name(child: Any) -> str:
    """Return the terminal of a token, the rule of a tree."""
    return str(child.type if isinstance(child, Token) else child.data)


def _named(children: Sequence[Any]) -> Iterator[tuple[str, Any]]:
    """Give each child with its name; lists are taken apart."""
    for child in children:
        if _name(child) in LISTS:
            yield from ((_name(child), item) for item in _trees(child))
        else:
            yield _name(child), child


def _trees(tree: TokenTree) -> list[Any]:
    """Return the trees right in a tree, without the signs and words between them."""
    return [child for child in tree.children if isinstance(child, Tree)]


class Builder:
    """Makes the nodes of one source.

    Each statement is parsed as a text of its own (the parser would count the lines before it
    anew each time); `base` is the offset in the source at which that text begins.
    """

    def __init__(self, source: Source, notation: Notation) -> None:
        self.source = source
        self.notation = notation
        self.base = 0

    # --- lines ---

    def build(self, tree: TokenTree) -> Head | Member:
        """Return the node of a statement."""
        statement = self.notation.by_rule[str(tree.data)]
        children = tree.children if statement.bare else tree.children[1:]
        pieces = self._sorted(statement.form, children)
        made: dict[str, Any] = {"span": self.span(tree)}
        names = statement.fields
        if names[:1] == ("word",):
            made["word"] = self.word(tree.children[0])
            names = names[1:]
        if names == ("values",):
            made["values"] = tuple(piece for piece in pieces if piece is not None)
        else:
            made |= zip(names, pieces, strict=False)  # what the form has no slot for has a default
        node: Head | Member = statement.node(**made)
        return node

    def _sorted(self, form: Form, children: Sequence[Any]) -> Iterator[Any]:
        """Give what stands in each slot of a form: a piece, all pieces, or None."""
        for slot, held in zip(form.slots, form.sort(_named(children)), strict=True):
            pieces = tuple(map(self._piece, held))
            yield pieces if slot.many else pieces[0] if pieces else None

    def _piece(self, child: Any) -> Any:
        name = _name(child)
        if name in self.notation.options:
            return self._option(self.notation.options[name], child)
        make = _PIECES.get(name)
        return make(self, child) if make is not None else self.word(child)

    def _option(self, option: OptionForm, tree: Any) -> Option | Swaps:
        held = option.form.sort(_named(tree.children))
        values = tuple(self._piece(child) for children in held for child in children)
        make = Swaps if option.word == "with" else partial(Option, option.word)
        return make(values, span=self.span(tree))

    # --- pieces ---

    def ends(self, token: Token) -> tuple[int, int]:
        """Return the offsets in the source of a token's start and end."""
        # The lexer always sets both; lark's types say they may be missing.
        return self.base + (token.start_pos or 0), self.base + (token.end_pos or 0)

    def rows(self, tree: TokenTree) -> list[Row]:
        """Return the rows of a `rows` tree."""
        return [self.row(token) for token in tree.children if isinstance(token, Token)]

    def row(self, token: Token) -> Row:
        """Return one row."""
        start, end = self.ends(token)
        return Row(token[1:-1], span=Span(self.source, start + 1, end - 1))

    def span(self, tree: TokenTree) -> Span:
        """Return the place of a tree, from its first token to its last."""
        return Span(self.source, self.ends(first_token(tree))[0], self.ends(last_token(tree))[1])

    def word(self, child: Any) -> Word:
        """Return a word."""
        return Word(str(child), span=Span(self.source, *self.ends(child)))

    def text(self, child: Any) -> Text:
        """Return a text, its quotes and escapes taken off."""
        inside = child[1:-1]
        if "\\" in inside:
            inside = re.sub(r"\\(.)", r"\1", inside)
        return Text(inside, span=Span(self.source, *self.ends(child)))

    def number(self, child: Any) -> Numeral:
        """Return a number as written."""
        return Numeral(str(child), span=Span(self.source, *self.ends(child)))

    def place(self, child: Any) -> Position:
        """Return a position."""
        start, end = self.ends(child)
        comma = child.index(",")
        after = len(child) - len(child[comma + 1 :].lstrip())
        return Position(
            Numeral(child[:comma], span=Span(self.source, start, start + comma)),
            Numeral(child[after:], span=Span(self.source, start + after, end)),
            span=Span(self.source, start, end),
        )

    def measure(self, tree: Any) -> Length:
        """Return a length with its unit."""
        return Length(self.number(tree.children[0]), self.word(tree.children[1]))

    def size(self, tree: Any) -> Dimensions:
        """Return a stated size."""
        width, _, height = tree.children
        return Dimensions(self.number(width), self.number(height), span=self.span(tree))

    def extent(self, tree: Any) -> Extent:
        """Return how large a chart is, as far as that is stated."""
        first, *rest = tree.children
        if isinstance(first, Tree):
            size = self.size(first)
            return Extent(size.width, size.height, span=size.span)
        number = self.number(first) if first.type == "NUMBER" else None
        wide = bool(rest) and rest[0].type == terminal("wide")
        span = self.span(tree)
        return Extent(number if wide else None, None if wide else number, span=span)

    def cloth(self, tree: Any) -> Cloth:
        """Return a fabric as written."""
        numbers: dict[str, Numeral] = {}
        before = "count"
        per_cm = False
        for child in tree.children[1:]:
            if child.type == "NUMBER":
                numbers[before] = self.number(child)
            elif child.type == terminal("per"):
                per_cm = True
            else:
                before = {terminal("x"): "down", terminal("over"): "over"}.get(child.type, before)
        return Cloth(
            self.word(tree.children[0]),
            numbers["count"],
            numbers.get("down"),
            per_cm,
            numbers.get("over"),
            span=self.span(tree),
        )

    def area(self, tree: Any) -> AreaWords:
        """Return one position, two corners, or a thing and a place in it."""
        places = [self.place(token) for token in tree.children if token.type == "POINT"]
        things = [self.word(token) for token in tree.children if token.type == "THING_NAME"]
        start, end, *_ = *places, None, None
        return AreaWords(start, end, things[0] if things else None)

    def stocked(self, tree: Any) -> StockWords:
        """Return a stock with its version."""
        _, name, version = tree.children
        return StockWords(self.word(name), self.number(version), span=self.span(tree))

    def swap(self, tree: Any) -> SwapPair:
        """Return one pair of a `with`."""
        return SwapPair(self.word(tree.children[0]), self.word(tree.children[-1]))

    def stroke(self, tree: Any) -> StrokeWords:
        """Return one stroke of a stitch."""
        up, *by, down = (self.place(token) for token in tree.children if token.type == "POINT")
        return StrokeWords(up, tuple(by), down, span=self.span(tree))

    def thread(self, tree: Any) -> ThreadWords:
        """Return a thread as written."""
        first, second = tree.children
        span = self.span(tree)
        if first.type == "COLOUR":
            return ThreadWords(None, None, self.word(first), self.text(second), span=span)
        return ThreadWords(self.word(first), self.word(second), None, None, span=span)

    def kind(self, tree: Any) -> KindWords:
        """Return a kind of stitch as written."""
        words = [self.word(token) for token in tree.children]
        return KindWords(words[0], words[1] if len(words) > 1 else None, span=self.span(tree))

    def part(self, tree: Any) -> PartWords:
        """Return one part of a key line."""
        return PartWords(tuple(map(self.needle, _trees(tree))), span=self.span(tree))

    def needle(self, tree: Any) -> NeedleWords:
        """Return one thread of a part with what is said of it."""
        thread, *rest = tree.children
        strands = [self.number(said.children[0]) for said in rest if said.data == "strands"]
        kinds = [self.kind(said) for said in rest if said.data == "kind"]
        return NeedleWords(self.thread(thread), tuple(strands), tuple(kinds))


_PIECES: Mapping[str, Callable[[Builder, Any], Any]] = {
    "STRING": Builder.text,
    "NUMBER": Builder.number,
    "POINT": Builder.place,
    "ROW": Builder.row,
    "area": Builder.area,
    "cloth": Builder.cloth,
    "extent": Builder.extent,
    "length": Builder.measure,
    "part": Builder.part,
    "region": Builder.area,
    "shown": Builder.area,
    "size": Builder.size,
    "stocked": Builder.stocked,
    "stroke": Builder.stroke,
    "strokes": Builder.stroke,
    "swap": Builder.swap,
    "thread": Builder.thread,
}
