"""The chart as it was meant: what a source says, before anything is placed.

Positions are `x, y` in crosses from the top left corner, on grid lines. The
model knows nothing of drawing. Spans never take part in comparison, so that two
models are equal when they mean the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import Enum, StrEnum
from pathlib import Path
from typing import assert_never

from .key import Colourway, KeyEntry, Thread
from .matter import Booklet, Expectation, Note, Revision, Showing
from .places import Half, Thing
from .source import Source, Span

MM_PER_INCH = 25.4  # exact: international yard and pound agreement, 1 July 1959
BARE = "."  # the mark of bare fabric in a row

Point = tuple[float, float]
Box = tuple[float, float, float, float]  # x0, y0, x1, y1


@dataclass(frozen=True)
class Fabric:
    """A ground to stitch on.

    kind: `linen`, `evenweave`, `aida`, `canvas`, `blockweave` ...
    count_x, count_y: threads (or blocks) per inch across and down.
    over: how many threads one cross spans; 1 on block weaves.
    block: a block weave, whose blocks cannot be halved.
    per_cm: whether the count was stated by the centimetre, by which it is then called.
    """

    kind: str
    count_x: float
    count_y: float
    over: int = 1
    block: bool = False
    span: Span | None = field(default=None, compare=False, repr=False)
    per_cm: bool = False

    @property
    def stated(self) -> tuple[float, ...]:
        """The count as it was stated: one figure, or those across and down."""
        unit = MM_PER_INCH / 10 if self.per_cm else 1.0
        # Undone, the change to inches is off by what a computer rounds.
        counts = round(self.count_x / unit, 9), round(self.count_y / unit, 9)
        return counts[:1] if self.count_x == self.count_y else counts

    @property
    def written(self) -> str:
        """The fabric as the notation writes it: `linen 32 over 2`, `linen 12 per cm over 2`."""
        counts = " x ".join(f"{count:g}" for count in self.stated)
        unit = " per cm" if self.per_cm else ""
        over = "" if self.block and self.over == 1 else f" over {self.over}"
        return f"{self.kind} {counts}{unit}{over}"

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
    carry: float = 12.0  # so far a thread is always carried behind stitches
    slip: float = 60.0  # farther than that it is never slipped under them
    bare: float = 8.0  # crosses; so far it is always carried behind bare cloth
    method: Method = Method.ROWS
    reserve: float = 0.10
    loose: float = 12.0  # longest thread that may lie loose; common practice
    span: Span | None = field(default=None, compare=False, repr=False)
    own: tuple[ThreadWorking, ...] = ()  # of threads that are worked in another way

    @property
    def otherwise(self) -> tuple[ThreadWorking, ...]:
        """The threads whose way differs in more than what the key says anyway."""
        unsaid = None, None, None
        return tuple(way for way in self.own if (way.needleful, way.tail, way.method) != unsaid)

    def of(self, threads: Iterable[Thread]) -> Working:
        """Return how a needle with these threads is worked.

        Where several have ways of their own, the shortest needleful and the longest tail count,
        and each cross is finished as soon as one of them asks for it.
        """
        if not self.own:
            return self
        named = {thread.named for thread in threads}
        own = [way for way in self.own if way.thread.named in named]
        methods = [way.method for way in own if way.method is not None]
        return replace(
            self,
            needleful=min((way.needleful for way in own if way.needleful), default=self.needleful),
            tail=max((way.tail for way in own if way.tail is not None), default=self.tail),
            method=max(methods, key=list(Method).index, default=self.method),
        )


@dataclass(frozen=True)
class ThreadWorking:
    """How one thread is worked: lengths in mm; what is None is as for all others.

    strands: of its key lines that state none.
    """

    thread: Thread
    needleful: float | None = None
    tail: float | None = None
    method: Method | None = None
    strands: int | None = None
    span: Span | None = field(default=None, compare=False, repr=False)


class Orientation(StrEnum):
    """Which way a page lies."""

    PORTRAIT = "portrait"
    LANDSCAPE = "landscape"


class Axis(StrEnum):
    """What a page of the chart begins with."""

    ROW = "row"
    COLUMN = "column"


@dataclass(frozen=True)
class Break:
    """Where a page of the chart begins: at this row or column, counted from 1 as in print."""

    axis: Axis
    before: int
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Paging:
    """What is said of the pages of the chart; None and empty: what fits best.

    overlap: rows and columns that a page shows of each neighbour.
    """

    orientation: Orientation | None = None
    overlap: int | None = None
    breaks: tuple[Break, ...] = ()


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


class Threads(StrEnum):
    """Threads of the fabric by the way they run: those of rows level, those of columns upright."""

    ROWS = "rows"
    COLUMNS = "columns"


@dataclass(frozen=True)
class Withdrawal:
    """Threads to be withdrawn from the fabric, from corner to corner, in crosses."""

    threads: Threads
    x0: float
    y0: float
    x1: float
    y1: float
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Chart:
    """The chart block: its size, an optional whole-chart grid, and what is placed, in order.

    width, height: 0 where they follow from what the chart holds and are not reckoned out. things:
    what the lines of the chart place, in order; with those that hang on others the positions of
    the items count from those, until they are reckoned out.
    """

    width: int
    height: int
    rows: tuple[str, ...] = ()
    items: tuple[Item, ...] = ()
    symmetry: Symmetry | None = None
    row_spans: tuple[Span, ...] = field(default=(), compare=False, repr=False)
    span: Span | None = field(default=None, compare=False, repr=False)
    withdrawals: tuple[Withdrawal, ...] = ()
    things: tuple[Thing, ...] = field(default=(), compare=False)
    called: str = "the chart"  # or a motif that is put together like a chart


@dataclass(frozen=True)
class Design:
    """A whole source, read and resolved: everything that the later stages need.

    key: entries in source order; index `i` in a worked grid means key[i - 1].
    folder: the folder of the chart; no file outside it is opened.
    in_colourway: the colourway that the key now shows, None for the chart's own threads.
    own_key: then the key with those, which decide on the printed symbols; empty otherwise.
    personal: what was replaced for a personal copy: (name, text), lines of one text parted by a
    line end; empty for the chart as published. stock: what it uses of the stock, and in which
    versions.
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
    showings: tuple[Showing, ...] = ()
    in_colourway: Colourway | None = None
    own_key: tuple[KeyEntry, ...] = ()
    personal: tuple[tuple[str, str], ...] = ()
    stock: tuple[tuple[str, int], ...] = ()
    paging: Paging = Paging()
