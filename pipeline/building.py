"""From the parser's trees to nodes: one function for each start rule of the grammar."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from lark import Token, Tree

from .nodes import (
    AlphabetHead,
    AlsoLine,
    BookletHead,
    BorderLine,
    ChartHead,
    Cloth,
    ColourLine,
    ColourwayHead,
    ExpectLine,
    FabricHead,
    Head,
    KeyHead,
    KeyLine,
    KindWords,
    LetteringLine,
    LetterLine,
    Measure,
    MeasureLine,
    Member,
    MotifHead,
    NeedleWords,
    NoteLine,
    Number,
    Option,
    PartWords,
    Place,
    PlacementLine,
    RangeHead,
    RevisionLine,
    Row,
    ShapeLine,
    Size,
    SwapPair,
    Swaps,
    Text,
    ThreadWords,
    UseLine,
    VersionLine,
    Word,
    WordLine,
    WorkingHead,
)
from .source import Source, Span

Leaf = Tree[Token]


def first_token(tree: Leaf) -> Token:
    """Return the first token of a tree that holds at least one."""
    child = tree.children[0]
    return child if isinstance(child, Token) else first_token(child)


def last_token(tree: Leaf) -> Token:
    """Return the last token of a tree that holds at least one."""
    child = tree.children[-1]
    return child if isinstance(child, Token) else last_token(child)


class Builder:
    """Builds the nodes of one source."""

    def __init__(self, source: Source) -> None:
        self.source = source

    def rows(self, tree: Leaf) -> list[Row]:
        """Return the rows of a `rows` tree."""
        return [self.row(token) for token in tree.children if isinstance(token, Token)]

    def row(self, token: Token) -> Row:
        """Return one row."""
        start, end = _ends(token)
        return Row(token[1:-1], Span(self.source, start + 1, end - 1))

    def build(self, tree: Leaf) -> Head | Member:
        """Return the node of a tree of any start rule other than `rows`."""
        return _BUILDERS[str(tree.data)](self, tree, self.span(tree))

    # --- pieces ---

    def span(self, tree: Leaf) -> Span:
        """Return the place of a tree, from its first token to its last."""
        return Span(self.source, _ends(first_token(tree))[0], _ends(last_token(tree))[1])

    def word(self, child: Any) -> Word:
        """Return a word."""
        return Word(str(child), Span(self.source, *_ends(child)))

    def text(self, child: Any) -> Text:
        """Return a text, its quotes and escapes taken off."""
        inside = child[1:-1]
        if "\\" in inside:
            inside = re.sub(r"\\(.)", r"\1", inside)
        return Text(inside, Span(self.source, *_ends(child)))

    def path(self, child: Any) -> Word | Text:
        """Return a path or letter, which may stand in quotes or bare."""
        return self.text(child) if child.type == "STRING" else self.word(child)

    def number(self, child: Any) -> Number:
        """Return a number as written."""
        return Number(str(child), Span(self.source, *_ends(child)))

    def place(self, child: Any) -> Place:
        """Return a position."""
        start, end = _ends(child)
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

    def options(self, trees: Iterator[Any] | list[Any]) -> tuple[Option, ...]:
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


def _ends(token: Token) -> tuple[int, int]:
    # The lexer always sets both; lark's types say they may be missing.
    return token.start_pos or 0, token.end_pos or 0


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


def _version(make: Builder, tree: Any, span: Span) -> VersionLine:
    return VersionLine(make.number(tree.children[1]), span)


def _use(make: Builder, tree: Any, span: Span) -> UseLine:
    return UseLine(make.path(tree.children[1]), span)


def _booklet(make: Builder, tree: Any, span: Span) -> BookletHead:
    return BookletHead(make.text(tree.children[1]), span)


def _word_line(make: Builder, tree: Any, span: Span) -> WordLine:
    values = tuple(
        make.text(token)
        if token.type == "STRING"
        else make.number(token)
        if token.type == "NUMBER"
        else make.word(token)
        for token in tree.children[1:]
    )
    return WordLine(make.word(tree.children[0]), values, span)


def _fabric(make: Builder, tree: Any, span: Span) -> FabricHead:
    return FabricHead(make.cloth(tree.children[1]), span)


def _fabric_line(make: Builder, tree: Any, span: Span) -> ColourLine | MeasureLine | AlsoLine:
    first, second, *rest = tree.children
    if first.type == "COLOUR_WORD":
        return ColourLine(make.word(second), make.text(rest[0]) if rest else None, span)
    if first.type == "MARGIN":
        return MeasureLine(make.word(first), make.measure(second), span)
    return AlsoLine(tuple(make.cloth(each) for each in tree.children[1:]), span)


def _range(make: Builder, tree: Any, span: Span) -> RangeHead:
    _, name, _, path = tree.children
    return RangeHead(make.word(name), make.path(path), span)


def _key(_make: Builder, _tree: Any, span: Span) -> KeyHead:
    return KeyHead(span)


def _key_line(make: Builder, tree: Any, span: Span) -> KeyLine:
    parts = [make.part(each) for each in tree.children[1:] if each.data == "part"]
    endings = [each.children for each in tree.children[1:] if each.data == "ending"]
    return KeyLine(
        make.word(tree.children[0]),
        tuple(parts),
        tuple(make.word(value) for word, value in endings if word.type == "PRINTED"),
        tuple(make.text(value) for word, value in endings if word.type == "NOTE"),
        span,
    )


def _working(_make: Builder, _tree: Any, span: Span) -> WorkingHead:
    return WorkingHead(span)


def _working_line(make: Builder, tree: Any, span: Span) -> MeasureLine | WordLine:
    word, value = tree.children[:2]
    if word.type == "METHOD":
        return WordLine(make.word(word), (make.word(value),), span)
    if word.type == "RESERVE":
        return WordLine(make.word(word), (make.number(value),), span)
    return MeasureLine(make.word(word), make.measure(value), span)


def _motif(make: Builder, tree: Any, span: Span) -> MotifHead:
    _, name, size, *options = tree.children
    return MotifHead(make.word(name), make.size(size), make.options(options), span)


def _shape(make: Builder, tree: Any, span: Span) -> ShapeLine:
    word, symbol, *points = tree.children
    return ShapeLine(
        make.word(word), make.word(symbol), tuple(make.place(each) for each in points), span
    )


def _motif_line(make: Builder, tree: Any, span: Span) -> ShapeLine:
    return _shape(make, tree.children[0], span)


def _alphabet(make: Builder, tree: Any, span: Span) -> AlphabetHead:
    _, name, *options = tree.children
    return AlphabetHead(make.word(name), make.options(options), span)


def _letter(make: Builder, tree: Any, span: Span) -> LetterLine:
    return LetterLine(make.path(tree.children[0]), span)


def _chart(make: Builder, tree: Any, span: Span) -> ChartHead:
    _, size, *options = tree.children
    return ChartHead(make.size(size), make.options(options), span)


def _chart_line(
    make: Builder, tree: Any, span: Span
) -> ShapeLine | BorderLine | PlacementLine | LetteringLine:
    line = tree.children[0]
    if line.data == "shape":
        return _shape(make, line, span)
    if line.data == "placement":
        return PlacementLine(
            make.word(line.children[0]), make.options_and_swaps(line.children[1:]), span
        )
    if line.data == "lettering":
        texts = [each for each in line.children[1:] if isinstance(each, Token)]
        options = [each for each in line.children[1:] if isinstance(each, Tree)]
        return LetteringLine(
            tuple(make.text(each) for each in texts), make.options_and_swaps(options), span
        )
    _, repeat, *rest = line.children
    corner = None
    if rest and rest[0].data == "corner":
        corner = make.word(rest.pop(0).children[-1])
    return BorderLine(make.word(repeat), corner, make.options_and_swaps(rest), span)


def _note(make: Builder, tree: Any, span: Span) -> NoteLine:
    places = [make.place(each) for each in tree.children if each.type == "POINT"]
    return NoteLine(
        make.word(tree.children[0]),
        places[0],
        places[1] if len(places) > 1 else None,
        make.text(tree.children[-1]),
        span,
    )


def _colourway(make: Builder, tree: Any, span: Span) -> ColourwayHead:
    _, name, *title = tree.children
    return ColourwayHead(make.word(name), make.text(title[0]) if title else None, span)


def _revision(make: Builder, tree: Any, span: Span) -> RevisionLine:
    _, edition, *day, text = tree.children
    return RevisionLine(
        make.text(edition), make.word(day[0]) if day else None, make.text(text), span
    )


def _expect(make: Builder, tree: Any, span: Span) -> ExpectLine:
    _, symbol, count, *area = tree.children
    places = [make.place(each) for each in area if each.type == "POINT"]
    return ExpectLine(
        make.word(symbol),
        make.number(count),
        places[0] if places else None,
        places[1] if places else None,
        span,
    )


_BUILDERS: dict[str, Callable[[Builder, Any, Span], Head | Member]] = {
    "version": _version,
    "use": _use,
    "booklet": _booklet,
    "booklet_line": _word_line,
    "fabric": _fabric,
    "fabric_line": _fabric_line,
    "range": _range,
    "range_line": _word_line,
    "key": _key,
    "key_line": _key_line,
    "colourway_line": _key_line,
    "working": _working,
    "working_line": _working_line,
    "motif": _motif,
    "motif_line": _motif_line,
    "alphabet": _alphabet,
    "letter": _letter,
    "chart": _chart,
    "chart_line": _chart_line,
    "note": _note,
    "colourway": _colourway,
    "revision": _revision,
    "expect": _expect,
}
