"""What the page sends, looked at before anything is done with it."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from typing import Any

from ..core.characters import HIDDEN
from ..core.matter import NoteKind
from ..core.raster import LARGEST_SIDE
from ..importing.marks import Box
from ..photograph.placing import Landmark, Point
from ..resolve.photographs import MOST_LANDMARKS

LONGEST_PART = 200  # characters of what a photograph shows
_FARTHEST = 10_000  # crosses
_MOST_CELLS = 1_000  # that are sent at once


class NotAsked(ValueError):
    """What was sent cannot be understood; str() is a sentence for the user."""


@dataclass(frozen=True)
class Asked:
    """Where the user has laid a photograph.

    sheet: which of those on the table. shows: the part as in a chart. seen: the checksum of the
    chart that the page was made of.
    """

    sheet: int
    shows: str
    corners: tuple[Point, Point, Point, Point]
    landmarks: tuple[Landmark, ...]
    seen: str


def asked(data: bytes) -> Asked:
    """Return what was sent as JSON.

    Raises:
        NotAsked: for anything but the five fields, each within its bounds.
    """
    sent = fields(data)
    corners = tuple(_point(each, LARGEST_SIDE) for each in _list(sent, "corners", 4))
    if len(corners) != 4:
        raise NotAsked("A part has four corners.")
    marks = tuple(_mark(each) for each in _list(sent, "landmarks", MOST_LANDMARKS))
    shows = " ".join(text(sent, "shows").split())
    if not shows:
        raise NotAsked("Say which part of the chart it shows, such as chart, or 0,0 to 60,30.")
    if any(sign in shows for sign in '"#|') or HIDDEN.search(shows):
        raise NotAsked("A part of the chart is a name, or 0,0 to 60,30, or chart.")
    first, second, third, fourth = corners
    sheet = whole(sent, "sheet")
    return Asked(sheet, shows, (first, second, third, fourth), marks, text(sent, "seen"))


def fields(data: bytes) -> dict[str, Any]:
    """Return what was sent as JSON."""
    try:
        sent = json.loads(data.decode("utf-8"))
    except (ValueError, RecursionError) as reason:
        raise NotAsked("The page sent what cannot be read; load it again.") from reason
    if not isinstance(sent, dict):
        raise NotAsked("The page sent what cannot be read; load it again.")
    return sent


def whole(sent: dict[str, Any], name: str) -> int:
    """Return a number from 0."""
    value = sent.get(name)
    if isinstance(value, bool) or not isinstance(value, int) or value < 0:
        raise NotAsked(f"The page sent no {name}; load it again.")
    return value


def text(sent: dict[str, Any], name: str) -> str:
    """Return a short text."""
    value = sent.get(name)
    if not isinstance(value, str) or len(value) > LONGEST_PART:
        raise NotAsked(f"What is sent as {name} is too long, or no text.")
    return value


def _list(sent: dict[str, Any], name: str, most: int) -> list[Any]:
    value = sent.get(name)
    if not isinstance(value, list) or len(value) > most:
        raise NotAsked(f"There are at most {most} {name}.")
    return value


def _point(value: Any, most: float) -> Point:
    if not isinstance(value, list) or len(value) != 2:
        raise NotAsked("A corner is two numbers: pixels across and down.")
    across, down = (number(each, most) for each in value)
    return across, down


def _mark(value: Any) -> Landmark:
    if not isinstance(value, list) or len(value) != 4:
        raise NotAsked("A landmark is four numbers: column, row, pixels across and down.")
    x, y = (number(each, _FARTHEST) for each in value[:2])
    u, v = (number(each, LARGEST_SIDE) for each in value[2:])
    return Landmark(x, y, u, v)


def number(value: Any, most: float) -> float:
    """Return a number from 0 to `most`."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise NotAsked("Where a number belongs stands something else.")
    if not math.isfinite(value) or not 0 <= value <= most:
        raise NotAsked(f"A number is outside 0 to {most:,}.")
    return float(value)


# --- what is to be written into the chart --------------------------------------------------------


@dataclass(frozen=True)
class Cell:
    """One cell of a part, and the sign of the cross it holds; `.` for bare cloth."""

    column: int
    row: int
    sign: str


@dataclass(frozen=True)
class AskedDraft:
    """A first draft of a part as it is laid. known: cells whose thread the user knows."""

    laid: Asked
    known: tuple[Cell, ...]


@dataclass(frozen=True)
class AskedCells:
    """Cells that are to hold other crosses."""

    cells: tuple[Cell, ...]
    seen: str


@dataclass(frozen=True)
class AskedMark:
    """Cells of a part that are to be marked as kept or put right; words: what to say of them."""

    kind: NoteKind
    box: Box
    words: str
    seen: str


@dataclass(frozen=True)
class AskedUnmark:
    """A mark that is to be taken out; at: where it begins in the text of the chart."""

    at: int
    seen: str


def asked_draft(data: bytes) -> AskedDraft:
    """Return the draft that is asked for."""
    return AskedDraft(asked(data), _cells(fields(data), "known"))


def asked_cells(data: bytes) -> AskedCells:
    """Return the cells that are asked for."""
    sent = fields(data)
    cells = _cells(sent, "cells")
    if not cells:
        raise NotAsked("Say which cells are meant.")
    return AskedCells(cells, text(sent, "seen"))


def asked_mark(data: bytes) -> AskedMark:
    """Return the mark that is asked for."""
    sent = fields(data)
    kind = text(sent, "kind")
    if kind not in (NoteKind.KEPT, NoteKind.DEPARTURE):
        raise NotAsked("Cells are marked as `kept` or as a `departure`.")
    box = [_number_of(each) for each in _list(sent, "box", 4)]
    if len(box) != 4 or not (box[0] < box[2] and box[1] < box[3]):
        raise NotAsked("A mark is for cells from one corner to another.")
    words = " ".join(text(sent, "words").split())
    if not words or HIDDEN.search(words):
        raise NotAsked("Say in a few words why the chart is so.")
    left, top, right, bottom = box
    return AskedMark(NoteKind(kind), (left, top, right, bottom), words, text(sent, "seen"))


def asked_unmark(data: bytes) -> AskedUnmark:
    """Return the mark that is to go."""
    sent = fields(data)
    return AskedUnmark(whole(sent, "at"), text(sent, "seen"))


def _cells(sent: dict[str, Any], name: str) -> tuple[Cell, ...]:
    return tuple(map(_cell, _list(sent, name, _MOST_CELLS)))


def _cell(value: Any) -> Cell:
    if not isinstance(value, list) or len(value) != 3 or not isinstance(value[2], str):
        raise NotAsked("A cell is its column, its row and the sign of its cross.")
    return Cell(_number_of(value[0]), _number_of(value[1]), value[2][:LONGEST_PART])


def _number_of(value: Any) -> int:
    number_ = number(value, _FARTHEST)
    if not number_.is_integer():
        raise NotAsked("Columns and rows are whole numbers.")
    return int(number_)
