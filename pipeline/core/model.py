"""The chart as it was meant: what a source says, before anything is placed.

Positions are `x, y` in crosses from the top left corner, on grid lines. The
model knows nothing of drawing. Spans never take part in comparison, so that two
models are equal when they mean the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import Enum, StrEnum
from pathlib import Path
from typing import assert_never

from .counted import Counted
from .source import Source, Span

MM_PER_INCH = 25.4  # exact: international yard and pound agreement, 1 July 1959
BARE = "."  # the mark of bare fabric in a row

Point = tuple[float, float]


# --- fabric and thread -------------------------------------------------------------------------


@dataclass(frozen=True)
class Fabric:
    """A ground to stitch on.

    kind: `linen`, `evenweave`, `aida`, `canvas`, `blockweave` ...
    count_x, count_y: threads (or blocks) per inch across and down.
    over: how many threads one cross spans; 1 on block weaves.
    block: a block weave, whose blocks cannot be halved.
    """

    kind: str
    count_x: float
    count_y: float
    over: int = 1
    block: bool = False
    span: Span | None = field(default=None, compare=False, repr=False)

    @property
    def per_inch_x(self) -> float:
        """Crosses per inch across."""
        return self.count_x / self.over

    @property
    def per_inch_y(self) -> float:
        """Crosses per inch down."""
        return self.count_y / self.over

    @property
    def cross_width(self) -> float:
        """Width of one cross in mm."""
        return MM_PER_INCH / self.per_inch_x

    @property
    def cross_height(self) -> float:
        """Height of one cross in mm."""
        return MM_PER_INCH / self.per_inch_y


@dataclass(frozen=True)
class Ground:
    """The fabric of the model, its colour, the bare margin to leave, and the other fabrics."""

    fabric: Fabric
    colour: str = "#f1ebdd"  # sRGB
    colour_name: str = ""
    margin: float = 3 * MM_PER_INCH  # mm on each side
    also: tuple[Fabric, ...] = ()
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Thread:
    """One colour of one thread range, and how it is put up for sale."""

    range: str  # empty for a colour given inline
    code: str  # empty for a colour given inline
    name: str
    colour: str  # sRGB as #rrggbb, lower case
    metres: float = 8.0  # length of one put-up
    strands: int = 6  # strands that it divides into
    put_up: str = "skein"
    span: Span | None = field(default=None, compare=False, repr=False)

    @property
    def label(self) -> str:
        """The thread as a person would ask for it: `estuary 417`, or the name alone."""
        return f"{self.range} {self.code}" if self.code else self.name


class Lies(Enum):
    """What a stitch lies on: fills a cell, follows a line, or stands in a hole."""

    CELL = "cell"
    LINE = "line"
    POINT = "point"


class Kind(StrEnum):
    """Kinds of stitch; all else that is known of them stands in `stitches/kinds.py`."""

    FULL = "full"
    HALF = "half"
    QUARTER = "quarter"
    THREE_QUARTER = "three-quarter"
    UPRIGHT = "upright"
    BACK = "back"
    STRAIGHT = "straight"
    KNOT = "knot"
    BEAD = "bead"
    COUNTED = "counted"  # of its own threads, see `Part.stitch`
    LINED = "lined"  # the same along a line
    WOUND = "wound"  # the same in a hole

    @property
    def lies(self) -> Lies:
        """What it lies on."""
        match self:
            case Kind.FULL | Kind.HALF | Kind.QUARTER | Kind.THREE_QUARTER | Kind.UPRIGHT:
                return Lies.CELL
            case Kind.COUNTED:
                return Lies.CELL
            case Kind.BACK | Kind.STRAIGHT | Kind.LINED:
                return Lies.LINE
            case Kind.KNOT | Kind.BEAD | Kind.WOUND:
                return Lies.POINT
            case _:
                assert_never(self)


class Way(StrEnum):
    """Which way a part stitch lies.

    A half cross goes up (bottom left to top right, `/`) or down (top left to bottom
    right). A quarter runs from the named corner to the middle; a three-quarter is that
    quarter and the whole half cross that runs across its corner.
    """

    UP = "up"
    DOWN = "down"
    TOP_LEFT = "top-left"
    TOP_RIGHT = "top-right"
    BOTTOM_LEFT = "bottom-left"
    BOTTOM_RIGHT = "bottom-right"


@dataclass(frozen=True)
class Strands:
    """One thread in the needle and how many strands of it."""

    thread: Thread
    strands: int


@dataclass(frozen=True)
class Part:
    """One stitch of a key line: its kind, which way it lies, and what is in the needle.

    needle holds one entry, or several for a blend worked together. stitch: that is worked where
    the kind is one of counted strokes. second: only those of its second thread.
    """

    kind: Kind
    needle: tuple[Strands, ...]
    way: Way | None = None
    stitch: Counted | None = None
    second: bool = False
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class KeyEntry:
    """One line of the key: the symbol of a cell, or the word for a line, knot or bead."""

    symbol: str  # one character for a cell, a word for anything else
    parts: tuple[Part, ...]
    note: str = ""
    printed: str = ""  # the printed symbol wished for, by name
    span: Span | None = field(default=None, compare=False, repr=False)

    @property
    def is_cell(self) -> bool:
        """Whether the entry fills cells (as against lines, knots and beads)."""
        return self.parts[0].kind.lies is Lies.CELL

    @property
    def counted(self) -> Counted | None:
        """The counted stitch that its sign stands for; it takes threads of its own."""
        return self.parts[0].stitch if self.is_cell else None

    @property
    def is_line(self) -> bool:
        """Whether the entry is a back stitch or straight stitch."""
        return self.parts[0].kind.lies is Lies.LINE

    @property
    def is_wide(self) -> bool:
        """Whether the key draws it wider than a cell: a line, or a counted stitch by its sign."""
        return self.is_line or self.counted is not None

    @property
    def is_point(self) -> bool:
        """Whether the entry is a knot or bead."""
        return self.parts[0].kind.lies is Lies.POINT


class Method(StrEnum):
    """How crosses are worked."""

    ROWS = "rows"  # half crosses there, the upper legs back
    EACH = "each"  # each cross finished before the next


@dataclass(frozen=True)
class Working:
    """How the thread estimate works; all lengths in mm, reserve as a share of the thread used.

    tail: two inches to hold at the start and three to end with, for the needle must still pass
    under stitches: five inches for both ends, rounded up. So a needleful of 18 in at 14 crosses
    per inch works 36 or 37 crosses (a designer's published rule, common practice, says 36).
    """

    needleful: float = 457.2  # 18 in, common practice
    tail: float = 65.0  # at each end of a needleful
    carry: float = 12.0  # longest carry on the back before a new start
    method: Method = Method.ROWS
    reserve: float = 0.10
    span: Span | None = field(default=None, compare=False, repr=False)


# --- shapes to place ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Line:
    """A run of back stitch or a straight stitch through grid points."""

    symbol: str
    points: tuple[Point, ...]
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Knot:
    """Knots or beads of one key line."""

    symbol: str
    points: tuple[Point, ...]
    span: Span | None = field(default=None, compare=False, repr=False)


class Symmetry(StrEnum):
    """A stated symmetry of stitches."""

    LEFT_RIGHT = "left-right"
    TOP_BOTTOM = "top-bottom"
    BOTH = "both"
    HALF_TURN = "half-turn"
    QUARTER_TURN = "quarter-turn"


@dataclass(frozen=True)
class Motif:
    """A small grid to place, with its own lines and knots.

    rows: one string each, one character a cell, `.` bare; all of `width` characters.
    over: fabric threads that one of its crosses spans, None for the chart's own.
    strands: in the needle for its crosses where they go over so many threads, None for the key's.
    row_spans: the place of the characters between the bars of each row.
    """

    name: str
    width: int
    height: int
    rows: tuple[str, ...]
    lines: tuple[Line, ...] = ()
    knots: tuple[Knot, ...] = ()
    over: int | None = None
    strands: int | None = None
    symmetry: Symmetry | None = None
    row_spans: tuple[Span, ...] = field(default=(), compare=False, repr=False)
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Letter:
    """One letter of an alphabet."""

    character: str
    rows: tuple[str, ...]
    row_spans: tuple[Span, ...] = field(default=(), compare=False, repr=False)
    span: Span | None = field(default=None, compare=False, repr=False)

    @property
    def width(self) -> int:
        """Width in crosses."""
        return len(self.rows[0])


@dataclass(frozen=True)
class Alphabet:
    """Letters of one height."""

    name: str
    height: int
    letters: Mapping[str, Letter]
    spacing: int = 1  # bare columns between letters
    word: int = 3  # width of a word space
    span: Span | None = field(default=None, compare=False, repr=False)


# --- placing -----------------------------------------------------------------------------------


class Anchor(StrEnum):
    """Which point of the thing placed stands at the stated position."""

    TOP_LEFT = "top-left"
    TOP_RIGHT = "top-right"
    BOTTOM_LEFT = "bottom-left"
    BOTTOM_RIGHT = "bottom-right"
    CENTRE = "centre"

    @property
    def share(self) -> Point:
        """Where the point lies, in shares of width and height from the top left corner."""
        match self:
            case Anchor.TOP_LEFT:
                return 0.0, 0.0
            case Anchor.TOP_RIGHT:
                return 1.0, 0.0
            case Anchor.BOTTOM_LEFT:
                return 0.0, 1.0
            case Anchor.BOTTOM_RIGHT:
                return 1.0, 1.0
            case Anchor.CENTRE:
                return 0.5, 0.5
            case _:
                assert_never(self)


class Mirror(StrEnum):
    """Mirrored left to right, top to bottom, or both."""

    LEFT_RIGHT = "left-right"
    TOP_BOTTOM = "top-bottom"
    BOTH = "both"


class Cover(Enum):
    """What a placement may do to what lies below.

    NOTHING: any stitch on a stitch is reported. REPLACING: its stitches take the place of
    those below. CLEARING: its whole rectangle is emptied first.
    """

    NOTHING = "nothing"
    REPLACING = "replacing"
    CLEARING = "clearing"

    @property
    def replaces(self) -> bool:
        """Whether stitches take the place of those below."""
        match self:
            case Cover.REPLACING:
                return True
            case Cover.NOTHING | Cover.CLEARING:
                return False
            case _:
                assert_never(self)

    @property
    def clears(self) -> bool:
        """Whether the whole rectangle is emptied first, so that nothing lies below."""
        match self:
            case Cover.CLEARING:
                return True
            case Cover.NOTHING | Cover.REPLACING:
                return False
            case _:
                assert_never(self)


Swap = tuple[tuple[str, str], ...]  # (symbol in the motif, symbol to stitch instead)


@dataclass(frozen=True)
class Placement:
    """A motif placed once, or repeated.

    mirror is applied first, then `turns` quarter turns clockwise. across and down count the
    repeats; step is the distance from one to the next across and down. strands: in the needle for
    its crosses, None for those of the motif or of the key.
    """

    motif: str
    x: float
    y: float
    anchor: Anchor = Anchor.TOP_LEFT
    mirror: Mirror | None = None
    turns: int = 0
    across: int = 1
    down: int = 1
    step: Point = (0.0, 0.0)
    over: int | None = None
    strands: int | None = None
    cover: Cover = Cover.NOTHING
    swap: Swap = ()
    span: Span | None = field(default=None, compare=False, repr=False)
    name_span: Span | None = field(default=None, compare=False, repr=False)
    at_span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Border:
    """A repeat and a corner run round the edge, inset from it.

    The repeat is drawn as it stands along the top; it is turned a quarter clockwise for each
    following side, or, when mirrored, the bottom is the top mirrored and the right the left.
    """

    repeat: str
    corner: str | None = None
    inset: int = 0
    mirrored: bool = False
    swap: Swap = ()
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Lettering:
    """Lines of text set in an alphabet."""

    lines: tuple[str, ...]
    alphabet: str
    x: float
    y: float
    centred: bool = False  # x is then the middle of every line
    spacing: int | None = None
    word: int | None = None
    leading: int = 2  # bare rows between lines
    over: int | None = None
    strands: int | None = None
    cover: Cover = Cover.NOTHING
    swap: Swap = ()
    changeable: str = ""  # the name by which a personal copy replaces it
    span: Span | None = field(default=None, compare=False, repr=False)
    line_spans: tuple[Span, ...] = field(default=(), compare=False, repr=False)
    alphabet_span: Span | None = field(default=None, compare=False, repr=False)


Item = Placement | Border | Lettering | Line | Knot


@dataclass(frozen=True)
class Chart:
    """The chart block: its size, an optional whole-chart grid, and what is placed, in order."""

    width: int
    height: int
    rows: tuple[str, ...] = ()
    items: tuple[Item, ...] = ()
    symmetry: Symmetry | None = None
    row_spans: tuple[Span, ...] = field(default=(), compare=False, repr=False)
    span: Span | None = field(default=None, compare=False, repr=False)


# --- words around the chart --------------------------------------------------------------------


class NoteKind(StrEnum):
    """A stitching note, or how sure the chart is of an area of the original."""

    NOTE = "note"
    DEPARTURE = "departure"
    INFERRED = "inferred"
    KEPT = "kept"


@dataclass(frozen=True)
class Note:
    """A text tied to a point (then both corners are equal) or to an area."""

    kind: NoteKind
    x0: float
    y0: float
    x1: float
    y1: float
    text: str
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class ThreadChange:
    """New needles for the parts of one key line, in order."""

    symbol: str
    needles: tuple[tuple[Strands, ...], ...]
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Colourway:
    """A named set of thread changes."""

    name: str
    title: str
    changes: tuple[ThreadChange, ...]
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Revision:
    """What changed in one edition."""

    edition: str
    day: date | None
    text: str
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Expectation:
    """A stated count of crosses of one symbol, in an area (x0, y0, x1, y1) or the whole chart."""

    symbol: str
    count: int
    area: tuple[float, float, float, float] | None = None
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Markdown:
    """A Markdown file beside the chart, under a heading."""

    heading: str  # empty for the story
    path: str
    text: str
    source: Source | None = field(default=None, compare=False, repr=False)
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Picture:
    """A picture file beside the chart."""

    path: str
    caption: str = ""
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Booklet:
    """What the booklet says besides the chart."""

    title: str
    subtitle: str = ""
    designer: str = ""
    edition: str = ""
    day: date | None = None
    language: str = "en-GB"
    story: Markdown | None = None
    cover: Picture | None = None
    pictures: tuple[Picture, ...] = ()
    rights: str = ""
    thanks: str = ""
    original: tuple[tuple[str, str], ...] = ()  # (what, text): place, date, size, materials, keeper
    needs: tuple[str, ...] = ()  # other things to have at hand
    sections: tuple[Markdown, ...] = ()
    span: Span | None = field(default=None, compare=False, repr=False)
    edition_span: Span | None = field(default=None, compare=False, repr=False)
    language_span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Design:
    """A whole source, read and resolved: everything that the later stages need.

    key: entries in source order; index `i` in a worked grid means key[i - 1].
    folder: the folder of the chart; no file outside it is opened.
    in_colourway: the colourway that the key now shows, None for the chart's own threads.
    personal: what was replaced for a personal copy: (name, text), lines of one text parted by a
    line end; empty for the chart as published.
    """

    source: Source
    folder: Path
    version: int
    booklet: Booklet
    ground: Ground
    threads: tuple[Thread, ...]
    key: tuple[KeyEntry, ...]
    motifs: Mapping[str, Motif]
    alphabets: Mapping[str, Alphabet]
    chart: Chart
    notes: tuple[Note, ...] = ()
    colourways: tuple[Colourway, ...] = ()
    revisions: tuple[Revision, ...] = ()
    expectations: tuple[Expectation, ...] = ()
    working: Working = Working()
    in_colourway: Colourway | None = None
    personal: tuple[tuple[str, str], ...] = ()
