"""Notes taken while laying: where items meet, and what lies outside the chart."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.bool_]
Whole = NDArray[np.int64]


@dataclass(frozen=True)
class Frame:
    """Where row 0, column 0 of some cells lies, and their side, in crosses of the chart."""

    x: float
    y: float
    cell: float

    def place(self, row: int, column: int) -> tuple[float, float]:
        """Return the top left corner of a cell."""
        return self.x + column * self.cell, self.y + row * self.cell


@dataclass
class Meeting:
    """Stitches of one item on stitches of another: how many of the later one, and the first."""

    first: tuple[float, float]
    count: int


@dataclass
class Beyond:
    """What of one item lies outside the chart, and the first such place."""

    first: tuple[float, float]
    cells: int = 0
    lines: int = 0
    knots: int = 0


@dataclass
class Meetings:
    """All notes of one composition. Items are numbered as the caller likes.

    overlaps: (later item, earlier item) -> where they meet. cut: the same for pieces that a
    cleared rectangle would cut through. outside: item -> what lies outside the chart.
    """

    overlaps: dict[tuple[int, int], Meeting] = field(default_factory=dict)
    cut: dict[tuple[int, int], Meeting] = field(default_factory=dict)
    outside: dict[int, Beyond] = field(default_factory=dict)

    def beyond(self, item: int, place: tuple[float, float]) -> Beyond:
        """Return the note on what of an item lies outside, begun here if it is the first."""
        return self.outside.setdefault(item, Beyond(place))

    def cells_beyond(
        self, item: int, mask: Mask, inside: tuple[slice, slice], frame: Frame
    ) -> bool:
        """Note the cells that lie outside a part of a mask, and tell whether there are any."""
        outside = mask.copy()
        outside[inside] = False
        count = int(np.count_nonzero(outside))
        if count:
            row, column = np.argwhere(outside)[0].tolist()
            self.beyond(item, frame.place(row, column)).cells += count
        return bool(count)


def note(
    notes: dict[tuple[int, int], Meeting],
    item: int,
    earlier: Whole,
    cells: tuple[Whole, Whole],
    frame: Frame,
) -> None:
    """Enter where an item meets earlier ones.

    earlier: the item met in each of the cells (rows, columns). A cell may be named several
    times for one item and is counted once.
    """
    met = np.unique(np.stack([earlier, *cells], axis=1), axis=0)
    others, starts, counts = np.unique(met[:, 0], return_index=True, return_counts=True)
    for other, start, count in zip(others.tolist(), starts.tolist(), counts.tolist(), strict=True):
        place = frame.place(int(met[start, 1]), int(met[start, 2]))
        notes.setdefault((item, other), Meeting(place, 0)).count += count


def looked_up(numbers: NDArray[np.int32], items: list[int]) -> Whole:
    """Return the item of each number, without turning the whole list into an array."""
    unique, inverse = np.unique(numbers, return_inverse=True)
    found = np.array([items[number] for number in unique.tolist()], dtype=np.int64)
    return found[inverse]
