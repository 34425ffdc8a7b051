"""What differs between two charts, as found; words for it are made later.

Boxes and positions are on grid lines, of the new chart unless it says otherwise. Key indices
count from 1, 0 is bare fabric; `old` ones are of the old key, `new` ones of the new key.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedChart
from ..core.model import Point, Thread
from .alignment import Offset
from .keypairs import KeyPairs
from .units import Box, Sort

Places = NDArray[np.int64]  # (many, 2): x, y


@dataclass(frozen=True)
class Stitches:
    """So many cells that held one thing and now hold another; 0 is bare fabric."""

    old: int
    new: int
    number: int


@dataclass(frozen=True, eq=False)
class Area:
    """Changed cells that lie together.

    box: round them. stitches: what changed, most first. cells: their columns and rows from 0.
    """

    box: tuple[int, int, int, int]
    stitches: tuple[Stitches, ...]
    cells: Places

    @property
    def number(self) -> int:
        """How many cells changed."""
        return len(self.cells)


@dataclass(frozen=True)
class Strip:
    """Rows or columns along an edge that only one of the charts has, with something stitched.

    box: of the new chart, or of the old one if `lost`. number: the crosses in it.
    """

    box: tuple[int, int, int, int]
    number: int
    lost: bool


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


@dataclass(frozen=True)
class Shifted:
    """Things of one name that moved together.

    by: columns to the right and rows down. turned: how they were turned, or empty. name is empty
    for what has none: an area of a chart that is one grid.
    """

    sort: Sort
    name: str
    by: Point
    turned: str
    spots: tuple[Spot, ...]


@dataclass(frozen=True)
class Arrived:
    """Things of one name that are new; `Gone` for those that are no longer there.

    stitches: what all of them together stitch, by key index of their own chart.
    """

    sort: Sort
    name: str
    spots: tuple[Spot, ...]
    stitches: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Gone(Arrived):
    """Things of one name that are no longer there."""


@dataclass(frozen=True)
class Turned:
    """Things of one name that stand where they stood, but otherwise: how, or empty for colours."""

    name: str
    how: str
    spots: tuple[Spot, ...]
    areas: tuple[Area, ...]


@dataclass(frozen=True)
class Reworded:
    """A text that reads otherwise, or is set in other letters when both texts are the same."""

    old: str
    new: str
    spot: Spot
    areas: tuple[Area, ...]


@dataclass(frozen=True, eq=False)
class Redrawn:
    """A motif whose drawing changed: once, however often it is placed.

    areas, strokes, points: in the motif's own measure. resized: its size before and after, if it
    changed. spots: its copies. places: where on the new chart cells differ for it.
    """

    name: str
    areas: tuple[Area, ...]
    strokes: tuple[Stretch, ...]
    points: tuple[Dotted, ...]
    resized: tuple[tuple[int, int], tuple[int, int]] | None
    spots: tuple[Spot, ...]
    places: tuple[Area, ...]


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

    what: `symbol`, `stitch`, `note`, `printed`; empty for a line that came or went. number: how
    many stitches of the new chart are worked by it, of the old one where it is gone.
    """

    old: int
    new: int
    what: tuple[str, ...]
    number: int


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


@dataclass(frozen=True)
class Worded:
    """Something in words or figures: what it is, before and after; empty where it was not there."""

    what: str
    old: str
    new: str


@dataclass(frozen=True, eq=False)
class Differences:
    """Everything that differs between two charts.

    shift: how far the whole old chart lies on the new one. changed: columns and rows, on the new
    chart, of all cells of its grid that differ, whatever explains them; `stitches` are those
    cells by what they held. areas: those that no motif, text or move explains, and that do not
    lie in strips along an edge that only one of the charts has.
    tallies: the threads that differ in stitches or skeins; skeins are None where the thread was
    not reckoned. facts: fabric, size and working. words: texts of the booklet and the notes.
    renamed: motifs that only have another name now.
    """

    old: WorkedChart
    new: WorkedChart
    pairs: KeyPairs
    shift: Offset
    changed: Places
    stitches: tuple[Stitches, ...]
    areas: tuple[Area, ...] = ()
    strips: tuple[Strip, ...] = ()
    moved: tuple[Shifted, ...] = ()
    arrived: tuple[Arrived, ...] = ()
    gone: tuple[Gone, ...] = ()
    turned: tuple[Turned, ...] = ()
    reworded: tuple[Reworded, ...] = ()
    redrawn: tuple[Redrawn, ...] = ()
    patched: tuple[Patched, ...] = ()
    strokes: tuple[Stretch, ...] = ()
    points: tuple[Dotted, ...] = ()
    key: tuple[KeyChange, ...] = ()
    tallies: tuple[Tally, ...] = ()
    facts: tuple[Worded, ...] = ()
    words: tuple[Worded, ...] = ()
    renamed: Mapping[str, str] = field(default_factory=dict)

    def __bool__(self) -> bool:
        """Tell whether anything differs that a stitcher or a reader of the booklet could see."""
        return self.shift != (0, 0) or any(
            len(each)
            for each in (
                self.changed,
                self.moved,
                self.arrived,
                self.gone,
                self.turned,
                self.reworded,
                self.redrawn,
                self.patched,
                self.strokes,
                self.points,
                self.key,
                self.tallies,
                self.facts,
                self.words,
            )
        )
