"""From the parser's trees to nodes: one function for each start rule of the grammar."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from lark import Token, Tree

from ..core.source import Span
from .nodes import (
    AlphabetHead,
    AlsoLine,
    BookletHead,
    BorderLine,
    ChartHead,
    ColourLine,
    ColourwayHead,
    ExpectLine,
    FabricHead,
    Head,
    KeyHead,
    KeyLine,
    LetteringLine,
    LetterLine,
    MeasureLine,
    Member,
    MotifHead,
    NoteLine,
    PlacementLine,
    RangeHead,
    RevisionLine,
    ShapeLine,
    UseLine,
    VersionLine,
    WordLine,
    WorkingHead,
)
from .tokens import Leaf, Pieces


def build(make: Pieces, tree: Leaf) -> Head | Member:
    """Return the node of a tree of any start rule other than `rows`."""
    return _BUILDERS[str(tree.data)](make, tree, make.span(tree))


def _version(make: Pieces, tree: Any, span: Span) -> VersionLine:
    return VersionLine(make.number(tree.children[1]), span)


def _use(make: Pieces, tree: Any, span: Span) -> UseLine:
    return UseLine(make.path(tree.children[1]), span)


def _booklet(make: Pieces, tree: Any, span: Span) -> BookletHead:
    return BookletHead(make.text(tree.children[1]), span)


def _word_line(make: Pieces, tree: Any, span: Span) -> WordLine:
    values = tuple(
        make.text(token)
        if token.type == "STRING"
        else make.number(token)
        if token.type == "NUMBER"
        else make.word(token)
        for token in tree.children[1:]
    )
    return WordLine(make.word(tree.children[0]), values, span)


def _fabric(make: Pieces, tree: Any, span: Span) -> FabricHead:
    return FabricHead(make.cloth(tree.children[1]), span)


def _fabric_line(make: Pieces, tree: Any, span: Span) -> ColourLine | MeasureLine | AlsoLine:
    first, second, *rest = tree.children
    if first.type == "COLOUR_WORD":
        return ColourLine(make.word(second), make.text(rest[0]) if rest else None, span)
    if first.type == "MARGIN":
        return MeasureLine(make.word(first), make.measure(second), span)
    return AlsoLine(tuple(make.cloth(each) for each in tree.children[1:]), span)


def _range(make: Pieces, tree: Any, span: Span) -> RangeHead:
    _, name, _, path = tree.children
    return RangeHead(make.word(name), make.path(path), span)


def _key(_make: Pieces, _tree: Any, span: Span) -> KeyHead:
    return KeyHead(span)


def _key_line(make: Pieces, tree: Any, span: Span) -> KeyLine:
    parts = [make.part(each) for each in tree.children[1:] if each.data == "part"]
    endings = [each.children for each in tree.children[1:] if each.data == "ending"]
    return KeyLine(
        make.word(tree.children[0]),
        tuple(parts),
        tuple(make.word(value) for word, value in endings if word.type == "PRINTED"),
        tuple(make.text(value) for word, value in endings if word.type == "NOTE"),
        span,
    )


def _working(_make: Pieces, _tree: Any, span: Span) -> WorkingHead:
    return WorkingHead(span)


def _working_line(make: Pieces, tree: Any, span: Span) -> MeasureLine | WordLine:
    word, value = tree.children[:2]
    if word.type == "METHOD":
        return WordLine(make.word(word), (make.word(value),), span)
    if word.type == "RESERVE":
        return WordLine(make.word(word), (make.number(value),), span)
    return MeasureLine(make.word(word), make.measure(value), span)


def _motif(make: Pieces, tree: Any, span: Span) -> MotifHead:
    _, name, size, *options = tree.children
    return MotifHead(make.word(name), make.size(size), make.options(options), span)


def _shape(make: Pieces, tree: Any, span: Span) -> ShapeLine:
    word, symbol, *points = tree.children
    return ShapeLine(
        make.word(word), make.word(symbol), tuple(make.place(each) for each in points), span
    )


def _motif_line(make: Pieces, tree: Any, span: Span) -> ShapeLine:
    return _shape(make, tree.children[0], span)


def _alphabet(make: Pieces, tree: Any, span: Span) -> AlphabetHead:
    _, name, *options = tree.children
    return AlphabetHead(make.word(name), make.options(options), span)


def _letter(make: Pieces, tree: Any, span: Span) -> LetterLine:
    return LetterLine(make.path(tree.children[0]), span)


def _chart(make: Pieces, tree: Any, span: Span) -> ChartHead:
    _, size, *options = tree.children
    return ChartHead(make.size(size), make.options(options), span)


def _chart_line(
    make: Pieces, tree: Any, span: Span
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


def _note(make: Pieces, tree: Any, span: Span) -> NoteLine:
    places = [make.place(each) for each in tree.children if each.type == "POINT"]
    return NoteLine(
        make.word(tree.children[0]),
        places[0],
        places[1] if len(places) > 1 else None,
        make.text(tree.children[-1]),
        span,
    )


def _colourway(make: Pieces, tree: Any, span: Span) -> ColourwayHead:
    _, name, *title = tree.children
    return ColourwayHead(make.word(name), make.text(title[0]) if title else None, span)


def _revision(make: Pieces, tree: Any, span: Span) -> RevisionLine:
    _, edition, *day, text = tree.children
    return RevisionLine(
        make.text(edition), make.word(day[0]) if day else None, make.text(text), span
    )


def _expect(make: Pieces, tree: Any, span: Span) -> ExpectLine:
    _, symbol, count, *area = tree.children
    places = [make.place(each) for each in area if each.type == "POINT"]
    return ExpectLine(
        make.word(symbol),
        make.number(count),
        places[0] if places else None,
        places[1] if places else None,
        span,
    )


_BUILDERS: dict[str, Callable[[Pieces, Any, Span], Head | Member]] = {
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
