"""The worked chart: every stitch at its place, after all placing is done.

Indices into the key count from 1 (`design.key[index - 1]`); 0 is bare fabric.
All positions are in crosses of the chart from its top left corner.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from ..core.items import Drawn, Motif
from ..core.key import KeyEntry, Part, Strands
from ..core.model import Design, Threads
from ..core.source import Span
from ..stitches.kinds import is_far
from ..stitches.lines import Stitched, cut
from .strokework import LineStitches, Lot, Stand, lots

IndexGrid = NDArray[np.uint16]  # (height, width), key index of each cell


def in_needle(part: Part) -> int:
    """Return how many strands are in the needle for a stitch."""
    return sum(each.strands for each in part.needle)


def with_strands(entry: KeyEntry, strands: int) -> KeyEntry:
    """Return a key line whose stitches of cells are worked with so many strands in all.

    Lines, knots and beads stay as they are. A blend keeps a strand of each thread at the least.
    """
    if not entry.is_cell:
        return entry
    parts = (replace(part, needle=shared(part.needle, strands)) for part in entry.parts)
    return replace(entry, parts=tuple(parts))


def shared(needle: Sequence[Strands], strands: int) -> tuple[Strands, ...]:
    """Return the threads of a needle with so many strands in all, in about the same shares.

    Each keeps one at the least, so that there may be more than asked for. What cannot be shared
    out evenly goes to the largest remainders, then to the first named. One that does not divide
    keeps what it has.
    """
    fixed = [each for each in needle if not each.thread.divides]
    if fixed:
        others = [each for each in needle if each.thread.divides]
        left = max(len(others), strands - sum(each.strands for each in fixed))
        given_to = iter(shared(others, left) if others else ())
        return tuple(next(given_to) if each.thread.divides else each for each in needle)
    whole = sum(each.strands for each in needle)
    exact = [each.strands * strands / whole for each in needle]
    given = [max(1, int(each)) for each in exact]
    order = sorted(range(len(needle)), key=lambda at: (given[at] - exact[at], at))
    for at in order[: max(0, strands - sum(given))]:
        given[at] += 1
    while sum(given) > max(strands, len(given)):
        # Those below one strand took theirs from what the others were to have.
        several = [at for at in range(len(given)) if given[at] > 1]
        largest = max(several, key=lambda at: (given[at] - exact[at], -at))
        given[largest] -= 1
    return tuple(replace(each, strands=many) for each, many in zip(needle, given, strict=True))


def present(grid: IndexGrid) -> list[int]:
    """Return the key indices that stand in a grid, bare fabric among them, in their order."""
    return np.flatnonzero(np.bincount(grid.ravel())).tolist()


class _Lying:
    """A grid that lies somewhere on the chart; cell: side of one of its crosses there."""

    grid: IndexGrid
    cell: float

    @property
    def width(self) -> float:
        """Width in crosses of the chart."""
        return float(self.grid.shape[1] * self.cell)

    @property
    def height(self) -> float:
        """Height in crosses of the chart."""
        return float(self.grid.shape[0] * self.cell)


@dataclass(frozen=True, eq=False)
class Piece(_Lying):
    """A grid that does not lie on the chart's own grid: off it, or over fewer threads.

    x, y: its top left corner. cell: side of one of its crosses in crosses of the chart (0.5
    for over one inside over two). over: fabric threads one of its crosses spans. strands: in the
    needle for its crosses, None for those of the key.
    """

    name: str
    x: float
    y: float
    cell: float
    over: int
    grid: IndexGrid
    span: Span | None
    strands: int | None = None


@dataclass(frozen=True, eq=False)
class WorkedLine:
    """One line through points (n, 2).

    cell: the side of a cross where it lies, which its back stitches are as long as.
    """

    index: int
    points: NDArray[np.float64]
    cell: float
    span: Span | None


@dataclass(frozen=True, eq=False)
class WorkedKnot:
    """One knot or bead."""

    index: int
    x: float
    y: float
    span: Span | None


ThreadBox = tuple[int, int, int, int]  # x0, y0, x1, y1 in threads of the fabric


@dataclass(frozen=True)
class Gap:
    """Where threads are withdrawn, from corner to corner, in threads of the fabric."""

    threads: Threads
    x0: int
    y0: int
    x1: int
    y1: int
    span: Span | None = field(default=None, compare=False, repr=False)

    @property
    def box(self) -> ThreadBox:
        """Its corners."""
        return self.x0, self.y0, self.x1, self.y1

    @property
    def axis(self) -> int:
        """Along which axis the withdrawn threads ran: 0 level, 1 upright."""
        match self.threads:
            case Threads.ROWS:
                return 0
            case Threads.COLUMNS:
                return 1
            case _:
                assert_never(self.threads)

    @property
    def number(self) -> int:
        """How many threads are withdrawn."""
        return self.box[3 - self.axis] - self.box[1 - self.axis]

    def shared(self, other: Gap) -> ThreadBox | None:
        """Return what it shares with another one, None where they only touch or lie apart."""
        x0, y0 = max(self.x0, other.x0), max(self.y0, other.y0)
        x1, y1 = min(self.x1, other.x1), min(self.y1, other.y1)
        return (x0, y0, x1, y1) if x0 < x1 and y0 < y1 else None


@dataclass(frozen=True, eq=False)
class Placed(_Lying):
    """Where one copy of a motif, letter, border part or the whole-chart grid came to lie.

    grid: its cells as placed (after mirroring, turning, swapping).
    motif: what was placed, None for letters and the whole-chart grid.
    piece: whether it lies off the chart's own grid (then it is also in `pieces`).
    signs: whether it holds counted stitches (which are in `stands`). drawn: its lines and knots
    as they are written (which are in `lines` and `knots`).
    """

    name: str
    x: float
    y: float
    cell: float
    grid: IndexGrid
    motif: Motif | None
    piece: bool
    span: Span | None
    signs: bool = False
    drawn: Drawn = ()


def stitch_length(entry: KeyEntry, cell: float, over: int) -> float:
    """Return how long the stitches of a line are, in crosses of the chart.

    They are as long as the crosses there, or as many threads as a counted stitch says.
    """
    stitch = entry.parts[0].stitch
    if stitch is None or stitch.per_cross or stitch.per_stretch:
        return cell
    return stitch.over[0] / over


@dataclass(frozen=True, eq=False)
class WorkedChart:
    """Everything that is stitched.

    grid: key index of each cell of the chart's own grid.
    owner: which of `placed` put it there, -1 where bare.
    put_together: the motifs put together from others, by name, as if drawn in rows.
    """

    design: Design
    grid: IndexGrid
    owner: NDArray[np.int32]
    pieces: tuple[Piece, ...]
    lines: tuple[WorkedLine, ...]
    knots: tuple[WorkedKnot, ...]
    placed: tuple[Placed, ...]
    stands: tuple[Stand, ...] = ()
    gaps: tuple[Gap, ...] = ()
    put_together: Mapping[str, Motif] = field(default_factory=dict)

    @cached_property
    def motifs(self) -> Mapping[str, Motif]:
        """All motifs of the design, those put together from others as if drawn in rows."""
        return {**self.design.motifs, **self.put_together}

    @property
    def width(self) -> int:
        """Width in crosses."""
        return int(self.grid.shape[1])

    @property
    def height(self) -> int:
        """Height in crosses."""
        return int(self.grid.shape[0])

    @cached_property
    def stitched(self) -> Stitched:
        """The stitches that `lines` are worked in; they stay the same on other fabrics."""
        over = self.design.ground.fabric.over
        return cut(
            [line.points for line in self.lines],
            [stitch_length(self.entry(line.index), line.cell, over) for line in self.lines],
            [is_far(self.entry(line.index).parts[0]) for line in self.lines],
            over,
        )

    @cached_property
    def drawn_ends(self) -> NDArray[np.float64]:
        """x0, y0, x1, y1 of what is drawn as it lies, in crosses, (n, 4).

        That are the stitches of lines, and knots and beads, whose ends are one.
        """
        points = [(knot.x, knot.y) * 2 for knot in self.knots]
        lines = self.stitched.ends()[0].reshape(-1, 4)
        return np.concatenate([lines, np.array(points, dtype=np.float64).reshape(-1, 4)])

    @cached_property
    def line_of(self) -> NDArray[np.intp]:
        """The key line that each key index belongs to, bare fabric first; see `turned_from`."""
        key = self.design.key
        return np.array([0, *(each.turned_from or at for at, each in enumerate(key, 1))], np.intp)

    @cached_property
    def used(self) -> tuple[int, ...]:
        """The indices of the key lines of everything stitched, in the order of the key."""
        grids = [self.grid, *(piece.grid for piece in self.pieces)]
        found = {index for grid in grids for index in present(grid)}
        for some in (self.stands, self.lines, self.knots):
            found.update(each.index for each in some)
        return tuple(np.unique(self.line_of[sorted(found - {0})]).tolist())

    @cached_property
    def counted(self) -> tuple[Lot, ...]:
        """The strokes of all counted stitches, in the order of the key."""
        if not any(entry.parts[0].stitch for entry in self.design.key):
            return ()
        ends, line = self.stitched.ends()
        over = self.design.ground.fabric.over
        worked = LineStitches([each.index for each in self.lines], ends * over, line)
        return tuple(lots(self.design.key, self.stands, worked))

    def entry(self, index: int, strands: int | None = None) -> KeyEntry:
        """Return the key entry of an index counted from 1.

        strands: of a piece, see `Piece`; the entry is then as it is worked there.
        """
        if strands is None:
            return self.design.key[index - 1]
        kept = self._with_strands
        if (index, strands) not in kept:
            kept[index, strands] = with_strands(self.design.key[index - 1], strands)
        return kept[index, strands]

    @cached_property
    def _with_strands(self) -> dict[tuple[int, int], KeyEntry]:
        return {}
