"""How back stitch, straight stitch, knots and beads are drawn, so that no two look alike.

Lines differ by dash as well as by colour, knots and beads by a mark as well: a black-and-white
copy still tells them apart. Lengths are in cells.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import assert_never

from ..colour.colour import WHITE, contrast
from ..core.model import Design, Kind
from .ink import EDGE, faint, needle_colour, stroke_colour
from .options import Ink

# Each begins anew with the cell, so that a stitch of one cell already shows which line it is.
DASHES: tuple[tuple[float, ...], ...] = (
    (),
    (0.62, 0.38),
    (0.0, 0.3333),
    (0.34, 0.16),
    (0.5, 0.2, 0.1, 0.2),
    (1.6, 0.4),
    (0.16, 0.09),
    (0.9, 0.2, 0.0, 0.3, 0.0, 0.6),
)
MARKS = ("plain", "dot", "bar", "cross")
LINE, HALO, RIM = 0.16, 0.11, 0.035  # width of a line; clear space and dark rim on each side of it
LEAST, MOST = 0.42, 0.85  # mm; bounds of the width of a line
KNOT, BEAD = 0.27, 0.29  # radius


@dataclass(frozen=True)
class LineStyle:
    """How one key line of stitches is drawn. rim: colour of a dark edge, empty for none."""

    index: int
    colour: str
    rim: str
    dash: tuple[float, ...]
    straight: bool

    @property
    def round(self) -> bool:
        """Whether dashes have round ends; a dash of no length is then a dot."""
        return 0.0 in self.dash[::2]


@dataclass(frozen=True)
class PointStyle:
    """How the knots or beads of one key line are drawn. mark: one of MARKS, in the middle."""

    index: int
    colour: str
    rim: str
    bead: bool
    mark: str
    mark_colour: str


def line_styles(design: Design, ink: Ink) -> dict[int, LineStyle]:
    """Return the style of each line of the key by its index, in the order of the key."""
    found: dict[int, LineStyle] = {}
    for index, entry in enumerate(design.key, 1):
        if entry.is_line:
            straight = _is_straight(entry.parts[0].kind)
            colour = stroke_colour(needle_colour(entry.parts[0].needle), ink)
            rim = EDGE if faint(colour) else ""
            dash = DASHES[len(found) % len(DASHES)]
            found[index] = LineStyle(index, colour, rim, dash, straight)
    return found


def point_styles(design: Design, ink: Ink) -> dict[int, PointStyle]:
    """Return the style of each knot or bead of the key by its index, in the order of the key."""
    found: dict[int, PointStyle] = {}
    seen = {True: 0, False: 0}
    for index, entry in enumerate(design.key, 1):
        if entry.is_point:
            bead = is_bead(entry.parts[0].kind)
            colour = stroke_colour(needle_colour(entry.parts[0].needle), ink)
            pale = faint(colour)
            mark = MARKS[seen[bead] % len(MARKS)]
            seen[bead] += 1
            dark = bead or contrast(colour, EDGE) > contrast(colour, WHITE)
            on = EDGE if dark else WHITE
            found[index] = PointStyle(index, colour, EDGE if pale else "", bead, mark, on)
    return found


def _is_straight(kind: Kind) -> bool:
    """Tell whether a line is drawn with discs at its ends."""
    match kind:
        case Kind.STRAIGHT:
            return True
        case Kind.BACK:
            return False
        case (
            Kind.FULL
            | Kind.HALF
            | Kind.QUARTER
            | Kind.THREE_QUARTER
            | Kind.UPRIGHT
            | Kind.KNOT
            | Kind.BEAD
        ):
            raise ValueError(f"{kind} is no line")
        case _:
            assert_never(kind)


def is_bead(kind: Kind) -> bool:
    """Tell whether a point is drawn as a ring, for a bead, or as a disc, for a knot."""
    match kind:
        case Kind.BEAD:
            return True
        case Kind.KNOT:
            return False
        case (
            Kind.FULL
            | Kind.HALF
            | Kind.QUARTER
            | Kind.THREE_QUARTER
            | Kind.UPRIGHT
            | Kind.BACK
            | Kind.STRAIGHT
        ):
            raise ValueError(f"{kind} is no point")
        case _:
            assert_never(kind)


def line_width(cell: float) -> float:
    """Return the width of a drawn line in cells, for cells of so many mm."""
    return min(max(LINE * cell, LEAST), MOST) / cell
