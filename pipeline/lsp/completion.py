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
from ..core.model import KeyEntry
from ..grammar import chart_parser
from ..resolve.grounds import BLOCK_FABRICS, THREAD_FABRICS
from ..stitches.kinds import STITCHES
from ..syntax.statements import HEAD_RULES, LINE_RULES
from ..syntax.vocabulary import CORNERS, keywords
from .outline import Outline

MOST_FILES = 200
LONGEST_LINE = 2_000  # characters before the place; longer ones are no statements to help with


class Offer(Enum):
    """What is offered."""

    WORD = "word"
    MOTIF = "motif"
    ALPHABET = "alphabet"
    RANGE = "range"
    THREAD = "thread"
    SYMBOL = "symbol"
    SHAPE = "shape"
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


# How a line with this word looks.
EXAMPLES = {
    "booklet": 'booklet "Title"',
    "fabric": "fabric linen 32 over 2",
    "range": "range estuary from estuary.csv",
    "key": "the stitch of each symbol",
    "working": "how the thread estimate works",
    "motif": "motif reed 9 x 4",
    "alphabet": "alphabet marking height 7",
    "chart": "chart 120 x 160",
    "note": 'note at 40.5,80 "…"',
    "departure": 'departure 0,30 to 121,36 "…"',
    "inferred": 'inferred 92,14 to 101,18 "…"',
    "kept": 'kept 60,0 to 66,5 "…"',
    "colourway": 'colourway faded "…"',
    "revision": 'revision "2" 2026-03-14 "…"',
    "use": "use letters.linen",
    "expect": "expect m 1440",
    "linen": "linen 1",
    "border": "border leaf, corner sprig",
    "text": 'text "…" in marking at 10,60',
    "line": "line edge 0,0 3,4",
    "knot": "knot eye 5.5,1.5",
    "bead": "bead lamp 5.5,1.5",
}

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
    choices = _choices(outline, block, stem)
    return Completion(offset - len(before) + len(stem), tuple(_once(choices)))


def _is_statement(before: str) -> bool:
    bare = _COLOURS.sub("", _STRINGS.sub("", before))
    return not bare.startswith("|") and '"' not in bare and "#" not in bare and "|" not in bare


def _block_above(outline: Outline, line_start: int) -> str:
    above = [block.word for block in outline.file.blocks if block.span.start < line_start]
    return above[-1] if above else ""


def _once(choices: Iterable[Choice]) -> Iterator[Choice]:
    seen: set[str] = set()
    for each in choices:
        if each.text not in seen:
            seen.add(each.text)
            yield each


def _choices(outline: Outline, block: str, stem: str) -> Iterator[Choice]:
    words = stem.split(maxsplit=1)
    if words and words[0] in HEAD_RULES:
        yield from _after(outline, HEAD_RULES[words[0]], stem)
        return
    if block in LINE_RULES:
        yield from _after(outline, LINE_RULES[block], stem)
    if not words:
        if not block:
            yield Choice(Offer.WORD, "linen 1", "the version of the notation")
        heads = (word for word in HEAD_RULES if word != "linen")
        yield from (Choice(Offer.WORD, word, EXAMPLES.get(word, "")) for word in heads)


def _after(outline: Outline, rule: str, stem: str) -> Iterator[Choice]:
    """Give what the grammar takes after the beginning of a line."""
    parser: Any = chart_parser().parse_interactive(stem, start=rule)
    try:
        tokens = parser.exhaust_lexer()
    except UnexpectedInput:
        return
    wanted = parser.accepts()
    spot = _Spot(outline, rule, tokens)
    for terminal, offer in _OFFERS.items():
        if terminal in wanted:
            yield from offer(spot)
    told = {token.type for token in tokens} if rule in _ONCE else set()
    for name in sorted(wanted - (told - {"_AS"})):
        if name == "X":
            yield Choice(Offer.WORD, "x")
        elif word := keywords().get(name):
            yield Choice(Offer.WORD, word, EXAMPLES.get(word, "") if not tokens else "")
    if "CORNER" in wanted:
        yield from (Choice(Offer.WORD, corner) for corner in CORNERS)


# Lines in which an option is stated once. (`as` belongs to each pair of symbols.)
_ONCE = frozenset({"chart_line", "motif", "alphabet", "chart"})


@dataclass(frozen=True)
class _Spot:
    """A place in a line: the rule of the line, and the words before it."""

    outline: Outline
    rule: str
    tokens: Sequence[Token]

    @property
    def first(self) -> str:
        return self.tokens[0].type if self.tokens else ""

    @property
    def last(self) -> str:
        return self.tokens[-1].type if self.tokens else ""


