"""Every kind of stitch, with all that is known of it, as the shipped file has it.

Counts, thread, pictures, signs, words, checks and completion follow from there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ..core.counted import Counted, Stroke
from ..core.items import Point
from ..core.key import Kind, Lies, Part, Way
from ..core.saying import to_count, to_say
from .shipped import shipped
from .turn import Turn

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


# What so many of a kind are called, which its entry in the shipped file does not say.
_SO_MANY: Mapping[Kind, tuple[str, str]] = {
    Kind.FULL: to_count("%(count)s full cross", "%(count)s full crosses"),
    Kind.HALF: to_count("%(count)s half cross", "%(count)s half crosses"),
    Kind.QUARTER: to_count("%(count)s quarter stitch", "%(count)s quarter stitches"),
    Kind.THREE_QUARTER: to_count(
        "%(count)s three-quarter stitch", "%(count)s three-quarter stitches"
    ),
    Kind.UPRIGHT: to_count("%(count)s upright cross", "%(count)s upright crosses"),
    Kind.BACK: to_count("%(count)s back stitch", "%(count)s back stitches"),
    Kind.STRAIGHT: to_count("%(count)s straight stitch", "%(count)s straight stitches"),
    Kind.KNOT: to_count("%(count)s French knot", "%(count)s French knots"),
    Kind.BEAD: to_count("%(count)s bead", "%(count)s beads"),
    # What is known of these stands with the stitch itself, `Part.stitch`, and so does its name.
    Kind.COUNTED: ("%(count)s counted stitch", "%(count)s counted stitches"),
    Kind.LINED: ("%(count)s line stitch", "%(count)s line stitches"),
    Kind.WOUND: ("%(count)s knot", "%(count)s knots"),
}
_BEAD = to_say("bead")
_IN_CHARTS = {Lies.CELL: "", Lies.LINE: "line", Lies.POINT: "knot"}
_USUAL = {Lies.CELL: 2, Lies.LINE: 1, Lies.POINT: 2}  # strands


def _entries(kind: Kind) -> Mapping[Way | None, Counted]:
    """Return what the shipped file says of a kind, by the ways in which it may lie."""
    names = {way: f"{kind}-{way}" for way in Way} if kind.value not in shipped() else {None: kind}
    return {way: shipped()[name] for way, name in names.items() if name in shipped()}


def _stitch(kind: Kind) -> Stitch:
    entries = _entries(kind)
    first = next(iter(entries.values()), None)
    so_many = _SO_MANY[kind]
    # A bead is sewn on: no thread of the key makes a stroke for it, so that the file has none.
    bead = first is None and not kind.by_strokes
    called = _BEAD if bead else so_many[0].removeprefix(_NUMBER)
    return Stitch(
        {way: _shares(entry) for way, entry in entries.items()} or {None: ()},
        rows=first is not None and first.journeys > 1,
        far=first is not None and first.per_stretch,
        bead=bead,
        strands=1 if bead else _USUAL[kind.lies],
        placed=_BEAD if bead else _IN_CHARTS[kind.lies],
        one=called if first is None else first.title,
        counted=so_many,
    )


def _shares(entry: Counted) -> tuple[Stroke, ...]:
    """Return strokes as shares of what they are stretched over."""
    width, height = (max(side, 1) for side in entry.over)

    def share(at: Point) -> Point:
        return at[0] / width, at[1] / height

    strokes = [Stroke(share(stroke.up), share(stroke.down)) for stroke in entry.each]
    return tuple(replace(stroke, layer=_layer(stroke)) for stroke in strokes)


def _layer(stroke: Stroke) -> int:
    """Return where a stroke lies among others: those to the middle first, falling ones last.

    So the upper leg of every cross falls from top left to bottom right, as in rows worked there
    and back from the left, and that of an upright one lies level.
    """
    (x0, y0), (x1, y1) = stroke.up, stroke.down
    if MIDDLE in (stroke.up, stroke.down) or not max(y0, y1):
        return 0  # to the middle, or on a line
    return 2 if (x1 - x0) * (y1 - y0) > 0 or y0 == y1 else 1


STITCHES: Mapping[Kind, Stitch] = {kind: _stitch(kind) for kind in Kind}
OF_KINDS = {entry.name for kind in Kind for entry in _entries(kind).values()}
# The shipped stitches that the key names as they are; the others it calls by their kind.
NAMED: Mapping[str, Counted] = {
    name: stitch for name, stitch in shipped().items() if name not in OF_KINDS
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


def turned_way(part: Laid, turn: Turn) -> Way | None:
    """Return how a stitch lies after a turn: the way whose strokes join the same holes."""
    ways = STITCHES[part.kind].strokes
    if len(ways) == 1:
        return part.way
    holes = {frozenset(map(tuple, turn.points(_ends(one), 1, 1).tolist())) for one in strokes(part)}
    return next(
        way for way, some in ways.items() if {frozenset(_holes(one)) for one in some} == holes
    )


def _holes(stroke: Stroke) -> tuple[Point, Point]:
    return stroke.up, stroke.down


def _ends(stroke: Stroke) -> NDArray[np.float64]:
    return np.array(_holes(stroke))


def is_far(part: Part) -> bool:
    """Tell whether every written stretch of its line is one stitch."""
    stitch = part.stitch
    return STITCHES[part.kind].far if stitch is None else stitch.per_stretch


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
