"""What the lines of a chart file say, before names are looked up.

One node for each kind of line, in source order, each with its place. Comments are kept, so
that a file can be printed again without losing one. Places never take part in comparison:
two files are equal when they say the same.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ..core.source import Source
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
    Spanned,
    StockWords,
    StrokeWords,
    Swaps,
    Text,
    ThreadWords,
    Word,
)

# --- heads and one-line statements -------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class VersionLine(Spanned):
    """`linen 1`."""

    number: Numeral


@dataclass(frozen=True, slots=True)
class UseLine(Spanned):
    """`use other.linen`, or `use stock letters-7 1`."""

    path: Word | Text | StockWords


@dataclass(frozen=True, slots=True)
class BookletHead(Spanned):
    """`booklet "Title"`."""

    title: Text


@dataclass(frozen=True, slots=True)
class FabricHead(Spanned):
    """`fabric linen 32 over 2`."""

    cloth: Cloth


@dataclass(frozen=True, slots=True)
class RangeHead(Spanned):
    """`range estuary from estuary.csv`."""

    name: Word
    path: Word | Text


@dataclass(frozen=True, slots=True)
class KeyHead(Spanned):
    """`key`."""


@dataclass(frozen=True, slots=True)
class StitchHead(Spanned):
    """`stitch eye "Algerian eye" over 4 x 4 pulled`."""

    name: Word
    title: Text | None
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class WorkingHead(Spanned):
    """`working`."""


@dataclass(frozen=True, slots=True)
class ThreadHead(Spanned):
    """`thread estuary 512`."""

    thread: ThreadWords


@dataclass(frozen=True, slots=True)
class MotifHead(Spanned):
    """`motif tern 9 x 4 over 1 symmetric left-right`."""

    name: Word
    size: Extent
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class AlphabetHead(Spanned):
    """`alphabet marking height 7 spacing 1 space 3`."""

    name: Word
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class ChartHead(Spanned):
    """`chart 121 x 160 symmetric both`, `chart 121 wide`."""

    size: Extent
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class NoteLine(Spanned):
    """`note at 40.5,80 "…"` or `departure 0,30 to 121,36 "…"`."""

    word: Word
    area: AreaWords
    text: Text


@dataclass(frozen=True, slots=True)
class ColourwayHead(Spanned):
    """`colourway faded "As the old piece looks today"`."""

    name: Word
    title: Text | None


@dataclass(frozen=True, slots=True)
class RevisionLine(Spanned):
    """`revision "2" 2026-03-14 "…"`."""

    edition: Text
    day: Word | None
    text: Text


@dataclass(frozen=True, slots=True)
class ExpectLine(Spanned):
    """`expect m 30 in 0,0 to 20,20`."""

    symbol: Word
    count: Numeral
    area: AreaWords | None


@dataclass(frozen=True, slots=True)
class PagesHead(Spanned):
    """`pages`."""


@dataclass(frozen=True, slots=True)
class PhotographHead(Spanned):
    """`photograph pictures/old-band.jpg`."""

    path: Word | Text


Head = (
    VersionLine
    | UseLine
    | BookletHead
    | FabricHead
    | RangeHead
    | KeyHead
    | StitchHead
    | WorkingHead
    | ThreadHead
    | MotifHead
    | AlphabetHead
    | ChartHead
    | NoteLine
    | ColourwayHead
    | RevisionLine
    | ExpectLine
    | PhotographHead
    | PagesHead
)


# --- lines inside a block ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WordLine(Spanned):
    """A line of a booklet or range: its word and what follows it.

    `original place "…"` has the values (place, "…").
    """

    word: Word
    values: tuple[Word | Text | Numeral, ...]


@dataclass(frozen=True, slots=True)
class ColourLine(Spanned):
    """`colour #e9dfcb "raw flax"`."""

    colour: Word
    name: Text | None


@dataclass(frozen=True, slots=True)
class MeasureLine(Spanned):
    """`margin 3 in`, `needleful 45 cm`."""

    word: Word
    measure: Length


@dataclass(frozen=True, slots=True)
class AlsoLine(Spanned):
    """`also linen 28 over 2, aida 14`."""

    cloths: tuple[Cloth, ...]


@dataclass(frozen=True, slots=True)
class KeyLine(Spanned):
    """`s estuary 220 1 strand`; also a line of a colourway."""

    symbol: Word
    parts: tuple[PartWords, ...]
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
class StrokeLine(Spanned):
    """`up 0,2 down 2,0  up 2,2 down 0,0`, strokes of each repeat."""

    strokes: tuple[StrokeWords, ...]


@dataclass(frozen=True, slots=True)
class PhaseLine(Spanned):
    """`first up 0,2 down 2,0`: strokes of a part of the stitch that has a word."""

    word: Word
    strokes: tuple[StrokeWords, ...]


@dataclass(frozen=True, slots=True)
class WoundLine(Spanned):
    """`wound 2`: a knot, and how often the thread goes round the needle."""

    word: Word
    turns: Numeral


@dataclass(frozen=True, slots=True)
class ShowsLine(Spanned):
    """`shows initials 0,0 to 5,7`: the part of the chart that a photograph shows."""

    word: Word
    area: AreaWords


@dataclass(frozen=True, slots=True)
class CornersLine(Spanned):
    """`corners 212,140 1880,133 1893,402 205,410`, in pixels, round from top left."""

    word: Word
    top_left: Position
    top_right: Position
    bottom_right: Position
    bottom_left: Position

    @property
    def points(self) -> tuple[Position, Position, Position, Position]:
        """All four, in order."""
        return self.top_left, self.top_right, self.bottom_right, self.bottom_left


@dataclass(frozen=True, slots=True)
class LandmarkLine(Spanned):
    """`landmark 12,7 at 433,150`: a place between crosses, and the pixel where it is seen."""

    word: Word
    place: Position
    pixel: Position


@dataclass(frozen=True, slots=True)
class ShapeLine(Spanned):
    """`line lantern 4,3 4,4 6,4`, `knot eye 5.5,1.5`, `bead …`."""

    word: Word
    symbol: Word
    points: tuple[Position, ...]
    options: tuple[Option, ...] = ()  # no line of a motif or a letter has any


@dataclass(frozen=True, slots=True)
class BandLine(Spanned):
    """`band reeds gap 2`: what follows stands in it, up to the next."""

    word: Word
    name: Word | None
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class PlaceLine(Spanned):
    """`place panel 40 x 30 below gap 2`: a bare place or area with a name."""

    word: Word
    name: Word
    size: Dimensions | None
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class LetterLine(Spanned):
    """`A |..s..|`: the letter and its first row, which follows as a line of its own too."""

    character: Word | Text
    row: Row


@dataclass(frozen=True, slots=True)
class DrawnLetterLine(Spanned):
    """`A 3 wide`: a letter without rows, of the lines and points below it."""

    character: Word | Text
    width: Numeral


@dataclass(frozen=True, slots=True)
class BorderLine(Spanned):
    """`border leaf, corner sprig inset 2`."""

    repeat: Word
    corner: Word | None
    options: tuple[Option | Swaps, ...]


@dataclass(frozen=True, slots=True)
class PlacementLine(Spanned):
    """`tern mirrored at 92,14`."""

    motif: Word
    options: tuple[Option | Swaps, ...]


@dataclass(frozen=True, slots=True)
class LetteringLine(Spanned):
    """`text "LINE ONE" "LINE TWO" in marking at 10,60`."""

    lines: tuple[Text, ...]
    options: tuple[Option | Swaps, ...]


@dataclass(frozen=True, slots=True)
class WithdrawnLine(Spanned):
    """`withdrawn rows 0,20 to 60,21.5`."""

    threads: Word
    start: Position
    end: Position
    options: tuple[Option, ...] = ()


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
    | DrawnLetterLine
    | BandLine
    | PlaceLine
    | BorderLine
    | PlacementLine
    | LetteringLine
    | WithdrawnLine
    | ShowsLine
    | CornersLine
    | LandmarkLine
)


# --- the file ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Broken(Spanned):
    """A line that could not be read; its words, so that names in it count as known."""

    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Block(Spanned):
    """A top-level line and the lines that belong to it.

    word: the top-level word. head: None when the top-level line could not be read.
    members: the block's lines in source order. broken: lines that could not be read.
    """

    word: str
    head: Head | None
    members: tuple[Member, ...]
    broken: tuple[Broken, ...]


@dataclass(frozen=True, slots=True)
class Comment(Spanned):
    """A comment from its `#` to the end of the line."""

    text: str
    alone: bool  # whether it stands on a line of its own


@dataclass(frozen=True)
class ChartFile:
    """A chart file taken apart into its lines."""

    source: Source = field(compare=False, repr=False)
    blocks: tuple[Block, ...]
    comments: tuple[Comment, ...]
