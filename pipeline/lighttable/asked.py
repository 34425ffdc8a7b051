"""What the page sends, looked at before anything is done with it."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from typing import Any

from ..core.characters import HIDDEN
from ..core.raster import LARGEST_SIDE
from ..photograph.placing import Landmark, Point
from ..resolve.photographs import MOST_LANDMARKS

LONGEST_PART = 200  # characters of what a photograph shows
_FARTHEST = 10_000  # crosses


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
