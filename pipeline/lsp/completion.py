"""What may be typed next: words by the grammar, and names that the chart and its files define."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import islice
from pathlib import Path
from typing import Any

from lark import Token
from lark.exceptions import UnexpectedInput

from ..chart.shapes import shape_names
from ..core.key import KeyEntry
from ..formatting.spelling import extent_of
from ..resolve.grounds import BLOCK_FABRICS, THREAD_FABRICS
from ..resolve.stock import stocks
from ..stitches.kinds import STITCHES
from ..syntax.cutting import NOTATION, stated
from ..syntax.forms import CORNERS, terminal, word_of
from ..syntax.nodes import KeyLine, VersionLine
from ..syntax.notation import Notation, lines_rule, notation
from ..syntax.statements import Statement
from .outline import Outline

MOST_FILES = 200
LONGEST_LINE = 2_000  # characters before the place; longer ones are no statements to help with


class Offer(Enum):
    """What is offered."""

    WORD = "word"
    MOTIF = "motif"
    ALPHABET = "alphabet"
    THING = "thing"
    RANGE = "range"
    THREAD = "thread"
    SYMBOL = "symbol"
    SHAPE = "shape"
    STOCK = "stock"
    FILE = "file"


@dataclass(frozen=True)
class Choice:
    """One thing that may be typed. found_by: other words by which it may be looked for."""

    offer: Offer
    text: str
    detail: str = ""
    found_by: str = ""


@dataclass(frozen=True)
class Completion:
    """The choices at a place, the likeliest first, and the offset of what they replace."""

    start: int
    choices: tuple[Choice, ...]


_PARTIAL = re.compile(r'[^\s",|#]*$')
_STRINGS = re.compile(r'"[^"\\\n]*(?:\\["\\][^"\\\n]*)*"')
_COLOURS = re.compile(r"#[0-9A-Fa-f]{6}(?!\w)")


def complete(outline: Outline, offset: int) -> Completion | None:
    """Return what may be typed at an offset of a file, None inside texts, rows and remarks."""
    source = outline.file.source
    line_start = source.text.rfind("\n", 0, offset) + 1
    before = source.text[line_start:offset].lstrip(" \t")
    if len(before) > LONGEST_LINE or not _is_statement(before):
        return None
    match = _PARTIAL.search(before)
    stem = before[: match.start()] if match else before
    block = _block_above(outline, line_start)
    choices = _choices(outline, block, stem, line_start)
    return Completion(offset - len(before) + len(stem), tuple(_once(choices)))


def _is_statement(before: str) -> bool:
    bare = _COLOURS.sub("", _STRINGS.sub("", before))
    return not bare.startswith("|") and '"' not in bare and "#" not in bare and "|" not in bare


def _block_above(outline: Outline, line_start: int) -> str:
    above = [block.word for block in outline.file.blocks if block.span.start < line_start]
    return above[-1] if above else ""


def _once(choices: Iterable[Choice]) -> Iterator[Choice]:
    seen: set[str] = set()
    for choice in choices:
        if choice.text not in seen:
            seen.add(choice.text)
            yield choice


def _choices(outline: Outline, block: str, stem: str, start: int) -> Iterator[Choice]:
    words = stem.split(maxsplit=1)
    version = notation(stated(outline.file.source))
    head = version.heads.get(words[0]) if words else None
    if head is not None:
        yield from _after(outline, version, head.rule, (head,), stem, start)
        return
    if block in version.lines:
        rule = lines_rule(block)
        yield from _after(outline, version, rule, version.lines[block], stem, start)
    if not words:
        if not block:
            yield Choice(Offer.WORD, f"linen {NOTATION}", "the version of the notation")
        for word, head in version.heads.items():
            if head.node is not VersionLine:
                yield Choice(Offer.WORD, word, head.example)


def _after(
    outline: Outline,
    version: Notation,
    rule: str,
    statements: Sequence[Statement],
    stem: str,
    start: int,
) -> Iterator[Choice]:
    """Give what the grammar takes after the beginning of a line.

    statements: those that the rule reads. start: where the line begins.
    """
    parser: Any = version.parser.parse_interactive(stem, start=rule)
    try:
        tokens = parser.exhaust_lexer()
    except UnexpectedInput:
        return
    wanted = parser.accepts()
    spot = _Cursor(outline, statements, tokens, start)
    for name, offer in _OFFERS.items():
        if name in wanted:
            yield from offer(spot)
    told = {token.type for token in tokens} if spot.states_once else set()
    words = {"x" if name == "X" else word_of(name) for name in wanted - (told - _REPEATED)}
    for word in sorted(filter(None, words)):
        yield Choice(Offer.WORD, word, _example(statements, word) if not tokens else "")
    if "CORNER" in wanted:
        yield from (Choice(Offer.WORD, corner) for corner in CORNERS)


def _example(statements: Iterable[Statement], word: str) -> str:
    return next((statement.example for statement in statements if statement.word == word), "")


_REPEATED = frozenset({terminal("as")})  # belongs to each pair of symbols


@dataclass(frozen=True)
class _Cursor:
    """A place in a line: the statements that the line may be, the words before it, its start."""

    outline: Outline
    statements: Sequence[Statement]
    tokens: Sequence[Token]
    start: int

    @property
    def first(self) -> str:
        """The first word."""
        return str(self.tokens[0]) if self.tokens else ""

    @property
    def last(self) -> str:
        """The terminal right before the place."""
        return self.tokens[-1].type if self.tokens else ""

    @property
    def statement(self) -> Statement | None:
        """The statement whose word the line begins with; None where it begins with none."""
        return next(
            (statement for statement in self.statements if statement.word == self.first), None
        )

    @property
    def is_named(self) -> bool:
        """Whether the name of the block that the line begins is to stand here."""
        return len(self.tokens) == 1 and self.statement is not None and self.statement.gives_name

    @property
    def states_once(self) -> bool:
        """Whether each option is stated once in such a line."""
        return any(
            statement.form.options and statement.node is not KeyLine
            for statement in self.statements
        )


# --- names -------------------------------------------------------------------------------------


def _motifs(spot: _Cursor) -> Iterator[Choice]:
    if not spot.is_named:
        for name, block in spot.outline.motifs.items():
            size = getattr(block.head, "size", None)
            shown = extent_of(size) if size else ""
            yield Choice(Offer.MOTIF, name, shown)


def _alphabets(spot: _Cursor) -> Iterator[Choice]:
    if not spot.is_named:
        yield from (Choice(Offer.ALPHABET, name) for name in spot.outline.alphabets)


def _ranges(spot: _Cursor) -> Iterator[Choice]:
    if not spot.is_named:
        yield from (Choice(Offer.RANGE, name) for name in spot.outline.ranges)


def _codes(spot: _Cursor) -> Iterator[Choice]:
    known = spot.outline.ranges.get(str(spot.tokens[-1])) if spot.last == "RANGE_NAME" else None
    for thread in known.threads.values() if known is not None else ():
        shown = f"{thread.name} {thread.colour}"
        yield Choice(Offer.THREAD, thread.code, shown, f"{thread.code} {thread.name}")


def _symbols(spot: _Cursor) -> Iterator[Choice]:
    if not spot.tokens and "new_symbol" in spot.statements[0].form.slots[0].written:
        return
    placed = {stitch.placed for stitch in STITCHES.values()}
    if spot.first and spot.first.lower() in placed:
        placed = {spot.first.lower()}
    elif {terminal("with"), terminal("turn")} & {token.type for token in spot.tokens}:
        placed = {""}
    for symbol, entry in spot.outline.key.known.items():
        if entry is None or STITCHES[entry.parts[0].kind].placed in placed:
            yield Choice(Offer.SYMBOL, symbol, _threads(entry))


def _threads(entry: KeyEntry | None) -> str:
    if entry is None:
        return ""
    needles = [strand.thread for part in entry.parts for strand in part.needle]
    return ", ".join(
        f"{thread.label} {thread.name}" if thread.code else thread.name for thread in needles
    )


def _things(spot: _Cursor) -> Iterator[Choice]:
    if spot.last not in {terminal("named"), terminal("band"), terminal("place")}:
        for name, line in spot.outline.things(spot.start).items():
            yield Choice(Offer.THING, name, f"line {line.line}")


def _fabrics(_spot: _Cursor) -> Iterator[Choice]:
    yield from (Choice(Offer.WORD, kind) for kind in (*THREAD_FABRICS, *BLOCK_FABRICS))


def _stitches(spot: _Cursor) -> Iterator[Choice]:
    """Give the stitches that a line of the key may name, by what its symbol stands for."""
    if not spot.tokens or spot.tokens[0].type not in ("SYMBOL", "KEY_NAME"):
        return
    cells = len(spot.tokens[0]) == 1
    for name, stitch in spot.outline.stitches().items():
        if stitch is None:
            yield Choice(Offer.SHAPE, name)
        elif cells != (stitch.stands.on_lines or not stitch.each):
            yield Choice(Offer.SHAPE, name, stitch.called)


def _corners(spot: _Cursor) -> Iterator[Choice]:
    if spot.last in {
        terminal("quarter"),
        terminal("three-quarter"),
    }:  # elsewhere a corner is the last thing wanted
        yield from (Choice(Offer.WORD, corner) for corner in CORNERS)


def _strands(spot: _Cursor) -> Iterator[Choice]:
    one = bool(spot.tokens) and str(spot.tokens[-1]) == "1"
    yield Choice(Offer.WORD, "strand" if one else "strands")


def _shapes(_spot: _Cursor) -> Iterator[Choice]:
    yield from (Choice(Offer.SHAPE, name) for name in shape_names())


def _stocks(_spot: _Cursor) -> Iterator[Choice]:
    for name, versions in stocks().items():
        yield Choice(Offer.STOCK, f"{name} {versions[-1]}", "ships with linenleaf")


# --- files -------------------------------------------------------------------------------------


def _files(spot: _Cursor) -> Iterator[Choice]:
    slots = spot.statement.form.slots if spot.statement is not None else ()
    suffixes = next((slot.files for slot in slots if slot.files), ())
    path = spot.outline.path
    for name in islice(_beside(path.parent, suffixes), MOST_FILES):
        if name != path.name:
            yield Choice(Offer.FILE, f'"{name}"' if re.search(r"[\s#]", name) else name)


def _beside(folder: Path, suffixes: tuple[str, ...]) -> Iterator[str]:
    try:
        here = sorted(islice(folder.iterdir(), 500))
        below = [place for place in here if place.is_dir() and not place.name.startswith(".")]
        for place in (folder, *below):
            for path in here if place == folder else sorted(islice(place.iterdir(), 500)):
                if path.suffix.lower() in suffixes and path.is_file():
                    yield path.relative_to(folder).as_posix()
    except OSError:
        return


# In the order in which they are offered.
_OFFERS: Mapping[str, Callable[[_Cursor], Iterator[Choice]]] = {
    "MOTIF_NAME": _motifs,
    "ALPHABET_NAME": _alphabets,
    "THING_NAME": _things,
    "CODE": _codes,
    "RANGE_NAME": _ranges,
    "SYMBOL": _symbols,
    "KEY_NAME": _symbols,
    "FABRIC_KIND": _fabrics,
    "STITCH_NAME": _stitches,
    "PRINTED_NAME": _shapes,
    "STOCK_NAME": _stocks,
    "FILE": _files,
    "CORNER": _corners,
    "STRANDS_UNIT": _strands,
}
