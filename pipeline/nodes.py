"""What the lines of a chart file say, before names are looked up.

One node for each kind of line, in source order, each with its place. Comments are kept, so
that a file can be printed again without losing one. Places never take part in comparison:
two files are equal when they say the same.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from .source import Source, Span

# --- pieces of a line --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Word:
    """A name, symbol, code, path, date or other word, as written."""

    text: str
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Text:
    """A text in double quotes; `value` is what stands between them, escapes undone."""

    value: str
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Number:
    """A number, as written; what it may be is settled where it is used."""

    text: str
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Place:
    """A position `x,y`, each part as written."""

    x: Number
    y: Number
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Measure:
    """A length with its unit: `45 cm`."""

    number: Number
    unit: Word


@dataclass(frozen=True, slots=True)
class Size:
    """`121 x 160`."""

    width: Number
    height: Number
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Row:
    """One row: the characters between the bars, and their place."""

    cells: str
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Option:
    """One option of a line: its word, and what follows it, such as `over 1`.

    An option without a leading word of its own is named for what it is (`repeat`, `at`).
    """

    word: str
    values: tuple[Word | Number | Place, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class SwapPair:
    """`s as m`."""

    old: Word
    new: Word


@dataclass(frozen=True, slots=True)
class Swaps:
    """`with s as m, t as k`."""

    pairs: tuple[SwapPair, ...]
    span: Span = field(compare=False, repr=False)


# --- heads and one-line statements -------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class VersionLine:
    """`linen 1`."""

    number: Number
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class UseLine:
    """`use other.linen`."""

    path: Word | Text
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class BookletHead:
    """`booklet "Title"`."""

    title: Text
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Cloth:
    """`linen 36 x 34 per cm over 2`."""

    kind: Word
    count: Number
    count_down: Number | None
    per_cm: bool
    over: Number | None
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class FabricHead:
    """`fabric linen 32 over 2`."""

    cloth: Cloth
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class RangeHead:
    """`range estuary from estuary.csv`."""

    name: Word
    path: Word | Text
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class KeyHead:
    """`key`."""

    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class WorkingHead:
    """`working`."""

    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class MotifHead:
    """`motif tern 9 x 4 over 1 symmetric left-right`."""

    name: Word
    size: Size
    options: tuple[Option, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class AlphabetHead:
    """`alphabet marking height 7 spacing 1 space 3`."""

    name: Word
    options: tuple[Option, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class ChartHead:
    """`chart 121 x 160 symmetric both`."""

    size: Size
    options: tuple[Option, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class NoteLine:
    """`note at 40.5,80 "…"` or `departure 0,30 to 121,36 "…"`; `end` is None for a point."""

    kind: Word
    start: Place
    end: Place | None
    text: Text
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class ColourwayHead:
    """`colourway faded "As the old piece looks today"`."""

    name: Word
    title: Text | None
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """`revision "2" 2026-03-14 "…"`."""

    edition: Text
    day: Word | None
    text: Text
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class ExpectLine:
    """`expect m 30 in 0,0 to 20,20`."""

    symbol: Word
    count: Number
    start: Place | None
    end: Place | None
    span: Span = field(compare=False, repr=False)


Head = (
    VersionLine
    | UseLine
    | BookletHead
    | FabricHead
    | RangeHead
    | KeyHead
    | WorkingHead
    | MotifHead
    | AlphabetHead
    | ChartHead
    | NoteLine
    | ColourwayHead
    | RevisionLine
    | ExpectLine
)


# --- lines inside a block ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WordLine:
    """A line of a booklet or range: its word and what follows it.

    `original place "…"` has the values (place, "…").
    """

    word: Word
    values: tuple[Word | Text | Number, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class ColourLine:
    """`colour #e9dfcb "raw flax"`."""

    colour: Word
    name: Text | None
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class MeasureLine:
    """`margin 3 in`, `needleful 45 cm`."""

    word: Word
    measure: Measure
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class AlsoLine:
    """`also linen 28 over 2, aida 14`."""

    cloths: tuple[Cloth, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class ThreadWords:
    """`estuary 417` (range, code), or `#aa3344 "madder"` (colour, name)."""

    range: Word | None
    code: Word | None
    colour: Word | None
    name: Text | None
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class KindWords:
    """`half up`, `three-quarter top-left`, `back`."""

    kind: Word
    way: Word | None
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class NeedleWords:
    """One thread of a part with what was said after it."""

    thread: ThreadWords
    strands: tuple[Number, ...]
    kinds: tuple[KindWords, ...]


@dataclass(frozen=True, slots=True)
class PartWords:
    """One part of a key line: one thread, or several worked together."""

    needles: tuple[NeedleWords, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class KeyLine:
    """`s estuary 220 1 strand`; also a line of a colourway."""

    symbol: Word
    parts: tuple[PartWords, ...]
    printed: tuple[Word, ...]
    notes: tuple[Text, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class ShapeLine:
    """`line lantern 4,3 4,4 6,4`, `knot eye 5.5,1.5`, `bead …`."""

    word: Word
    symbol: Word
    points: tuple[Place, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class LetterLine:
    """`A |..s..|`: the letter; its first row follows as a `Row`."""

    character: Word | Text
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class BorderLine:
    """`border leaf, corner sprig inset 2`."""

    repeat: Word
    corner: Word | None
    options: tuple[Option | Swaps, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class PlacementLine:
    """`tern mirrored at 92,14`."""

    motif: Word
    options: tuple[Option | Swaps, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class LetteringLine:
    """`text "LINE ONE" "LINE TWO" in marking at 10,60`."""

    lines: tuple[Text, ...]
    options: tuple[Option | Swaps, ...]
    span: Span = field(compare=False, repr=False)


Member = (
    Row
    | WordLine
    | ColourLine
    | MeasureLine
    | AlsoLine
    | KeyLine
    | ShapeLine
    | LetterLine
    | BorderLine
    | PlacementLine
    | LetteringLine
)


# --- the file ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Broken:
    """A line that could not be read; its words, so that names in it count as known."""

    words: tuple[str, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Block:
    """A top-level line and the lines that belong to it.

    word: the top-level word. head: None when the top-level line could not be read.
    members: the block's lines in source order. broken: lines that could not be read.
    """

    word: str
    head: Head | None
    members: tuple[Member, ...]
    broken: tuple[Broken, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Comment:
    """A comment from its `#` to the end of the line."""

    text: str
    alone: bool  # whether it stands on a line of its own
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True)
class ChartFile:
    """A chart file taken apart into its lines."""

    source: Source = field(compare=False, repr=False)
    blocks: tuple[Block, ...]
    comments: tuple[Comment, ...]
