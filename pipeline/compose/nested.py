"""Motifs put together from other motifs, texts and lines: each is a small chart of its own.

One is put together as it is drawn, with its symbols swapped, and then turned as a whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..core.items import BARE, Knot, Line, Motif, Point, Swap
from ..core.model import Chart, Design
from ..resolve.nesting import swapped
from ..stitches.counted import turned
from ..stitches.turn import Turn
from .stamp import Cells, Part, Stamp, StampKnot, StampLine, Stood, TurnedStamp
from .strokework import Stand
from .turning import TurnedKey, missing_of
from .worked import IndexGrid, Piece, WorkedKnot, WorkedLine, present

Points = NDArray[np.float64]


def as_chart(design: Design, motif: Motif, cell: int, swap: Swap = ()) -> Design:
    """Return a motif as a chart whose crosses span so many threads, its symbols swapped."""
    chart = Chart(
        motif.width,
        motif.height,
        motif.rows,
        tuple(swapped(item, swap) for item in motif.items),
        row_spans=motif.row_spans,
        span=motif.span,
        things=motif.things,
        called=f"the motif `{motif.name}`",
    )
    fabric = replace(design.ground.fabric, over=cell)
    ground = replace(design.ground, fabric=fabric)
    return replace(design, chart=chart, ground=ground, notes=(), expectations=())


def put_together(motif: Motif, chart: Chart) -> Motif:
    """Return a motif whose things stand where those of a chart do, and that is as large."""
    width, height = chart.width, chart.height
    rows = motif.rows or (BARE * width,) * height
    return replace(
        motif, width=width, height=height, rows=rows, items=chart.items, things=chart.things
    )


@dataclass(frozen=True, eq=False)
class Inside:
    """A motif put together, as it is drawn. cell: threads that one of its crosses spans.

    motif: it as if drawn in rows. Positions are in its own crosses, those of `stands` in threads.
    """

    motif: Motif
    cell: int
    grid: IndexGrid
    lines: Sequence[WorkedLine]
    knots: Sequence[WorkedKnot]
    stands: Sequence[Stand]
    pieces: Sequence[Piece]

    def stamp(self, turned_key: TurnedKey, turn: Turn, part: Cells | None) -> TurnedStamp:
        """Return it turned, and the key lines that the turn misses.

        part: its columns and rows that are wanted, as it lies; of all that is no cell, what lies
        wholly within them.
        """
        height, width = self.grid.shape
        left, top, right, bottom = part or (0, 0, *turn.size(width, height))
        grids = [self.grid, *(piece.grid for piece in self.pieces)]
        missing = missing_of(turned_key, (index for grid in grids for index in present(grid)))
        turning = _Turning(turn, (width, height), (left, top, right, bottom))
        ways = turning.held([line.points for line in self.lines])
        lines = [
            StampLine(line.index, points, line.span, line.cell)
            for line, points in zip(self.lines, ways, strict=True)
            if points is not None
        ]
        places = turning.held([np.array([[knot.x, knot.y]]) for knot in self.knots])
        knots = [
            StampKnot(knot.index, float(at[0, 0]), float(at[0, 1]), knot.span)
            for knot, at in zip(self.knots, places, strict=True)
            if at is not None
        ]
        parts = []
        for piece in self.pieces:
            box = piece.x, piece.y, piece.x + piece.width, piece.y + piece.height
            for x, y in self._corners(np.array([box]), turning).tolist():
                stamp = Stamp(piece.name, turn.grid(turned_key.table[piece.grid]))
                parts.append(Part(stamp, x, y, piece.over, piece.strands, piece.span))
        made = Stamp(
            self.motif.name,
            turn.grid(turned_key.table[self.grid])[top:bottom, left:right],
            tuple(lines),
            tuple(knots),
            self.motif,
            tuple(self._stood(stand, turning) for stand in self.stands),
            tuple(parts),
            self.motif.drawn,
        )
        return made, missing

    def _stood(self, stand: Stand, turning: _Turning) -> Stood:
        boxes = np.concatenate([stand.at, stand.at + stand.stitch.over], axis=1) / self.cell
        at = self._corners(boxes, turning)
        return Stood(stand.index, turned(stand.stitch, turning.turn), at, stand.strands)

    def _corners(self, boxes: Points, turning: _Turning) -> NDArray[np.int64]:
        """Return the corners, in threads, of boxes (n, 4) that lie wholly within the part."""
        ends = turning.points(boxes[:, :2]), turning.points(boxes[:, 2:])
        corners = np.concatenate([np.minimum(*ends), np.maximum(*ends)], axis=1)
        within = (corners >= 0) & (corners <= (*turning.size, *turning.size))
        kept = corners[within.all(axis=1)]
        threads: NDArray[np.int64] = np.rint(kept[:, :2] * self.cell).astype(np.int64)
        return threads


def drawn(inside: Inside, symbols: Sequence[str]) -> Inside:
    """Return the same with its motif as if that had been drawn in rows; symbols: of the key.

    What lies off its own crosses is left out.
    """
    signs = np.array([BARE, *(each if len(each) == 1 else BARE for each in symbols)])
    cells = signs[inside.grid]
    for stand in inside.stands:
        at = stand.at[(stand.at % inside.cell == 0).all(axis=1)] // inside.cell
        cells[at[:, 1], at[:, 0]] = signs[stand.index]
    motif = replace(
        inside.motif,
        rows=tuple("".join(row) for row in cells.tolist()),
        lines=tuple(
            Line(symbols[line.index - 1], _pairs(line.points), line.span) for line in inside.lines
        ),
        knots=tuple(
            Knot(symbols[knot.index - 1], ((knot.x, knot.y),), knot.span) for knot in inside.knots
        ),
        row_spans=(),
    )
    return replace(inside, motif=motif)


def _pairs(points: Points) -> tuple[Point, ...]:
    return tuple((x, y) for x, y in points.tolist())


@dataclass(frozen=True)
class _Turning:
    """A turn of a rectangle, and the part of it that is wanted, as it lies; all in crosses."""

    turn: Turn
    whole: tuple[int, int]
    part: Cells

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the part."""
        return self.part[2] - self.part[0], self.part[3] - self.part[1]

    def points(self, points: Points) -> Points:
        """Return points as they lie, from the corner of the part."""
        return self.turn.points(points, *self.whole) - self.part[:2]

    def held(self, shapes: Sequence[Points]) -> list[Points | None]:
        """Return the points of shapes as they lie, None for one not wholly within the part."""
        if not shapes:
            return []
        points = self.points(np.concatenate(shapes))
        starts = np.cumsum([0, *map(len, shapes)])[:-1]
        within = ((points >= 0) & (points <= self.size)).all(axis=1)
        kept = np.logical_and.reduceat(within, starts).tolist()
        parts = np.split(points, starts[1:])
        return [part if keep else None for part, keep in zip(parts, kept, strict=True)]
