"""The numbered notes and how sure the chart is, each with the place it speaks of."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .model import Note, NoteKind
from .paginate import Page, Pagination
from .worked import WorkedChart

AROUND = 5  # cells shown around what a note means
LEAST = (20, 14)  # cells shown across and down, where the chart has so many
MOST = (60, 48)


@dataclass(frozen=True)
class Place:
    """One numbered note. number: as printed on the chart.

    x0 y0 x1 y1: the cells its picture shows. pages: the chart pages it is on.
    """

    number: int
    note: Note
    address: str
    x0: int
    y0: int
    x1: int
    y1: int
    pages: tuple[int, ...]

    @property
    def point(self) -> bool:
        """Whether the note speaks of a point, not of an area."""
        return self.note.x0 == self.note.x1 and self.note.y0 == self.note.y1


@dataclass(frozen=True)
class Places:
    """The notes of one kind."""

    kind: NoteKind
    places: tuple[Place, ...]


def places(worked: WorkedChart, pagination: Pagination) -> tuple[Places, ...]:
    """Return the notes, by kind in the order of the booklet, each kind in the order of the source.

    Numbers run through the whole source, so that they are those on the chart.
    """
    found = [
        _place(worked, pagination, number, note)
        for number, note in enumerate(worked.design.notes, 1)
    ]
    groups = [
        Places(kind, tuple(each for each in found if each.note.kind is kind)) for kind in NoteKind
    ]
    return tuple(group for group in groups if group.places)


def _place(worked: WorkedChart, pagination: Pagination, number: int, note: Note) -> Place:
    x0, x1 = _shown(note.x0, note.x1, worked.width, LEAST[0], MOST[0])
    y0, y1 = _shown(note.y0, note.y1, worked.height, LEAST[1], MOST[1])
    return Place(number, note, f"place:{number}", x0, y0, x1, y1, _pages(note, pagination.pages))


def _shown(start: float, end: float, length: int, least: int, most: int) -> tuple[int, int]:
    """Return the cells of one direction that a picture shows around a stretch."""
    wanted = min(max(math.ceil(end - start) + 2 * AROUND, least), most, length)
    first = math.floor((start + end) / 2 - wanted / 2)
    first = min(max(first, 0), length - wanted)
    return first, first + wanted


def _pages(note: Note, pages: Sequence[Page]) -> tuple[int, ...]:
    """Return the pages whose own cells a note touches; a point on a break is on the later page."""
    return tuple(
        page.number
        for page in pages
        if _meets(note.x0, note.x1, page.core_x0, page.core_x1, page.right is None)
        and _meets(note.y0, note.y1, page.core_y0, page.core_y1, page.below is None)
    )


def _meets(start: float, end: float, low: int, high: int, last: bool) -> bool:
    if start == end:
        return low <= start < high or (last and start == high)
    return start < high and end > low
