"""What a chart places, as it was meant: shapes, motifs, letters, and where they go.

Positions are `x, y` in crosses from the top left corner, on grid lines. Spans never take part in
comparison, so that two of these are equal when they mean the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum, StrEnum
from typing import assert_never

from .places import Half, Thing
from .source import Span

BARE = "."  # the mark of bare fabric in a row

Point = tuple[float, float]
Box = tuple[float, float, float, float]  # x0, y0, x1, y1


# --- shapes to place ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Line:
    """A run of back stitch or a straight stitch through grid points."""

    symbol: str
    points: tuple[Point, ...]
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Knot:
    """Knots or beads of one key line; word: which of the two they are called where they stand."""

    symbol: str
    points: tuple[Point, ...]
    span: Span | None = field(default=None, compare=False, repr=False)
    word: str = field(default="knot", compare=False)


Drawn = tuple[Line | Knot, ...]


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

    rows: one string each, one character a cell, `.` bare; all of `width` characters. items: what a
    motif places that is put together from others, things: as its lines say it, both as in a chart;
    its lines and knots are among them. Its rows are those it draws itself, and once it is put
    together those of the whole.
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
    items: tuple[Item, ...] = ()
    things: tuple[Thing, ...] = field(default=(), compare=False)

    @property
    def is_put_together(self) -> bool:
        """Whether it places anything, as a chart does."""
        return bool(self.things)

    @property
    def drawn(self) -> Drawn:
        """Its lines and knots."""
        return *self.lines, *self.knots


@dataclass(frozen=True)
class Letter:
    """One letter of an alphabet, with its own lines and knots; rows as those of a motif."""

    character: str
    rows: tuple[str, ...]
    row_spans: tuple[Span, ...] = field(default=(), compare=False, repr=False)
    span: Span | None = field(default=None, compare=False, repr=False)
    lines: tuple[Line, ...] = ()
    knots: tuple[Knot, ...] = ()

    @property
    def width(self) -> int:
        """Width in crosses."""
        return len(self.rows[0])

    @property
    def drawn(self) -> Drawn:
        """Its lines and knots."""
        return *self.lines, *self.knots


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
    its crosses, None for those of the motif or of the key. part: the columns and rows of it that
    are placed, from (x0, y0) up to (x1, y1) as it lies; None for all.
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
    part: tuple[int, int, int, int] | None = None
    span: Span | None = field(default=None, compare=False, repr=False)
    name_span: Span | None = field(default=None, compare=False, repr=False)
    at_span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Border:
    """A repeat and a corner run round the edge, inset from it.

    The repeat is drawn as it stands along the top; it is turned a quarter clockwise for each
    following side, or, when mirrored, the bottom is the top mirrored and the right the left.
    box: what it runs round the inside of, None for the chart. centre: a motif in the middle of each
    side. join: one at the end of each side that the repeat does not fill. from_middle: each side is
    mirrored from its middle, and cut at the corners. gap: bare crosses between it and what it runs
    round, None where it runs along the inside of something.
    """

    repeat: str
    corner: str | None = None
    inset: int = 0
    mirrored: bool = False
    swap: Swap = ()
    span: Span | None = field(default=None, compare=False, repr=False)
    box: Box | None = None
    centre: str | None = None
    join: str | None = None
    from_middle: bool = False
    gap: int | None = None

    @property
    def motifs(self) -> tuple[str, ...]:
        """The names of all motifs that it is made of."""
        names = (self.repeat, self.corner, self.centre, self.join)
        return tuple(name for name in names if name is not None)


class Taking(StrEnum):
    """What of a text takes turns."""

    LETTERS = "letters"
    WORDS = "words"
    LINES = "lines"


@dataclass(frozen=True)
class Turns:
    """Symbols that letters, words or lines are stitched in by turns.

    swaps: for each symbol of the alphabets those that take its place, one after another.
    """

    taking: Taking
    swaps: tuple[tuple[str, tuple[str, ...]], ...]

    def at(self, number: int) -> Swap:
        """Return what is swapped in the letter, word or line of that number, from 0."""
        return tuple((old, news[number % len(news)]) for old, news in self.swaps)

    @property
    def each(self) -> Swap:
        """All pairs of symbols."""
        return tuple((old, new) for old, news in self.swaps for new in news)


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
    right: bool = False  # x is then the end of every line
    half: Half = Half.UNSAID  # of lines whose middle falls inside a cross
    others: tuple[str, ...] = ()  # alphabets of what the first does not hold, the likeliest first
    spread: int | None = None  # columns over which every line is spread
    turns: Turns | None = None

    @property
    def alphabets(self) -> tuple[str, ...]:
        """The alphabets that it is set in, by name, the likeliest first."""
        return self.alphabet, *self.others


Item = Placement | Border | Lettering | Line | Knot
