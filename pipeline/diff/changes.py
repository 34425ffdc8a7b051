"""What can differ between two charts: one type of change for each way; words are made later.

Boxes and positions are on grid lines, of the new chart unless it says otherwise. Key indices
count from 1, 0 is bare fabric; `old` ones are of the old key, `new` ones of the new key.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import Gap, WorkedChart
from ..core.items import Box, Point
from ..core.key import Thread
from ..core.saying import to_say
from .canvas import Offset
from .facts import Told
from .keys import KeyPairs
from .sewn import Sewn

CellArray = NDArray[np.int64]  # (many, 2): x, y


# --- what changes are made of --------------------------------------------------------------------


@dataclass(frozen=True)
class Stitches:
    """So many cells that held one thing and now hold another; 0 is bare fabric."""

    old: int
    new: int
    number: int


@dataclass(frozen=True)
class Spot:
    """Where one thing was on the old chart and is on the new one; None where it was not or is not.

    cells: how many of its cells differ at either place. free: whether nothing else of the new
    chart is stitched where it was.
    """

    old: Box | None
    new: Box | None
    cells: int = 0
    free: bool = True


class Sort(StrEnum):
    """What a thing placed is to the person who charted it."""

    MOTIF = "motif"
    TEXT = "text"
    GRID = "grid"


class TurnWords(StrEnum):
    """How a thing stands otherwise than it stood, in words."""

    NOT = ""
    LEFT_RIGHT = to_say("mirrored left to right")
    TOP_BOTTOM = to_say("mirrored top to bottom")
    UPSIDE_DOWN = to_say("turned upside down")
    TO_THE_RIGHT = to_say("turned a quarter to the right")
    TO_THE_LEFT = to_say("turned a quarter to the left")
    AND_MIRRORED = to_say("turned a quarter and mirrored")
    FINER = to_say("now over %(over)s")


# --- the changes ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Shifted:
    """The whole chart stands elsewhere on its grid: columns to the right and rows down."""

    by: Offset


@dataclass(frozen=True)
class Strip:
    """Rows or columns along an edge that only one of the charts has, with something stitched.

    box: of the new chart, or of the old one if `lost`. number: the crosses in it.
    """

    box: tuple[int, int, int, int]
    number: int
    lost: bool


@dataclass(frozen=True, eq=False)
class Area:
    """Changed cells that lie together: a change by itself, or where another one shows.

    box: round them. stitches: what changed, most first. cells: their columns and rows from 0.
    """

    box: tuple[int, int, int, int]
    stitches: tuple[Stitches, ...]
    cells: CellArray

    @property
    def number(self) -> int:
        """How many cells changed."""
        return len(self.cells)


@dataclass(frozen=True)
class Moved:
    """Things of one name that moved together.

    by: columns to the right and rows down. name is empty for what has none: an area of a chart
    that is one grid. over: threads of the fabric that a cross of it spans now. lines_only:
    whether it is drawn in lines and knots alone.
    """

    sort: Sort
    name: str
    by: Point
    turn: TurnWords
    over: int
    spots: tuple[Spot, ...]
    lines_only: bool = False


@dataclass(frozen=True)
class Inserted:
    """Rows that came in, so that all below moved down; or went out, and all below moved up.

    row: of the new chart, above which they came in or were, counted from 0. by: how far what is
    below moved, beyond what moved already. number: how many things that is. moved: how it is told
    of those that moved.
    """

    row: int
    by: float
    number: int
    moved: tuple[Moved, ...] = field(default=(), repr=False)


@dataclass(frozen=True)
class Added:
    """Things of one name that are new.

    stitches: what all of them together stitch, by key index of their own chart.
    """

    sort: Sort
    name: str
    spots: tuple[Spot, ...]
    stitches: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Removed:
    """Things of one name that are no longer there; see `Added`."""

    sort: Sort
    name: str
    spots: tuple[Spot, ...]
    stitches: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Turned:
    """Things of one name that stand where they stood, but turned, or in other stitches."""

    name: str
    turn: TurnWords
    over: int
    spots: tuple[Spot, ...]
    areas: tuple[Area, ...]


@dataclass(frozen=True)
class Reworded:
    """A text that reads otherwise, or is set in other letters when both texts are the same."""

    old: str
    new: str
    spot: Spot
    areas: tuple[Area, ...]


@dataclass(frozen=True)
class Stretch:
    """Back stitch or straight stitch along points: 0 where it was not, or is no longer."""

    old: int
    new: int
    points: tuple[Point, ...]


@dataclass(frozen=True)
class Dotted:
    """Knots or beads at points: 0 where they were not, or are no longer."""

    old: int
    new: int
    points: tuple[Point, ...]


@dataclass(frozen=True)
class Strayed:
    """One knot or bead that stands elsewhere."""

    old: int
    new: int
    was: Point
    now: Point


@dataclass(frozen=True)
class Resewn:
    """Counted stitches near each other: 0 where they were not, or are no longer.

    boxes: what each takes.
    """

    old: int
    new: int
    boxes: tuple[Box, ...]


Drawn = Stretch | Dotted | Strayed | Resewn


@dataclass(frozen=True, eq=False)
class Redrawn:
    """A motif whose drawing changed: once, however often it is placed.

    areas, drawn: in the motif's own measure. resized: its size before and after, if it changed.
    spots: its copies. places: where on the new chart cells differ for it.
    """

    name: str
    areas: tuple[Area, ...]
    drawn: tuple[Drawn, ...]
    resized: tuple[tuple[int, int], tuple[int, int]] | None
    spots: tuple[Spot, ...] = ()
    places: tuple[Area, ...] = ()

    @property
    def resewn(self) -> tuple[int, int]:
        """How many counted stitches one copy has lost, and how many it has gained."""
        drawn = [each for each in self.drawn if isinstance(each, Resewn)]
        gone = sum(len(each.boxes) for each in drawn if each.old)
        return gone, sum(len(each.boxes) for each in drawn if each.new)


@dataclass(frozen=True, eq=False)
class Patched:
    """A piece off the grid some of whose cells differ; areas are in its own crosses."""

    name: str
    x: float
    y: float
    cell: float
    areas: tuple[Area, ...]


@dataclass(frozen=True)
class KeyChange:
    """A line of the key: 0 where it is new, or no longer there.

    what: `symbol`, `stitch`, `name`, `note`, `printed`; empty for a line that came or went.
    number: how many stitches of the new chart are worked by it, of the old one where it is gone.
    """

    old: int
    new: int
    what: tuple[str, ...]
    number: int

    @property
    def other_stitches(self) -> bool:
        """Whether the line came, went, or is worked otherwise, and anything is worked by it."""
        return bool(self.number) and (not self.what or "stitch" in self.what)


@dataclass(frozen=True)
class Tally:
    """One thread before and after, None where it is not used; bead: of one colour of beads.

    stitches: how many. skeins: put-ups used. buy: whole ones to buy. These two are None where the
    thread was not reckoned, or is a bead.
    """

    old: Thread | None
    new: Thread | None
    stitches: tuple[int, int]
    skeins: tuple[float, float] | None
    buy: tuple[int, int] | None
    bead: bool = False

    @property
    def thread(self) -> Thread:
        """The thread as it is now, or was last."""
        thread = self.new or self.old
        assert thread is not None
        return thread

    @property
    def bought(self) -> tuple[int, int] | None:
        """Beads, or whole put-ups to buy, before and after; None where they were not reckoned."""
        return self.stitches if self.bead else self.buy


@dataclass(frozen=True)
class Renamed:
    """A motif that has another name and is otherwise the same: nothing that a stitcher sees."""

    old: str
    new: str


@dataclass(frozen=True)
class Restranded:
    """Things of one name, over fewer threads, that are worked with another number of strands.

    old, new: how many are in the needle, None for those of the key.
    """

    sort: Sort
    name: str
    old: int | None
    new: int | None
    spots: tuple[Spot, ...]


Change = (
    Shifted
    | Strip
    | Area
    | Moved
    | Inserted
    | Redrawn
    | Turned
    | Added
    | Removed
    | Reworded
    | Patched
    | Restranded
    | Drawn
    | KeyChange
    | Tally
    | Told
    | Renamed
)
_Kind = TypeVar("_Kind", bound=Change)


GapsApart = tuple[tuple[Gap, ...], tuple[Gap, ...]]


@dataclass(frozen=True, eq=False)
class Changes:
    """Everything that differs between two charts.

    shift: how far the whole old chart lies on the new one. cells: columns and rows, on the new
    chart, of all cells of its grid that differ, whatever explains them; `stitches` are those
    cells by what they held. sewn: the counted stitches of each chart that the other has not,
    whatever explains them, on the new chart. gaps: where threads are withdrawn on each chart and
    not on the other, each on its own chart. every: the changes, each told once, those of one kind
    together.
    """

    old: WorkedChart
    new: WorkedChart
    pairs: KeyPairs
    shift: Offset
    cells: CellArray
    stitches: tuple[Stitches, ...]
    sewn: tuple[Sewn, Sewn]
    gaps: GapsApart
    every: tuple[Change, ...]

    def __bool__(self) -> bool:
        """Tell whether anything differs that a stitcher or a reader of the booklet could see."""
        return any(not isinstance(change, Renamed) for change in self.every)

    def of(self, kind: type[_Kind]) -> tuple[_Kind, ...]:
        """Return the changes of one kind."""
        return tuple(change for change in self.every if isinstance(change, kind))

    def stitched_before(self, box: Box | None) -> int:
        """Return how many of the changed cells in a box were stitched on the old chart."""
        if box is None:
            return 0
        x, y = self.cells.T
        inside = (x >= box[0]) & (y >= box[1]) & (x < box[2]) & (y < box[3])
        x, y = x[inside] - self.shift[0], y[inside] - self.shift[1]
        there = (x >= 0) & (y >= 0) & (x < self.old.width) & (y < self.old.height)
        return int(np.count_nonzero(self.old.grid[y[there], x[there]]))
