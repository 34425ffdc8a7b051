"""Counted stitches as they are laid: which crossings of threads they take, and what they meet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..core.counted import Counted
from ..core.items import Cover
from ..stitches.counted import own
from .crossings import MOST_CROSSINGS
from .misplaced import GridCorner, Mask, Meetings, Whole, note
from .strokework import Stand


@dataclass(frozen=True, eq=False)
class _Lot:
    """Stitches laid together. first: number of the first of them, from 1."""

    item: int
    index: int
    stitch: Counted
    strands: int | None
    at: Whole  # (n, 2) threads
    placed: int
    first: int


class Standing:
    """The counted stitches laid so far. All lengths in fabric threads."""

    def __init__(self, width: int, height: int, over: int, meetings: Meetings) -> None:
        """Start with none, on a chart of so many crosses over so many threads each."""
        self._over = over
        self._size = height * over, width * over
        self._meetings = meetings
        self._held: NDArray[np.int32] | None = None  # the number of the stitch, from 1
        self._lots: list[_Lot] = []
        self._gone: NDArray[np.bool_] = np.zeros(1, dtype=np.bool_)
        self.too_fine = self._size[0] * self._size[1] > MOST_CROSSINGS

    @property
    def empty(self) -> bool:
        """Whether none was laid yet."""
        return self._held is None

    def inside(self, item: int, stitch: Counted, at: Whole) -> Whole:
        """Return those of some places at which a stitch lies within the chart; note the others."""
        height, width = self._size
        within = (at >= 0).all(axis=1) & (at + stitch.over <= (width, height)).all(axis=1)
        beyond = at[~within]
        if len(beyond):
            x, y = (beyond[0] / self._over).tolist()
            self._meetings.beyond(item, (x, y)).cells += len(beyond)
        return at[within]

    def lay(self, item: int, placed: int, stand: Stand, cover: Cover) -> tuple[Whole, Whole]:
        """Lay stitches that all lie within the chart.

        Returns the rows and columns of the crossings that they take.
        """
        if self._held is None:
            self._held = np.zeros(self._size, dtype=np.int32)
        stitch, at = stand.stitch, stand.at
        rows, columns = np.nonzero(own(stitch))
        down, across = at[:, 1, None] + rows, at[:, 0, None] + columns
        first = len(self._gone)
        numbers = np.arange(first, first + len(at), dtype=np.int32)
        before = self._held[down, across]
        if cover.replaces:
            self._take_away(before)
        else:
            which = np.nonzero(before)
            self._note(item, before[which], at[which[0]])
        self._held[down, across] = numbers[:, None]
        own_lost = np.nonzero(self._held[down, across] != numbers[:, None])[0]
        if len(own_lost):
            self._note(item, np.full(len(own_lost), 0), at[own_lost], item)
        self._gone = np.concatenate([self._gone, np.zeros(len(at), dtype=np.bool_)])
        self._lots.append(_Lot(item, stand.index, stitch, stand.strands, at, placed, first))
        return down.ravel(), across.ravel()

    def _note(self, item: int, numbers: Whole, at: Whole, other: int | None = None) -> None:
        if not len(numbers):
            return
        earlier = self._items(numbers) if other is None else np.full(len(numbers), other)
        frame = GridCorner(0, 0, 1 / self._over)
        note(self._meetings.overlaps, item, earlier, (at[:, 1], at[:, 0]), frame)

    def _items(self, numbers: NDArray[np.int32] | Whole) -> Whole:
        starts = np.array([lot.first for lot in self._lots])
        items = np.array([lot.item for lot in self._lots], dtype=np.int64)
        return np.asarray(items[np.searchsorted(starts, numbers, side="right") - 1])

    def meet(self, item: int, footprint: Mask, x: int, y: int, cell: int, cover: Cover) -> None:
        """Let other stitches fall on these; footprint: the crossings they take from x, y on.

        cell: the threads that each of them spans.
        """
        if self._held is None:
            return
        height, width = footprint.shape
        held = self._held[y : y + height, x : x + width]
        if not held.any():
            return
        rows, columns = np.nonzero(footprint & (held != 0))
        if not rows.size:
            return
        if cover.replaces:
            self._take_away(held[rows, columns])
            return
        frame = GridCorner(x / self._over, y / self._over, cell / self._over)
        earlier = self._items(held[rows, columns])
        note(self._meetings.overlaps, item, earlier, (rows // cell, columns // cell), frame)

    def clear(self, item: int, x0: int, y0: int, x1: int, y1: int) -> None:
        """Take away the stitches that lie wholly in a rectangle; note those it would cut."""
        if self._held is None:
            return
        numbers = np.unique(self._held[y0:y1, x0:x1])
        numbers = numbers[numbers != 0]
        for lot in self._lots:
            of = numbers[(numbers >= lot.first) & (numbers < lot.first + len(lot.at))] - lot.first
            at = lot.at[of]
            whole = (at >= (x0, y0)).all(axis=1) & (at + lot.stitch.over <= (x1, y1)).all(axis=1)
            self._take_away(of[whole] + lot.first)
            if not whole.all():
                cut = at[~whole]
                frame = GridCorner(0, 0, 1 / self._over)
                items = np.full(len(cut), lot.item)
                note(self._meetings.cut, item, items, (cut[:, 1], cut[:, 0]), frame)

    def _take_away(self, numbers: NDArray[np.int32] | Whole) -> None:
        gone = np.unique(numbers)
        gone = gone[gone != 0]
        if not len(gone) or self._held is None:
            return
        self._gone[gone] = True
        for lot in self._lots:
            of = gone[(gone >= lot.first) & (gone < lot.first + len(lot.at))]
            if not len(of):
                continue
            rows, columns = np.nonzero(own(lot.stitch))
            at = lot.at[of - lot.first]
            down, across = at[:, 1, None] + rows, at[:, 0, None] + columns
            held = self._held[down, across]
            self._held[down, across] = np.where(held == of[:, None], 0, held)

    def stands(self) -> tuple[Stand, ...]:
        """Return the stitches that still stand, those alike together, row by row."""
        lots: dict[tuple[int, Counted, int | None], list[_Lot]] = {}
        for lot in self._lots:
            lots.setdefault((lot.index, lot.stitch, lot.strands), []).append(lot)
        made = []
        for (index, stitch, strands), some in lots.items():
            kept = [~self._gone[lot.first : lot.first + len(lot.at)] for lot in some]
            at = np.concatenate([lot.at[keep] for lot, keep in zip(some, kept, strict=True)])
            placed = np.concatenate(
                [np.full(keep.sum(), lot.placed) for lot, keep in zip(some, kept, strict=True)]
            )
            order = np.lexsort((at[:, 0], at[:, 1]))
            if len(at):
                made.append(Stand(index, stitch, strands, at[order], placed[order]))
        return tuple(sorted(made, key=lambda stand: stand.index))
