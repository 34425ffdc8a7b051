"""What the lines of a chart file say, before names are looked up.

One node for each kind of line, in source order, each with its place. Comments are kept, so
that a file can be printed again without losing one. Places never take part in comparison:
two files are equal when they say the same.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ..core.source import Source, Span
from .phrases import (
    AreaWords,
    Cloth,
    Dimensions,
    Extent,
    Length,
    Numeral,
    Option,
    PartWords,
    Position,
    Row,
    StrokeWords,
    Swaps,
    Text,
    Word,
)

# --- heads and one-line statements -------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class VersionLine:
    """`linen 1`."""

    number: Numeral
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
class StitchHead:
    """`stitch eye "Algerian eye" over 4 x 4 pulled`."""

    name: Word
    title: Text | None
    options: tuple[Option, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class WorkingHead:
    """`working`."""

    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class MotifHead:
    """`motif tern 9 x 4 over 1 symmetric left-right`."""

    name: Word
    size: Dimensions
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
    """`chart 121 x 160 symmetric both`, `chart 121 wide`."""

    size: Extent
    options: tuple[Option, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class NoteLine:
    """`note at 40.5,80 "…"` or `departure 0,30 to 121,36 "…"`."""

    word: Word
    area: AreaWords
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
    count: Numeral
    area: AreaWords | None
    span: Span = field(compare=False, repr=False)


Head = (
    VersionLine
    | UseLine
    | BookletHead
    | FabricHead
    | RangeHead
    | KeyHead
    | StitchHead
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
    values: tuple[Word | Text | Numeral, ...]
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
    measure: Length
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class AlsoLine:
    """`also linen 28 over 2, aida 14`."""

    cloths: tuple[Cloth, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class KeyLine:
    """`s estuary 220 1 strand`; also a line of a colourway."""

    symbol: Word
    parts: tuple[PartWords, ...]
    span: Span = field(compare=False, repr=False)
    endings: tuple[Option, ...] = ()  # no line of a colourway has any

    @property
    def printed(self) -> tuple[Word, ...]:
        """The printed symbols wished for, at most one in a sound chart."""
        values = (value for ending in self.endings for value in ending.values)
        return tuple(value for value in values if isinstance(value, Word))

    @property
    def notes(self) -> tuple[Text, ...]:
        """The notes, at most one in a sound chart."""
        values = (value for ending in self.endings for value in ending.values)
        return tuple(value for value in values if isinstance(value, Text))


@dataclass(frozen=True, slots=True)
class StrokeLine:
    """`up 0,2 down 2,0  up 2,2 down 0,0`, strokes of each repeat."""

    strokes: tuple[StrokeWords, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class PhaseLine:
    """`first up 0,2 down 2,0`: strokes of a part of the stitch that has a word."""

    word: Word
    strokes: tuple[StrokeWords, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class WoundLine:
    """`wound 2`: a knot, and how often the thread goes round the needle."""

    word: Word
    turns: Numeral
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class ShapeLine:
    """`line lantern 4,3 4,4 6,4`, `knot eye 5.5,1.5`, `bead …`."""

    word: Word
    symbol: Word
    points: tuple[Position, ...]
    span: Span = field(compare=False, repr=False)
    options: tuple[Option, ...] = ()  # no line of a motif has any


@dataclass(frozen=True, slots=True)
class BandLine:
    """`band reeds gap 2`: what follows stands in it, up to the next."""

    word: Word
    name: Word | None
    options: tuple[Option, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """`place panel 40 x 30 below gap 2`: a bare place or area with a name."""

    word: Word
    name: Word
    size: Dimensions | None
    options: tuple[Option, ...]
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class LetterLine:
    """`A |..s..|`: the letter and its first row, which follows as a line of its own too."""

    character: Word | Text
    row: Row
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
    | StrokeLine
    | PhaseLine
    | WoundLine
    | ShapeLine
    | LetterLine
    | BandLine
    | PlaceLine
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
