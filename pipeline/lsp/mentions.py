"""Which name stands at a place of a chart file: of a symbol, motif, alphabet, thread, file ..."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum

from ..core.source import Source, Span
from ..syntax.nodes import (
    AlphabetHead,
    BandLine,
    Block,
    BorderLine,
    ChartFile,
    ExpectLine,
    Head,
    KeyLine,
    LetteringLine,
    Member,
    MotifHead,
    NoteLine,
    PhotographHead,
    PlaceLine,
    PlacementLine,
    RangeHead,
    ShapeLine,
    ShowsLine,
    StitchHead,
    ThreadHead,
    UseLine,
    WithdrawnLine,
    WordLine,
)
from ..syntax.phrases import (
    AreaWords,
    Option,
    Row,
    StockWords,
    SwapPair,
    Swaps,
    Text,
    ThreadWords,
    Word,
)
from ..syntax.statements import OPTIONS, statement_of


class NameSort(Enum):
    """What a name is the name of."""

    SYMBOL = "symbol"
    MOTIF = "motif"
    ALPHABET = "alphabet"
    THING = "thing"
    RANGE = "range"
    THREAD = "thread"
    STITCH = "stitch"
    STOCK = "stock"
    FILE = "file"
    ANY = "any"  # stands in a line that cannot be read


@dataclass(frozen=True)
class Mention:
    """A name where it stands. thread: what was written of a thread."""

    sort: NameSort
    name: str
    span: Span
    thread: ThreadWords | None = None


# Options in which a thing or a motif is named, by their words.
_NAMING = {
    option.word: (option.form, sort)
    for terminal, sort in (("THING_NAME", NameSort.THING), ("MOTIF_NAME", NameSort.MOTIF))
    for option in OPTIONS
    if any(terminal in slot.written for slot in option.form.slots)
}
_WORD = re.compile(r'[^\s"|,]+')


def mention_at(file: ChartFile, offset: int) -> Mention | None:
    """Return the name at an offset, None where there is none."""
    line_start, line_end = _line(file.source, offset)
    if any(comment.span.start <= offset < comment.span.end for comment in file.comments):
        return None
    for block in file.blocks:
        for broken in block.broken:
            if broken.span.start <= offset <= broken.span.end:
                return _word_at(file.source, offset, line_start, line_end)
    spots = (
        mention
        for block in file.blocks
        for node in _nodes(block, line_start, line_end)
        for mention in _mentions(node, block, offset)
    )
    # A place between two names is the end of the first as well as the start of the second.
    touching = [mention for mention in spots if mention.span.start <= offset <= mention.span.end]
    return max(touching, key=lambda mention: mention.span.start, default=None)


def _line(source: Source, offset: int) -> tuple[int, int]:
    start = source.text.rfind("\n", 0, offset) + 1
    end = source.text.find("\n", offset)
    return start, len(source.text) if end == -1 else end


def _word_at(source: Source, offset: int, start: int, end: int) -> Mention | None:
    for match in _WORD.finditer(source.text, start, end):
        if match.start() <= offset <= match.end():
            return Mention(NameSort.ANY, match[0], source.span(*match.span()))
    return None


def _nodes(block: Block, start: int, end: int) -> Iterator[Head | Member]:
    """Give the nodes of a block that stand on a line."""
    nodes: Iterable[Head | Member | None] = (block.head, *block.members)
    for node in nodes:
        if node is not None and start <= node.span.start <= end:
            yield node


def _mentions(node: Head | Member, block: Block, offset: int) -> Iterator[Mention]:
    if isinstance(node, Row):
        yield from _in_row(node, offset)
    elif isinstance(node, KeyLine):
        yield from _in_key_line(node)
    elif isinstance(node, BorderLine | PlacementLine | LetteringLine):
        yield from _in_placing(node)
    elif isinstance(node, BandLine | PlaceLine):
        if node.name is not None:
            yield _word(NameSort.THING, node.name)
        yield from _options(node.options)
    elif isinstance(node, ShapeLine):
        yield _word(NameSort.SYMBOL, node.symbol)
        yield from _options(node.options)
    elif isinstance(node, WithdrawnLine):
        yield from _options(node.options)
    elif isinstance(node, ExpectLine):
        yield _word(NameSort.SYMBOL, node.symbol)
        yield from _in_area(node.area)
    elif isinstance(node, NoteLine | ShowsLine):
        yield from _in_area(node.area)
    elif isinstance(node, WordLine):
        yield from _in_word_line(node, block)
    else:
        yield from _in_head(node)


def _in_key_line(node: KeyLine) -> Iterator[Mention]:
    yield _word(NameSort.SYMBOL, node.symbol)
    for part in node.parts:
        for needle in part.needles:
            yield from _thread(needle.thread)
            yield from (_word(NameSort.STITCH, kind.kind) for kind in needle.kinds)


def _in_placing(node: BorderLine | PlacementLine | LetteringLine) -> Iterator[Mention]:
    if isinstance(node, BorderLine):
        yield _word(NameSort.MOTIF, node.repeat)
        if node.corner is not None:
            yield _word(NameSort.MOTIF, node.corner)
    elif isinstance(node, PlacementLine):
        yield _word(NameSort.MOTIF, node.motif)
    yield from _options(node.options)


def _in_area(area: AreaWords | None) -> Iterator[Mention]:
    if area is not None and area.thing is not None:
        yield _word(NameSort.THING, area.thing)


def _in_word_line(node: WordLine, block: Block) -> Iterator[Mention]:
    """Give the file that a line names, by the form of its statement."""
    form = statement_of(WordLine, block.word, node.word.text).form
    for slot, value in zip(form.slots, node.values, strict=False):
        if slot.files and isinstance(value, Word | Text):
            yield _file(value)


def _in_head(node: Head | Member) -> Iterator[Mention]:
    if isinstance(node, MotifHead):
        yield _word(NameSort.MOTIF, node.name)
    elif isinstance(node, StitchHead):
        yield _word(NameSort.STITCH, node.name)
    elif isinstance(node, AlphabetHead):
        yield _word(NameSort.ALPHABET, node.name)
    elif isinstance(node, RangeHead):
        yield _word(NameSort.RANGE, node.name)
        yield _file(node.path)
    elif isinstance(node, UseLine):
        if isinstance(node.path, StockWords):
            yield Mention(NameSort.STOCK, node.path.name.text, node.path.span)
        else:
            yield _file(node.path)
    elif isinstance(node, PhotographHead):
        yield _file(node.path)
    elif isinstance(node, ThreadHead):
        yield from _thread(node.thread)


def _in_row(row: Row, offset: int) -> Iterator[Mention]:
    at = offset - row.span.start
    if 0 <= at < len(row.cells) and row.cells[at] != ".":
        place = Span(row.span.source, offset, offset + 1)
        yield Mention(NameSort.SYMBOL, row.cells[at], place)


def _options(options: Iterable[Option | Swaps]) -> Iterator[Mention]:
    for option in options:
        if isinstance(option, Swaps):
            for pair in option.pairs:
                yield _word(NameSort.SYMBOL, pair.old)
                yield _word(NameSort.SYMBOL, pair.new)
            continue
        for value in option.values:
            if isinstance(value, SwapPair):
                yield _word(NameSort.SYMBOL, value.old)
                yield _word(NameSort.SYMBOL, value.new)
        if option.word == "in":
            for value in option.values:
                if isinstance(value, Word):
                    yield _word(NameSort.ALPHABET, value)
        else:
            yield from _named(option)


def _named(option: Option) -> Iterator[Mention]:
    """Give the names of things and motifs in an option."""
    if option.word not in _NAMING:
        return
    form, sort = _NAMING[option.word]
    fixed = {word for slot in form.slots for word in slot.words}
    for value in option.values:
        if isinstance(value, Word) and value.text not in fixed:
            yield _word(sort, value)


def _thread(words: ThreadWords) -> Iterator[Mention]:
    if words.range is not None and words.code is not None:
        yield _word(NameSort.RANGE, words.range)
        yield Mention(NameSort.THREAD, words.code.text, words.code.span, words)
    elif words.colour is not None:
        yield Mention(NameSort.THREAD, words.colour.text, words.span, words)


def _word(sort: NameSort, word: Word) -> Mention:
    return Mention(sort, word.text, word.span)


def _file(path: Word | Text) -> Mention:
    return Mention(NameSort.FILE, path.value if isinstance(path, Text) else path.text, path.span)
