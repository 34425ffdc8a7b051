"""In which colours a cell is printed, its ground and its symbol, and where the symbol stands.

A symbol is black or white, whichever stands out more; its contrast never falls below the 4.5 of
WCAG 2.2 (see `colour.ink_for`). Cells that belong to a neighbouring page are printed mixed with
grey, and their symbol is chosen for that mixture.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import assert_never

from ..colour.colour import BLACK, WHITE, channels, contrast, from_linear, ink_for, to_linear
from ..core.key import KeyEntry, Kind, Part, Strands, Way
from ..stitches.kinds import CORNERS, is_whole
from .options import Ink

WHOLE = (0.0, 0.0, 1.0)


@dataclass(frozen=True)
class _Stand:
    """How a symbol stands in a part stitch.

    weight: of several parts it stands in that of the least. side: of its box, in cells. inset:
    from the corner that the stitch lies in, None where it stands in the middle.
    """

    weight: int
    side: float
    inset: float | None = None


def _stand(kind: Kind) -> _Stand:
    match kind:
        case Kind.FULL:
            return _Stand(0, 1.0)
        case Kind.THREE_QUARTER:
            return _Stand(1, 0.54, 0.02)
        case Kind.HALF:
            return _Stand(2, 0.6)
        case Kind.UPRIGHT:
            return _Stand(3, 0.56)
        case Kind.QUARTER:
            return _Stand(4, 0.5, 0.0)
        case (
            Kind.BACK
            | Kind.STRAIGHT
            | Kind.KNOT
            | Kind.BEAD
            | Kind.COUNTED
            | Kind.LINED
            | Kind.WOUND
        ):
            raise ValueError(f"{kind} bears no symbol in a cell")
        case _:
            assert_never(kind)


def main_part(entry: KeyEntry) -> Part:
    """Return the part of a cell's key line that its symbol stands in."""
    return min(entry.parts, key=lambda each: _stand(each.kind).weight)


def symbol_box(entry: KeyEntry) -> tuple[float, float, float]:
    """Return the corner (x, y) and side of the box of a symbol, in cells from the top left.

    The box lies within the shape that `crosses` draws for the part stitch.
    """
    if not entry.is_cell or entry.counted is not None:
        return WHOLE
    part = main_part(entry)
    stand = _stand(part.kind)
    side, inset = stand.side, stand.inset
    if inset is None or part.way is None:
        return (1 - side) / 2, (1 - side) / 2, side
    far = 1 - inset - side
    x, y = CORNERS[part.way]
    return far if x else inset, far if y else inset, side


VEIL = "#e6e6e6"  # ground of cells that belong to a neighbouring page
VEILED, VEILED_TINT = 0.62, 0.8  # share of the veil in such a cell; the same of a tint
LUMA = 0.299, 0.587, 0.114  # ITU-R BT.601
DARKEST, RANGE = 40, 0.72  # greys of threads where only black is printed, of 255
PALE = 0.62  # share of white in a pale tint: black on the darkest one has a contrast of 7.6
FAINT = 2.5  # contrast with paper below which a coloured stroke gets a dark edge
EDGE = "#404040"


@dataclass(frozen=True)
class Region:
    """The part of a cell that a part stitch covers: kind and way name its shape."""

    kind: Kind
    way: Way | None
    fill: str  # empty when not filled
    stroke: str


@dataclass(frozen=True)
class Paint:
    """How the cells of one key line are printed.

    fill: ground of the whole cell, empty for none. symbol: colour of the symbol. regions: what
    part stitches cover, empty for a full cross; the symbol stands within the last one.
    """

    fill: str
    symbol: str
    regions: tuple[Region, ...] = ()


NO_PAINT = Paint("", BLACK)


def mix(colour: str, other: str, share: float) -> str:
    """Return a colour with a share (0 to 1) of another, mixed as a screen shows them."""
    pairs = zip(channels(colour), channels(other), strict=True)
    return "#" + "".join(f"{round(one + (two - one) * share):02x}" for one, two in pairs)


def needle_colour(needle: Sequence[Strands]) -> str:
    """Return the colour of what is in the needle; strands of a blend mix their light."""
    if len(needle) == 1:
        return needle[0].thread.colour
    strands = sum(each.strands for each in needle) or 1
    light = [0.0, 0.0, 0.0]
    for each in needle:
        for at, channel in enumerate(channels(each.thread.colour)):
            light[at] += to_linear(channel / 255) * each.strands / strands
    return "#" + "".join(f"{round(255 * from_linear(each)):02x}" for each in light)


def grey(colour: str) -> str:
    """Return the grey of a colour, dark enough for white thread to show on paper."""
    luma = sum(share * each for share, each in zip(LUMA, channels(colour), strict=True))
    return "#" + 3 * f"{round(DARKEST + luma * RANGE):02x}"


def paint(entry: KeyEntry, ink: Ink, veiled: bool = False, plain: bool = False) -> Paint:
    """Return how a cell of a key line is printed; a line, knot or bead has no cell.

    Nor has a counted stitch, which is drawn by its strokes (see `counted`).

    veiled: the cell belongs to a neighbouring page. plain: it is too small for a symbol, and is
    filled with grey where only black is printed.
    """
    if not entry.is_cell or entry.counted is not None:
        return NO_PAINT
    ground = VEIL if veiled else ""
    main = main_part(entry)
    whole = is_whole(main)
    # The main part comes last, so that it lies on top where two parts cross.
    parts = () if whole else (*(part for part in entry.parts if part is not main), main)
    regions = tuple(_region(part, ink, veiled, plain) for part in parts)
    if ink.black and not plain:
        return Paint(ground, BLACK, regions)
    fill = _fill(needle_colour(main.needle), ink, veiled)
    return Paint(fill if whole else ground, ink_for(fill), regions)


def stroke_colour(colour: str, ink: Ink) -> str:
    """Return the colour of a drawn line: that of the thread, or black."""
    return BLACK if ink.black else colour


def faint(colour: str) -> bool:
    """Tell whether a stroke of this colour needs a dark edge to be seen on paper."""
    return contrast(colour, WHITE) < FAINT


def _fill(colour: str, ink: Ink, veiled: bool) -> str:
    match ink:
        case Ink.SYMBOLS:
            return grey(colour)
        case Ink.TINTS:
            fill = mix(colour, WHITE, PALE)
            return mix(fill, VEIL, VEILED_TINT) if veiled else fill
        case Ink.COLOUR:
            return mix(colour, VEIL, VEILED) if veiled else colour
        case _:
            assert_never(ink)


def _region(part: Part, ink: Ink, veiled: bool, plain: bool) -> Region:
    colour = needle_colour(part.needle)
    if ink.black and not plain:
        return Region(part.kind, part.way, "", BLACK)
    printed = grey(colour) if ink.black else colour
    edge = EDGE if faint(printed) else mix(printed, BLACK, 0.35)
    return Region(part.kind, part.way, _fill(colour, ink, veiled), edge)