# --- names -------------------------------------------------------------------------------------


def _motifs(spot: _Spot) -> Iterator[Choice]:
    if spot.rule == "chart_line":
        for name, block in spot.outline.motifs.items():
            size = getattr(block.head, "size", None)
            shown = f"{size.width.text} x {size.height.text}" if size else ""
            yield Choice(Offer.MOTIF, name, shown)


def _alphabets(spot: _Spot) -> Iterator[Choice]:
    if spot.rule == "chart_line":
        yield from (Choice(Offer.ALPHABET, name) for name in spot.outline.alphabets)


def _ranges(spot: _Spot) -> Iterator[Choice]:
    if spot.rule != "range":
        yield from (Choice(Offer.RANGE, name) for name in spot.outline.ranges)


def _codes(spot: _Spot) -> Iterator[Choice]:
    known = spot.outline.ranges.get(str(spot.tokens[-1])) if spot.last == "RANGE_NAME" else None
    for thread in known.threads.values() if known is not None else ():
        shown = f"{thread.name} {thread.colour}"
        yield Choice(Offer.THREAD, thread.code, shown, f"{thread.code} {thread.name}")


def _symbols(spot: _Spot) -> Iterator[Choice]:
    if spot.rule in {"key_line", "motif", "alphabet"}:
        return
    placed = {each.placed for each in STITCHES.values()}
    if spot.first and spot.first.lower() in placed:
        placed = {spot.first.lower()}
    elif "WITH" in {token.type for token in spot.tokens}:
        placed = {""}
    for symbol, entry in spot.outline.key.known.items():
        if entry is None or STITCHES[entry.parts[0].kind].placed in placed:
            yield Choice(Offer.SYMBOL, symbol, _threads(entry))


def _threads(entry: KeyEntry | None) -> str:
    if entry is None:
        return ""
    needles = [each.thread for part in entry.parts for each in part.needle]
    return ", ".join(f"{each.label} {each.name}" if each.code else each.name for each in needles)


def _fabrics(_spot: _Spot) -> Iterator[Choice]:
    yield from (Choice(Offer.WORD, kind) for kind in (*THREAD_FABRICS, *BLOCK_FABRICS))


def _corners(spot: _Spot) -> Iterator[Choice]:
    if spot.last in {"QUARTER", "THREE_QUARTER"}:  # elsewhere a corner is the last thing wanted
        yield from (Choice(Offer.WORD, corner) for corner in CORNERS)


def _strands(spot: _Spot) -> Iterator[Choice]:
    one = bool(spot.tokens) and str(spot.tokens[-1]) == "1"
    yield Choice(Offer.WORD, "strand" if one else "strands")


def _shapes(_spot: _Spot) -> Iterator[Choice]:
    yield from (Choice(Offer.SHAPE, name) for name in shape_names())


# --- files -------------------------------------------------------------------------------------

_SUFFIXES = {
    "use": (".linen",),
    "range": (".csv",),
    "STORY": (".md",),
    "SECTION": (".md",),
    "COVER": (".png", ".jpg", ".jpeg"),
    "PICTURE": (".png", ".jpg", ".jpeg"),
}


def _files(spot: _Spot) -> Iterator[Choice]:
    suffixes = _SUFFIXES.get(spot.rule) or _SUFFIXES.get(spot.first, ())
    path = spot.outline.path
    for name in islice(_beside(path.parent, suffixes), MOST_FILES):
        if name != path.name:
            yield Choice(Offer.FILE, f'"{name}"' if re.search(r"[\s#]", name) else name)


def _beside(folder: Path, suffixes: tuple[str, ...]) -> Iterator[str]:
    try:
        here = sorted(islice(folder.iterdir(), 500))
        below = [each for each in here if each.is_dir() and not each.name.startswith(".")]
        for place in (folder, *below):
            for each in here if place == folder else sorted(islice(place.iterdir(), 500)):
                if each.suffix.lower() in suffixes and each.is_file():
                    yield each.relative_to(folder).as_posix()
    except OSError:
        return


# In the order in which they are offered.
_OFFERS: Mapping[str, Callable[[_Spot], Iterator[Choice]]] = {
    "MOTIF_NAME": _motifs,
    "ALPHABET_NAME": _alphabets,
    "CODE": _codes,
    "RANGE_NAME": _ranges,
    "SYMBOL": _symbols,
    "KEY_WORD": _symbols,
    "FABRIC_KIND": _fabrics,
    "PRINTED_NAME": _shapes,
    "FILE": _files,
    "CORNER": _corners,
    "STRANDS_UNIT": _strands,
}
