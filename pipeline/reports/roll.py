"""How pieces of one size are cut from a roll of cloth: in strips across it. Lengths are mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ..core.ground import MM_PER_INCH
from ..i18n.figures import CUT_CM, CUT_INCHES, cm, inches, rounded_up

_SLIP = 1e-9  # of a piece


@dataclass(frozen=True)
class ClothMeasures:
    """How a shop measures cloth.

    cut: what the sides of a piece are whole numbers of. straighten: of the roll, to cut its end
    along a thread. sold: what a length off the roll is a whole number of.
    """

    cut: float
    straighten: float
    sold: float


# By half centimetres and tenths of a metre, or by quarter inches and eighths of a yard
# of 36 in. Common practice, no single source.
METRIC = ClothMeasures(CUT_CM, 50.0, 100.0)
YARDS = ClothMeasures(CUT_INCHES, 2 * MM_PER_INCH, 36 / 8 * MM_PER_INCH)


@dataclass(frozen=True)
class Strips:
    """Strips of one height, cut across the whole roll and then into pieces.

    number: of strips. side_by_side: pieces in one strip. across: side of a piece that lies across
    the roll. along: the other side, which is the height of the strip. turned: whether the pieces
    lie a quarter turn from how the chart is held.
    """

    number: int
    side_by_side: int
    across: float
    along: float
    turned: bool

    @property
    def pieces(self) -> int:
        """Pieces in all of them."""
        return self.number * self.side_by_side


@dataclass(frozen=True)
class Plan:
    """What to cut from a roll.

    roll: its width without selvedges. wanted: pieces.
    """

    roll: float
    wanted: int
    measures: ClothMeasures
    strips: tuple[Strips, ...]

    @property
    def spare(self) -> int:
        """Pieces that can be cut beyond those wanted."""
        return sum(each.pieces for each in self.strips) - self.wanted

    @property
    def length(self) -> float:
        """Length of the roll that all strips take."""
        return sum(each.number * each.along for each in self.strips)

    @property
    def buy(self) -> float:
        """Length to buy: with what goes to straighten the end, up to the next step."""
        return rounded_up(self.length + self.measures.straighten, self.measures.sold)

    @property
    def left(self) -> float:
        """Length that is left over at the end of what was bought."""
        return max(0.0, self.buy - self.length - self.measures.straighten)

    def beside(self, strips: Strips) -> float:
        """Return the width that is left at the side of a strip."""
        return max(0.0, self.roll - strips.side_by_side * strips.across)


class TooNarrow(ValueError):
    """No piece lies on the roll; the message says how wide it must be."""


def plan(
    piece: tuple[float, float], wanted: int, roll: float, measures: ClothMeasures, *, turn: bool
) -> Plan:
    """Return the strips that take the least of a roll.

    piece: width and height. turn: whether pieces may be turned. In a strip all pieces lie one
    way. Where strips of both ways, mixed or not, take as much, there are fewer ways, then fewer
    turned.

    Raises:
        TooNarrow: when no piece lies on the roll.
    """
    width, height = piece
    turn = turn and width != height
    upright = _side_by_side(roll, width)
    turned = _side_by_side(roll, height) if turn else 0
    if not upright and not turned:
        narrow, across, down, least = map(_both, (roll, *piece, min(piece) if turn else width))
        raise TooNarrow(
            f"a roll of {narrow} is narrower than a piece of {across} by {down}"
            f"{', turned or not' if turn else ''}; it must be {least} wide at the least."
        )
    number, others = min(
        _filling(wanted, upright, turned),
        key=lambda each: (
            round(each[0] * height + each[1] * width, 6),
            bool(each[0] and each[1]),
            each[1],
        ),
    )
    strips = (
        Strips(number, upright, width, height, turned=False),
        Strips(others, turned, height, width, turned=True),
    )
    return Plan(roll, wanted, measures, tuple(each for each in strips if each.number))


def _both(mm: float) -> str:
    return f"{cm(mm)} cm ({inches(mm)} in)"


def _side_by_side(roll: float, side: float) -> int:
    return int(roll / side + _SLIP)


def _filling(wanted: int, upright: int, turned: int) -> Iterator[tuple[int, int]]:
    """Yield numbers of strips, not turned and turned, that hold all pieces and none to no use."""
    most = math.ceil(wanted / upright) if upright else 0
    for number in range(most + 1):
        rest = max(0, wanted - number * upright)
        if not rest:
            yield number, 0
        elif turned:
            yield number, math.ceil(rest / turned)
