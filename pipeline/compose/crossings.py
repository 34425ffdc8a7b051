"""Places in whole fabric threads: pieces off the chart's own grid, and the crossings they take.

A crossing is where one thread across meets one down. Two stitches are in each other's way when
they share one. The map of crossings is made only when the first piece comes.

A chart position is in crosses; on the fabric it has to be a whole number of threads. All
placing is reckoned in these whole numbers, so that nothing depends on how a fraction is rounded.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..core.items import Cover
from .misplaced import GridCorner, Mask, Meetings, looked_up, note
from .worked import Piece


@dataclass(frozen=True)
class GridSpot:
    """Where a grid goes: its top left corner and the side of its crosses, in fabric threads.

    strands: in the needle for its crosses, None for those of the key.
    """

    x: int
    y: int
    cell: int
    strands: int | None = None


MOST_CROSSINGS = 100_000_000  # of the whole chart, if it has pieces: 400 MB at the very worst


class Crossings:
    """The pieces laid so far. All lengths in fabric threads."""

    def __init__(self, width: int, height: int, over: int, meetings: Meetings) -> None:
        """Start with none, on a chart of so many crosses over so many threads each."""
        self._over = over
        self._size = height * over, width * over
        self._meetings = meetings
        self._taken: NDArray[np.int32] | None = None  # the number of the piece, from 1
        self._pieces: list[Piece] = []
        self._items: list[int] = []
        self.too_fine = self._size[0] * self._size[1] > MOST_CROSSINGS

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The pieces that still hold a stitch."""
        return tuple(piece for piece in self._pieces if piece.grid.any())

    @property
    def empty(self) -> bool:
        """Whether no piece was laid yet."""
        return self._taken is None

    def add(self, item: int, piece: Piece, footprint: Mask, cover: Cover) -> None:
        """Lay a piece inside the chart; footprint: the crossings it takes, from its corner on."""
        if self._taken is None:
            # Untouched parts of a zeroed array cost no memory.
            self._taken = np.zeros(self._size, dtype=np.int32)
        x, y = round(piece.x * self._over), round(piece.y * self._over)
        self.meet(item, footprint, GridSpot(x, y, piece.over), cover)
        self._pieces.append(piece)
        self._items.append(item)
        height, width = footprint.shape
        self._taken[y : y + height, x : x + width][footprint] = len(self._pieces)

    def meet(self, item: int, footprint: Mask, spot: GridSpot, cover: Cover) -> None:
        """Let stitches fall on the pieces laid before; footprint: the crossings they take.

        They take the place of what they replace; anything else is noted.
        """
        if self._taken is None:
            return
        height, width = footprint.shape
        x, y, cell = spot.x, spot.y, spot.cell
        area = self._taken[y : y + height, x : x + width]
        if not area.any():
            return
        if cover.replaces:
            for number in _numbers(area[footprint]):
                self._take_away(number, footprint, x, y)
            return
        rows, columns = np.nonzero(footprint & (area != 0))
        if rows.size:
            earlier = looked_up(area[rows, columns] - 1, self._items)
            over = self._over
            frame = GridCorner(x / over, y / over, cell / over)
            note(self._meetings.overlaps, item, earlier, (rows // cell, columns // cell), frame)

    def clear(self, item: int, x0: int, y0: int, x1: int, y1: int) -> None:
        """Take away the pieces whose stitches all lie in a rectangle; note those it would cut."""
        if self._taken is None:
            return
        area = self._taken[y0:y1, x0:x1]
        if not area.any():
            return
        for number in _numbers(area):
            piece = self._pieces[number - 1]
            inside = area == number
            total = int(np.count_nonzero(piece.grid)) * piece.over**2
            if int(np.count_nonzero(inside)) == total:
                area[inside] = 0
                self._pieces[number - 1] = replace(piece, grid=np.zeros_like(piece.grid))
                continue
            rows, columns = np.nonzero(inside)
            earlier = np.full(rows.size, self._items[number - 1], dtype=np.int64)
            frame = GridCorner(x0 / self._over, y0 / self._over, 1 / self._over)
            note(self._meetings.cut, item, earlier, (rows, columns), frame)

    def _take_away(self, number: int, footprint: Mask, x: int, y: int) -> None:
        """Take from a piece every stitch that shares a crossing with a footprint at x, y."""
        assert self._taken is not None
        piece = self._pieces[number - 1]
        left, top = round(piece.x * self._over), round(piece.y * self._over)
        height, width = piece.grid.shape[0] * piece.over, piece.grid.shape[1] * piece.over
        x0, x1 = max(x, left), min(x + footprint.shape[1], left + width)
        y0, y1 = max(y, top), min(y + footprint.shape[0], top + height)
        hit = np.zeros((height, width), dtype=np.bool_)
        hit[y0 - top : y1 - top, x0 - left : x1 - left] = footprint[
            y0 - y : y1 - y, x0 - x : x1 - x
        ]
        gone = blocks(hit, piece.over) & (piece.grid != 0)
        kept = np.where(gone, np.uint16(0), piece.grid).astype(np.uint16)
        self._pieces[number - 1] = replace(piece, grid=kept)
        self._taken[top : top + height, left : left + width][enlarged(gone, piece.over)] = 0


def _numbers(pieces: NDArray[np.int32]) -> list[int]:
    return [int(each) for each in np.unique(pieces) if each]


def enlarged(mask: Mask, cell: int) -> Mask:
    """Return a mask of cells as a mask of threads, `cell` to each."""
    return mask.repeat(cell, axis=0).repeat(cell, axis=1)


def blocks(threads: Mask, cell: int) -> Mask:
    """Return which cells hold any of a mask of threads that starts on a cell and ends on one."""
    height, width = threads.shape
    held = threads.reshape(height // cell, cell, width // cell, cell).any(axis=(1, 3))
    return np.asarray(held)


def touched(threads: Mask, x: int, y: int, over: int) -> Mask:
    """Return which crosses of a grid over so many threads a mask of threads at x, y falls into.

    The first row and column are those of the cross that holds the thread at x, y.
    """
    held = threads
    for axis, start in enumerate((y, x)):
        edges = np.arange((-start) % over, threads.shape[axis], over)
        edges = np.unique(np.concatenate([[0], edges]))
        held = np.asarray(np.logical_or.reduceat(held, edges, axis=axis))
    return held
