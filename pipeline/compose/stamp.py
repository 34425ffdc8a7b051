"""A thing made ready to lay: its cells, lines and knots, its counted stitches."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ..core import key
from ..core.counted import Counted
from ..core.items import Drawn, Motif
from ..core.source import Span
from ..stitches.counted import bar, for_cross, turned
from ..stitches.turn import Turn
from .worked import IndexGrid


@dataclass(frozen=True, eq=False)
class StampLine:
    """A line in crosses of its own stamp, points (n, 2).

    scale: the side of a cross where it lies, in crosses of the stamp.
    """

    index: int
    points: NDArray[np.float64]
    span: Span | None
    scale: float = 1.0


@dataclass(frozen=True, eq=False)
class StampKnot:
    """A knot or bead in crosses of its own stamp."""

    index: int
    x: float
    y: float
    span: Span | None


@dataclass(frozen=True, eq=False)
class Signs:
    """The signs of one counted stitch in a grid.

    stitch: as it is drawn. columns, rows: of the signs, before the turn. size: of the grid, in
    columns and rows.
    """

    index: int
    stitch: Counted
    columns: NDArray[np.int64]
    rows: NDArray[np.int64]
    size: tuple[int, int]
    turn: Turn
    strands: int | None = None

    def standing(self, cell: int) -> Iterator[tuple[Counted, NDArray[np.int64]]]:
        """Yield the stitches as they lie, and the corners of each from that of the grid.

        cell: threads that a sign is wide and high. A stitch takes its threads from the upper left
        corner of its sign. Signs of a stitch in bars that touch below each other are one.
        """
        many = np.ones(len(self.rows), dtype=np.int64)
        columns, rows = self.columns, self.rows
        if self.stitch.stands.in_bars and self.stitch.over[1] == cell:
            order = np.lexsort((rows, columns))
            columns, rows = columns[order], rows[order]
            begins = np.ones(len(rows), dtype=np.bool_)
            begins[1:] = (columns[1:] != columns[:-1]) | (rows[1:] != rows[:-1] + 1)
            first = np.flatnonzero(begins)
            many = np.diff(np.append(first, len(rows)))
            columns, rows = columns[first], rows[first]
        width, height = self.size[0] * cell, self.size[1] * cell
        for length in np.unique(many).tolist():
            stitch = for_cross(self.stitch, cell) if length == 1 else bar(self.stitch, length)
            corner = np.stack([columns[many == length], rows[many == length]], axis=1) * cell
            ends = [
                self.turn.points(each.astype(np.float64), width, height)
                for each in (corner, corner + stitch.over)
            ]
            yield turned(stitch, self.turn), np.rint(np.minimum(*ends)).astype(np.int64)


@dataclass(frozen=True, eq=False)
class Stood:
    """Counted stitches in a motif put together from others, as they lie after its turn.

    at: (n, 2) the corner of each from that of the stamp, in threads.
    """

    index: int
    stitch: Counted
    at: NDArray[np.int64]
    strands: int | None

    def standing(self, _cell: int) -> Iterator[tuple[Counted, NDArray[np.int64]]]:
        """Yield the stitch and the corners of each, as `Signs` do."""
        yield self.stitch, self.at


@dataclass(frozen=True, eq=False)
class Part:
    """A piece of a stamp that does not lie on the stamp's own crosses.

    x, y: its corner from that of the stamp, cell: the side of one of its crosses; in threads.
    span: the line of the motif that placed it.
    """

    stamp: Stamp
    x: int
    y: int
    cell: int
    strands: int | None
    span: Span | None


@dataclass(frozen=True, eq=False)
class Stamp:
    """A thing to lay down as it stands. mask: where grid holds a stitch; full: no bare cell.

    signs: of counted stitches, which take threads of their own and are not in the grid. parts: of
    a motif put together from others, what lies off its crosses. drawn: its lines and knots as they
    are written. cut: whether it is a part of a motif that was cut.
    """

    name: str
    grid: IndexGrid
    lines: tuple[StampLine, ...] = ()
    knots: tuple[StampKnot, ...] = ()
    motif: Motif | None = None
    signs: tuple[Signs | Stood, ...] = ()
    parts: tuple[Part, ...] = ()
    drawn: Drawn = ()
    cut: bool = False
    mask: NDArray[np.bool_] = field(init=False)
    full: bool = field(init=False)

    def __post_init__(self) -> None:
        """Work out what every laying asks for."""
        object.__setattr__(self, "mask", self.grid != 0)
        object.__setattr__(self, "full", bool(self.mask.all()))

    @property
    def points(self) -> int:
        """How many points its lines, knots and beads have."""
        return len(self.knots) + sum(len(line.points) for line in self.lines)

    @property
    def cells(self) -> int:
        """How many cells it has, bare ones too."""
        return int(self.grid.size) + sum(part.stamp.grid.size for part in self.parts)

    @property
    def width(self) -> int:
        """Width in its own crosses."""
        return int(self.grid.shape[1])

    @property
    def height(self) -> int:
        """Height in its own crosses."""
        return int(self.grid.shape[0])


@dataclass(frozen=True)
class MissingTurn:
    """A key line used by a motif, and the turned stitch for which the key has no line."""

    index: int
    parts: tuple[key.Part, ...]


Cells = tuple[int, int, int, int]  # columns and rows, from x0, y0 up to x1, y1
TurnedStamp = tuple[Stamp, tuple[MissingTurn, ...]]
