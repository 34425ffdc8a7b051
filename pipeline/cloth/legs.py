"""The legs of a cell stitch: which thread runs from which hole to which, in working order.

Places are in shares of the cell, x right and y down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..core.counted import Stroke
from ..core.model import KeyEntry, Part, Point, Strands
from ..stitches.kinds import MIDDLE, strokes

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
    legs = [_leg(number, each) for number, part in enumerate(parts) for each in strokes(part)]
    return tuple(sorted(legs, key=lambda leg: (leg.order, leg.part)))


def _leg(number: int, stroke: Stroke) -> Leg:
    """Return a stroke as it is drawn: from the rim of its cell, from the left, or from below."""
    ends = stroke.up, stroke.down
    start, end = sorted(ends, key=lambda at: (at == MIDDLE, at[0], -at[1]))
    return Leg(start, end, number, stroke.layer)


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
