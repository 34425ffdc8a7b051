"""What a chart file and its files define: names for the tools, blocks and colours for an editor."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from ..core.diagnostics import Diagnostic
from ..core.files import beside
from ..core.key import Thread
from ..core.source import Source, Span
from ..formatting.spelling import extent_of
from ..resolve.counted import known_stitches
from ..resolve.drafts import name_of
from ..resolve.keylines import ReadKey, Stitches, resolve_key
from ..resolve.library import Volume, gather
from ..resolve.needles import Basket
from ..resolve.threads import ThreadRange, resolve_range
from ..syntax.nodes import (
    AlphabetHead,
    Block,
    ChartFile,
    ChartHead,
    ColourLine,
    ColourwayHead,
    KeyLine,
    MotifHead,
    RangeHead,
    ThreadHead,
)
from ..syntax.parse import parse
from ..syntax.phrases import Dimensions, Extent, ThreadWords
from ..syntax.statements import HEADS, Body
from .mentions import Mention, NameSort


@dataclass(frozen=True)
class Outline:
    """What may be named in a chart file.

    file: the chart's own lines. volumes: those of the files it uses too, its own first.
    """

    file: ChartFile
    path: Path
    volumes: tuple[Volume, ...]
    motifs: Mapping[str, Block]
    alphabets: Mapping[str, Block]
    ranges: Mapping[str, ThreadRange]
    key: ReadKey
    key_lines: Mapping[str, KeyLine]
    stitches: Stitches

    def thread(self, words: ThreadWords) -> Thread | None:
        """Return the thread that a key line names."""
        return Basket(self.ranges).thread(words, [])

    def sort_of(self, mention: Mention) -> NameSort:
        """Return what a name is the name of, also where it stands in a line not understood."""
        if mention.sort is not NameSort.ANY:
            return mention.sort
        for sort, known in (
            (NameSort.MOTIF, self.motifs),
            (NameSort.ALPHABET, self.alphabets),
            (NameSort.SYMBOL, self.key_lines),
            (NameSort.RANGE, self.ranges),
            (NameSort.THING, self.things(mention.span.start)),
        ):
            if mention.name in known:
                return sort
        return NameSort.ANY

    def things(self, offset: int) -> Mapping[str, Span]:
        """Return the names of things placed that hold at an offset of the chart's own file.

        Those in a motif are the motif's own. Of two of one name the last counts.
        """
        here = [block for block in self.file.blocks if block.span.start <= offset][-1:]
        if not any(isinstance(block.head, MotifHead) for block in here):
            here = [block for block in self.file.blocks if block.word == "chart"]
        names = (name_of(line) for block in here for line in block.members)
        return {name.text: name.span for name in names if name is not None}

    def definition(self, mention: Mention) -> Span | None:
        """Return where what is mentioned is defined; a thread in its range file."""
        name, sort = mention.name, self.sort_of(mention)
        if sort is NameSort.SYMBOL and name in self.key_lines:
            return self.key_lines[name].symbol.span
        things = self.things(mention.span.start)
        if sort is NameSort.THING and name in things:
            return things[name]
        if sort is NameSort.RANGE and name in self.ranges:
            return self.ranges[name].span
        if sort is NameSort.THREAD and mention.thread is not None:
            thread = self.thread(mention.thread)
            return None if thread is None else thread.span
        blocks = {NameSort.MOTIF: self.motifs, NameSort.ALPHABET: self.alphabets}.get(sort, {})
        if sort is NameSort.STITCH:
            stitch = self.stitches().get(name)
            return None if stitch is None or stitch.built_in else stitch.span
        head = blocks[name].head if name in blocks else None
        return head.name.span if isinstance(head, MotifHead | AlphabetHead) else None

    def file_named(self, mention: Mention) -> Path | None:
        """Return the file that is mentioned, if it may be opened and is there."""
        if mention.sort is not NameSort.FILE:
            return None
        return beside(self.path.parent, self.path.parent, mention.name, mention.span)[0]


def outline(source: Source, path: Path) -> Outline:
    """Return what a text that stands, or could stand, at a path defines.

    What is wrong with it is passed over: findings are told elsewhere.
    """
    ignored: list[Diagnostic] = []
    file, _ = parse(source)
    volumes = gather(path, file, ignored).volumes
    motifs: dict[str, Block] = {}
    alphabets: dict[str, Block] = {}
    ranges: dict[str, ThreadRange] = {}
    for volume in volumes:
        for block in volume.file.blocks:
            head = block.head
            if isinstance(head, MotifHead):
                motifs.setdefault(head.name.text, block)
            elif isinstance(head, AlphabetHead):
                alphabets.setdefault(head.name.text, block)
            elif isinstance(head, RangeHead) and head.name.text not in ranges:
                resolved = resolve_range(block, head, path.parent, volume.folder, ignored)
                ranges[head.name.text] = resolved
    keys = [block for block in file.blocks if block.word == "key"]
    key_lines: dict[str, KeyLine] = {}
    for block in keys:
        for line in block.members:
            if isinstance(line, KeyLine):
                key_lines.setdefault(line.symbol.text, line)
    defined = [each for volume in volumes for each in volume.file.blocks if each.word == "stitch"]
    stitches = known_stitches(defined, ignored)
    key = resolve_key(keys, Basket(ranges), stitches, ignored)
    return Outline(file, path, volumes, motifs, alphabets, ranges, key, key_lines, stitches)


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
    if statement.gives_name or statement.lines in (Body.KEY, Body.LETTERS, Body.GRID)
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
    size: Dimensions | Extent | None = (
        block.head.size if isinstance(block.head, MotifHead | ChartHead) else None
    )
    return extent_of(size) if size is not None else ""


@dataclass(frozen=True)
class NamedColour:
    """A colour (#rrggbb), where it is named, and whether it is written out there."""

    colour: str
    span: Span
    written: bool


def swatches(outline: Outline) -> Iterator[NamedColour]:
    """Give the colours of a file's threads and of its fabric, in order."""
    for block in outline.file.blocks:
        if isinstance(block.head, ThreadHead):
            yield from _swatch(outline, block.head.thread)
        for line in block.members:
            if isinstance(line, ColourLine):
                yield NamedColour(line.colour.text, line.colour.span, True)
            elif isinstance(line, KeyLine):
                for part in line.parts:
                    for needle in part.needles:
                        yield from _swatch(outline, needle.thread)


def _swatch(outline: Outline, words: ThreadWords) -> Iterator[NamedColour]:
    if words.colour is not None:
        yield NamedColour(words.colour.text, words.colour.span, True)
    elif words.code is not None:
        thread = outline.thread(words)
        if thread is not None:
            yield NamedColour(thread.colour, words.code.span, False)
