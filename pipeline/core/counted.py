"""A stitch as data: what the needle does between counted threads, and what it occupies.

Places are in threads of the fabric from the top left corner of one repeat, x right and y down.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from .source import Span

Point = tuple[float, float]


@dataclass(frozen=True)
class Stroke:
    """The needle comes up at a place, the thread lies on the front, and it goes down at another.

    up, down: of a kind that fills a cell in shares of the cell, along a line from its start (0) to
    its end (1); of a counted stitch in threads. layer: strokes of a higher layer lie on those of a
    lower one, over a whole piece. by: where a bow or a loop is held, or a laid thread goes along.
    """

    up: Point
    down: Point
    layer: int = 0
    by: tuple[Point, ...] = ()

    @property
    def way(self) -> tuple[Point, ...]:
        """All places that the thread goes through on the front."""
        return (self.up, *self.by, self.down)


class Stands(Enum):
    """Where a counted stitch lies, and so how signs and lines make repeats of it."""

    ALONE = "alone"  # each sign is one stitch
    ROWS = "rows"  # signs a step apart are one run, with a first and a last
    BARS = "bars"  # signs below each other are one, as long as they reach
    LINES = "lines"  # along the lines of a chart
    POINTS = "points"  # in a hole

    @property
    def alone(self) -> bool:
        """Whether each sign is one stitch, whatever stands beside it."""
        return _ALONE[self]

    @property
    def in_rows(self) -> bool:
        """Whether repeats are runs with a first and a last."""
        return _IN_ROWS[self]

    @property
    def in_bars(self) -> bool:
        """Whether signs below each other are one stitch."""
        return _IN_BARS[self]

    @property
    def on_lines(self) -> bool:
        """Whether it lies along lines."""
        return _ON_LINES[self]


_ALONE = {
    Stands.ALONE: True,
    Stands.ROWS: False,
    Stands.BARS: False,
    Stands.LINES: False,
    Stands.POINTS: False,
}
_IN_ROWS = {
    Stands.ALONE: False,
    Stands.ROWS: True,
    Stands.BARS: False,
    Stands.LINES: False,
    Stands.POINTS: False,
}
_IN_BARS = {
    Stands.ALONE: False,
    Stands.ROWS: False,
    Stands.BARS: True,
    Stands.LINES: False,
    Stands.POINTS: False,
}
_ON_LINES = {
    Stands.ALONE: False,
    Stands.ROWS: False,
    Stands.BARS: False,
    Stands.LINES: True,
    Stands.POINTS: False,
}


@dataclass(frozen=True)
class Counted:
    """A counted stitch.

    title: what it is called, empty where only its name is known. each: the strokes of one repeat;
    first: worked before the first of a run; last: after its last; turn: where a run turns back.
    second: strokes of another thread, over the first. over: what one repeat occupies, width and
    height; reach: how far its strokes may go. step: to the next repeat; row: to the next row.
    journeys: in which a run is worked, there and back. pulled: it draws the fabric together.
    keeps: mirroring and turning leave it as it is. laid: its thread lies along the whole of a
    line, and the second ties it. wraps: of a knot, or of a whole stitch of one along a line.
    built_in: of the shipped file. withdrawn: the box, x0, y0, x1, y1, in which threads are
    withdrawn; it ties those that are left. per_cross: it is stretched over its cell, or on lines
    over the length of a cross; per_stretch: over each stretch of a line.
    """

    name: str
    title: str
    each: tuple[Stroke, ...]
    over: tuple[int, int]
    reach: tuple[int, int]
    step: tuple[int, int]
    row: tuple[int, int]
    stands: Stands = Stands.ALONE
    first: tuple[Stroke, ...] = ()
    last: tuple[Stroke, ...] = ()
    turn: tuple[Stroke, ...] = ()
    second: tuple[Stroke, ...] = ()
    journeys: int = 1
    pulled: bool = False
    keeps: bool = False
    laid: bool = False
    wraps: int = 0
    built_in: bool = False
    withdrawn: tuple[float, float, float, float] | None = None
    per_cross: bool = False
    per_stretch: bool = False
    span: Span | None = field(default=None, compare=False, repr=False)

    @property
    def coiled(self) -> bool:
        """Whether it is a knot wound along a line, so that the thread lies round itself."""
        return bool(self.wraps) and self.stands.on_lines

    @property
    def called(self) -> str:
        """What it is called: its title, or its name where it has none."""
        return self.title or self.name
