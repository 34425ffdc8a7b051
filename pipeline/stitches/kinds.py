"""Every kind of stitch, with all that is known of it: written once, as data.

Counts, thread, pictures, signs, words, checks and completion follow from these entries.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from ..core.counted import Counted, Stroke
from ..core.key import Kind, Way
from ..core.model import Point
from ..core.saying import to_count, to_say

MIDDLE = (0.5, 0.5)
CORNERS: Mapping[Way, Point] = {
    Way.TOP_LEFT: (0.0, 0.0),
    Way.TOP_RIGHT: (1.0, 0.0),
    Way.BOTTOM_LEFT: (0.0, 1.0),
    Way.BOTTOM_RIGHT: (1.0, 1.0),
}
_NUMBER = "%(count)s "  # with which each message for so many begins
ASSUMED = Kind.FULL  # what a symbol stands for where no kind is stated


@dataclass(frozen=True)
class Stitch:
    """What is known of a kind of stitch.

    strokes: for each way in which it may lie, in working order; from the last the needle goes to
    the first of the next stitch along the row. Those of a line are worked along it. Empty for what
    stands in a hole. rows: in rows, the first stroke of each stitch is worked on the way out and
    the second on the way back, with the method for it. far: a line whose every written stretch is
    one stitch. bead: it is sewn on and no thread of the key. strands: in the needle, where none
    are stated. placed: the word that puts it into a chart, empty for what fills cells. one:
    what it is called. counted: so many of it, as a line of a list says it. Both are messages of
    the catalogues.
    """

    strokes: Mapping[Way | None, tuple[Stroke, ...]]
    rows: bool
    far: bool
    bead: bool
    strands: int
    placed: str
    one: str
    counted: tuple[str, str]

    @property
    def many(self) -> str:
        """What several are called, in English."""
        return self.counted[1].removeprefix(_NUMBER)


_Strokes = Mapping[Way | None, tuple[Stroke, ...]]

# The upper leg of every cross falls from top left to bottom right, as in rows worked there and
# back from the left.
_RISING = Stroke((0.0, 1.0), (1.0, 0.0), 1)
_FALLING = Stroke((1.0, 1.0), (0.0, 0.0), 2)
_LINE: _Strokes = {
    None: (Stroke((1.0, 0.0), (0.0, 0.0), 0),)
}  # up ahead, down where the last one began


def _turned(stroke: Stroke) -> Stroke:
    return Stroke(stroke.down, stroke.up, stroke.layer)


def _quarter(way: Way) -> Stroke:
    # Between middle and corner such that the way to the same quarter of the next cell is short.
    corner = CORNERS[way]
    stroke = Stroke(corner, MIDDLE, 0)
    return stroke if corner[0] == 0 else _turned(stroke)


_QUARTERS: _Strokes = {way: (_quarter(way),) for way in CORNERS}
# The quarter, then the half cross across its corner.
_THREE_QUARTERS: _Strokes = {
    Way.TOP_LEFT: (Stroke((0.0, 0.0), MIDDLE, 0), _turned(_RISING)),
    Way.TOP_RIGHT: (Stroke((1.0, 0.0), MIDDLE, 0), _turned(_FALLING)),
    Way.BOTTOM_LEFT: (Stroke((0.0, 1.0), MIDDLE, 0), _FALLING),
    Way.BOTTOM_RIGHT: (Stroke((1.0, 1.0), MIDDLE, 0), _RISING),
}


def _cell(strokes: _Strokes, one: str, counted: tuple[str, str], *, rows: bool = False) -> Stitch:
    return Stitch(strokes, rows, False, False, 2, "", one, counted)


def _line(one: str, counted: tuple[str, str], *, far: bool) -> Stitch:
    return Stitch(_LINE, False, far, False, 1, "line", one, counted)


def _point(one: str, counted: tuple[str, str], placed: str, strands: int, *, bead: bool) -> Stitch:
    return Stitch({None: ()}, False, False, bead, strands, placed, one, counted)


STITCHES: Mapping[Kind, Stitch] = {
    Kind.FULL: _cell(
        {None: (_RISING, _FALLING)},
        to_say("full cross"),
        to_count("%(count)s full cross", "%(count)s full crosses"),
        rows=True,
    ),
    Kind.HALF: _cell(
        {Way.UP: (_RISING,), Way.DOWN: (_turned(_FALLING),)},
        to_say("half cross"),
        to_count("%(count)s half cross", "%(count)s half crosses"),
    ),
    Kind.QUARTER: _cell(
        _QUARTERS,
        to_say("quarter stitch"),
        to_count("%(count)s quarter stitch", "%(count)s quarter stitches"),
    ),
    Kind.THREE_QUARTER: _cell(
        _THREE_QUARTERS,
        to_say("three-quarter stitch"),
        to_count("%(count)s three-quarter stitch", "%(count)s three-quarter stitches"),
    ),
    Kind.UPRIGHT: _cell(
        {None: (Stroke((0.5, 1.0), (0.5, 0.0), 1), Stroke((0.0, 0.5), (1.0, 0.5), 2))},
        to_say("upright cross"),
        to_count("%(count)s upright cross", "%(count)s upright crosses"),
    ),
    Kind.BACK: _line(
        to_say("back stitch"),
        to_count("%(count)s back stitch", "%(count)s back stitches"),
        far=False,
    ),
    Kind.STRAIGHT: _line(
        to_say("straight stitch"),
        to_count("%(count)s straight stitch", "%(count)s straight stitches"),
        far=True,
    ),
    Kind.KNOT: _point(
        to_say("French knot"),
        to_count("%(count)s French knot", "%(count)s French knots"),
        "knot",
        2,
        bead=False,
    ),
    Kind.BEAD: _point(
        to_say("bead"), to_count("%(count)s bead", "%(count)s beads"), "bead", 1, bead=True
    ),
    # What is known of these stands with the stitch itself, `Part.stitch`, and so does its name.
    Kind.COUNTED: _cell(
        {None: ()},
        "counted stitch",
        ("%(count)s counted stitch", "%(count)s counted stitches"),
    ),
    Kind.LINED: Stitch(
        {None: ()},
        False,
        False,
        False,
        1,
        "line",
        "line stitch",
        ("%(count)s line stitch", "%(count)s line stitches"),
    ),
    Kind.WOUND: _point("knot", ("%(count)s knot", "%(count)s knots"), "knot", 2, bead=False),
}


def called(kind: Kind, stitch: Counted | None, many: int = 1) -> str:
    """Return what a stitch is called in English, of so many."""
    if stitch is not None:
        return f"of {stitch.called}"
    return STITCHES[kind].one if many == 1 else STITCHES[kind].many


class Laid(Protocol):
    """A stitch as it lies in a cell, such as a part of a key line."""

    @property
    def kind(self) -> Kind:
        """Its kind."""

    @property
    def way(self) -> Way | None:
        """Which way it lies."""


def strokes(part: Laid) -> tuple[Stroke, ...]:
    """Return the strokes of a stitch as it lies, in working order."""
    return STITCHES[part.kind].strokes[part.way]


def quarters(part: Laid) -> frozenset[Way]:
    """Return the quarters of its cell that a stitch runs through, by their corners.

    An upright cross runs between them, through none.
    """
    return frozenset(
        way
        for way, corner in CORNERS.items()
        if any(_meets(stroke, corner) for stroke in strokes(part))
    )


def is_whole(part: Laid) -> bool:
    """Tell whether a stitch fills its cell, so that no other finds room in it."""
    return len(quarters(part)) == len(CORNERS)


def _meets(stroke: Stroke, corner: Point) -> bool:
    """Tell whether a stroke runs through the middle of the quarter at a corner."""
    x, y = ((one + other) / 2 for one, other in zip(corner, MIDDLE, strict=True))
    (x0, y0), (x1, y1) = stroke.up, stroke.down
    aside = (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)
    return aside == 0 and min(x0, x1) <= x <= max(x0, x1) and min(y0, y1) <= y <= max(y0, y1)
