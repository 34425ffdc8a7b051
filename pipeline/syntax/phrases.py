"""The pieces of a chart's lines: words, texts, numbers, positions, rows, options, threads.

Each with its place, which never takes part in comparison. Numbers are kept as written; what they
may be is settled where they are used.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ..core.source import Span


@dataclass(frozen=True, slots=True)
class Spanned:
    """What stands in a chart file; its place never takes part in comparison."""

    span: Span = field(compare=False, repr=False, kw_only=True)


@dataclass(frozen=True, slots=True)
class Word(Spanned):
    """A name, symbol, code, path, date or other word, as written."""

    text: str


@dataclass(frozen=True, slots=True)
class Text(Spanned):
    """A text in double quotes; `value` is what stands between them, escapes undone."""

    value: str


@dataclass(frozen=True, slots=True)
class Numeral(Spanned):
    """A number, as written; what it may be is settled where it is used."""

    text: str


@dataclass(frozen=True, slots=True)
class Position(Spanned):
    """A position `x,y`, each part as written."""

    x: Numeral
    y: Numeral


@dataclass(frozen=True, slots=True)
class StockWords(Spanned):
    """`stock letters-7 1`: a file that ships with linenleaf, and its version."""

    name: Word
    version: Numeral


@dataclass(frozen=True, slots=True)
class Length:
    """A length with its unit: `45 cm`."""

    number: Numeral
    unit: Word


@dataclass(frozen=True, slots=True)
class Dimensions(Spanned):
    """`121 x 160`."""

    width: Numeral
    height: Numeral


@dataclass(frozen=True, slots=True)
class Extent(Spanned):
    """`121 x 160`, `121 wide`, `160 high`, or `fitted`: what is not stated is None."""

    width: Numeral | None
    height: Numeral | None


@dataclass(frozen=True, slots=True)
class AreaWords:
    """`at 40.5,80`, or `0,30 to 121,36`; `end` is None for a point.

    thing: counted from its corner, `in initials 0,0 to 5,7`; all of it where `start` is None too.
    """

    start: Position | None
    end: Position | None
    thing: Word | None = None


@dataclass(frozen=True, slots=True)
class Row(Spanned):
    """One row: the characters between the bars, and their place."""

    cells: str


@dataclass(frozen=True, slots=True)
class StrokeWords(Spanned):
    """`up 0,2 by 1,1 down 2,0`."""

    up: Position
    by: tuple[Position, ...]
    down: Position


@dataclass(frozen=True, slots=True)
class Option(Spanned):
    """One option of a line: its word, and what follows it, such as `over 1`.

    An option without a leading word of its own is named for what it is (`repeat`, `cover`).
    """

    word: str
    values: tuple[Word | Text | Numeral | Position | Dimensions | SwapPair, ...]


@dataclass(frozen=True, slots=True)
class SwapPair:
    """`s as m`."""

    old: Word
    new: Word


@dataclass(frozen=True, slots=True)
class Swaps(Spanned):
    """`with s as m, t as k`: an option like others, but for its values."""

    pairs: tuple[SwapPair, ...]

    @property
    def word(self) -> str:
        """The word of the option."""
        return "with"

    @property
    def values(self) -> tuple[SwapPair, ...]:
        """What follows the word."""
        return self.pairs


@dataclass(frozen=True, slots=True)
class Cloth(Spanned):
    """`linen 36 x 34 per cm over 2`."""

    kind: Word
    count: Numeral
    count_down: Numeral | None
    per_cm: bool
    over: Numeral | None


@dataclass(frozen=True, slots=True)
class ThreadWords(Spanned):
    """`estuary 417` (range, code), or `#aa3344 "madder"` (colour, name)."""

    range: Word | None
    code: Word | None
    colour: Word | None
    name: Text | None


@dataclass(frozen=True, slots=True)
class KindWords(Spanned):
    """`half up`, `three-quarter top-left`, `back`."""

    kind: Word
    way: Word | None


@dataclass(frozen=True, slots=True)
class NeedleWords:
    """One thread of a part with what was said after it."""

    thread: ThreadWords
    strands: tuple[Numeral, ...]
    kinds: tuple[KindWords, ...]


@dataclass(frozen=True, slots=True)
class PartWords(Spanned):
    """One part of a key line: one thread, or several worked together."""

    needles: tuple[NeedleWords, ...]
