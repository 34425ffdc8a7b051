"""The legs of a cell stitch: which thread runs from which hole to which, in working order.

Places are in shares of the cell, x right and y down. The upper leg of a cross falls from top
left to bottom right, as in rows worked there and back from the left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..core.model import KeyEntry, Kind, Part, Point, Strands, Way

CORNERS = {
    Way.TOP_LEFT: (0.0, 0.0),
    Way.TOP_RIGHT: (1.0, 0.0),
    Way.BOTTOM_LEFT: (0.0, 1.0),
    Way.BOTTOM_RIGHT: (1.0, 1.0),
}
RISING = ((0.0, 1.0), (1.0, 0.0))
FALLING = ((0.0, 0.0), (1.0, 1.0))
MIDDLE = (0.5, 0.5)
MOST_STRANDS = 4  # more lie on top of each other and cannot be told apart


@dataclass(frozen=True)
class Leg:
    """One thread from hole to hole. part: index of the part it belongs to."""

    start: Point
    end: Point
    part: int
    order: int  # legs of a lower order are laid first


def legs_of(parts: Sequence[Part]) -> tuple[Leg, ...]:
    """Return the legs of a cell's parts in the order in which they lie on the cloth."""
    legs = [leg for number, part in enumerate(parts) for leg in _legs(number, part)]
    return tuple(sorted(legs, key=lambda leg: (leg.order, leg.part)))


def _legs(number: int, part: Part) -> list[Leg]:
    corner = part.way if part.way in CORNERS else Way.TOP_LEFT
    quarter = Leg(CORNERS[corner], MIDDLE, number, 0)
    rising, falling = Leg(*RISING, number, 1), Leg(*FALLING, number, 2)
    match part.kind:
        case Kind.FULL:
            return [rising, falling]
        case Kind.UPRIGHT:
            level = Leg((0.0, 0.5), (1.0, 0.5), number, 2)
            return [Leg((0.5, 1.0), (0.5, 0.0), number, 1), level]
        case Kind.HALF:
            return [falling if part.way is Way.DOWN else rising]
        case Kind.QUARTER:
            return [quarter]
        case _:
            # A three-quarter: the half cross across the corner of its quarter lies on top.
            return [quarter, rising if corner in (Way.TOP_LEFT, Way.BOTTOM_RIGHT) else falling]


@dataclass(frozen=True)
class Build:
    """How a key entry is drawn, colour apart, so that entries built alike share a drawing.

    legs: in working order. slots: for each part the colour slot of each strand seen.
    strands: for each part the strands in the needle.
    """

    legs: tuple[Leg, ...]
    slots: tuple[tuple[int, ...], ...]
    strands: tuple[int, ...]


def build(entry: KeyEntry) -> tuple[Build, tuple[str, ...]]:
    """Return how an entry is built and the colour (`#rrggbb`) of each slot."""
    colours: list[str] = []
    slots: list[tuple[int, ...]] = []
    for part in entry.parts:
        first = len(colours)
        colours.extend(each.thread.colour for each in part.needle)
        slots.append(seen(part.needle, first))
    strands = tuple(sum(each.strands for each in part.needle) for part in entry.parts)
    return Build(legs_of(entry.parts), tuple(slots), strands), tuple(colours)


def seen(needle: Sequence[Strands], first: int) -> tuple[int, ...]:
    """Return the colour slot of each strand that is seen.

    The slots of the needle's threads count from `first`. Strands of a blend are dealt out in
    turn, and each of its threads is seen at least once.
    """
    each = [[first + number] * max(1, needled.strands) for number, needled in enumerate(needle)]
    dealt = [slot for turn in range(max(map(len, each))) for slot in _nth(each, turn)]
    return tuple(dealt[: max(MOST_STRANDS, len(needle))])


def _nth(lists: Sequence[Sequence[int]], turn: int) -> list[int]:
    return [each[turn] for each in lists if turn < len(each)]
