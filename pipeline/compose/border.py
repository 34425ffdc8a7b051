"""Where the parts of a border lie."""

from __future__ import annotations

from dataclasses import dataclass

from ..core.model import Border, Mirror, Motif
from ..stitches.turn import AS_DRAWN, Turn

_RIGHT = Turn(quarters=1)
_HALF = Turn(quarters=2)
_LEFT = Turn(quarters=3)
_FLIPPED = Turn.of(Mirror.LEFT_RIGHT)
_UPSIDE_DOWN = Turn.of(Mirror.TOP_BOTTOM)


@dataclass(frozen=True)
class Side:
    """A run of repeats, or one corner: `count` copies of a motif from x, y on by a step.

    All in fabric threads.
    """

    motif: str
    turn: Turn
    x: int
    y: int
    step_x: int = 0
    step_y: int = 0
    count: int = 1


@dataclass(frozen=True)
class Remainder:
    """A side that the repeat does not fill: threads left over, and chart sizes that would fit.

    across: whether top and bottom are meant. room, repeat and left are in threads. room is
    below 0 where the corners alone are too long.
    """

    across: bool
    room: int
    repeat: int
    left: int
    fits: tuple[int, ...]


def sides(
    border: Border,
    repeat: Motif,
    corner: Motif | None,
    size: tuple[int, int],
    over: int,
) -> tuple[tuple[Side, ...], tuple[Remainder, ...]]:
    """Return the corners and sides of a border, or what does not divide.

    size: width and height of the chart in crosses. Without a corner motif the corners stay
    bare, as large as the repeat is high.
    """
    cell = repeat.over or over
    length, depth = repeat.width * cell, repeat.height * cell
    square = depth if corner is None else corner.width * (corner.over or over)
    ends = 2 * (border.inset * over + square)
    remainders = tuple(
        _remainder(across, crosses, over, ends, length)
        for across, crosses in ((True, size[0]), (False, size[1]))
        if (crosses * over - ends) % length or crosses * over < ends
    )
    if remainders:
        return (), remainders

    inset = border.inset * over
    near = inset + square  # where a side begins
    right, bottom = size[0] * over - inset, size[1] * over - inset
    across = (size[0] * over - ends) // length
    down = (size[1] * over - ends) // length
    if border.mirrored:
        turns = (AS_DRAWN, _LEFT.then(_FLIPPED), _UPSIDE_DOWN, _LEFT)
        corner_turns = (AS_DRAWN, _FLIPPED, _HALF, _UPSIDE_DOWN)
    else:
        turns = corner_turns = (AS_DRAWN, _RIGHT, _HALF, _LEFT)
    run = (
        Side(repeat.name, turns[0], near, inset, length, 0, across),
        Side(repeat.name, turns[1], right - depth, near, 0, length, down),
        Side(repeat.name, turns[2], near, bottom - depth, length, 0, across),
        Side(repeat.name, turns[3], inset, near, 0, length, down),
    )
    if corner is None:
        return run, ()
    places = (
        (inset, inset),
        (right - square, inset),
        (right - square, bottom - square),
        (inset, bottom - square),
    )
    corners = tuple(
        Side(corner.name, turn, x, y) for turn, (x, y) in zip(corner_turns, places, strict=True)
    )
    return corners + run, ()


def _remainder(across: bool, crosses: int, over: int, ends: int, length: int) -> Remainder:
    room = crosses * over - ends

    def fits(candidate: int) -> bool:
        left = candidate * over - ends
        return left >= 0 and left % length == 0

    # Whole repeats come round again within `length` crosses, if they ever do.
    least = max(1, -(-ends // over))
    below = next(
        (each for each in range(crosses - 1, max(0, crosses - length - 1), -1) if fits(each)), None
    )
    start = max(crosses + 1, least)
    above = next((each for each in range(start, start + length + 1) if fits(each)), None)
    fitting = tuple(each for each in (below, above) if each is not None)
    return Remainder(across, room, length, room % length if room > 0 else 0, fitting)
