"""How the lines, knots and beads of each key line are told apart, in colour and without.

A stroke is never cut within a stitch: lines differ by their weight, by the gaps at their holes, and
by what stands at the holes or on the stroke; knots and beads by a mark. Where there are more than
can differ so, a letter stands beside them. Counted stitches of one sort differ, where only black is
printed, by what is left white along the middle of their strokes. Lengths are in cells.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..colour.colour import WHITE, contrast, lightness
from ..core.key import KeyEntry
from ..core.model import Design
from ..stitches.kinds import STITCHES, is_far
from .ink import EDGE, faint, needle_colour, stroke_colour
from .options import Ink


@dataclass(frozen=True)
class Look:
    """What a line looks like, whatever its colour.

    weight: of the stroke, as a share of `LINE`. gap: clear space at each hole. core: share of the
    stroke that is left white along its middle; rungs: how long it is white there and then not, in
    turn. knob: radius of a disc at each hole. tick: half the length of a bar across each stitch;
    ticks: how many of them. Every look shows where its holes are, by gaps or knobs.
    """

    weight: float = 1.0
    gap: float = 0.0
    core: float = 0.0
    knob: float = 0.0
    tick: float = 0.0
    ticks: int = 1
    rungs: tuple[float, float] | None = None


LOOKS = (
    Look(gap=0.1),
    Look(0.7, gap=0.12, tick=0.2, ticks=2),
    Look(0.5, knob=0.17),
    Look(2.0, gap=0.12, core=0.45, rungs=(0.24, 0.12)),  # no gap in a grid looks like a ladder
    Look(0.55, gap=0.14, tick=0.26),
    Look(1.7, gap=0.14),
    Look(0.5, gap=0.2),
    Look(gap=0.25, knob=0.15),
)
MARKS = ("plain", "dot", "bar", "cross", "upright", "ring", "saltire", "slope")
LINE, HALO, RIM = 0.16, 0.11, 0.035  # width of a line; clear space and dark rim on each side of it
LEAST, MOST = 0.42, 0.85  # mm; bounds of the width of a line
KNOT, BEAD = 0.27, 0.29  # radius
MARK, SIGN = 0.5, 2.8  # half the side of the sign beside stitches: of a symbol; mm, at most
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # without I and O, which may be taken for figures


@dataclass(frozen=True)
class Core:
    """What is left white along the middle of the strokes of counted stitches.

    share: of the width of the stroke. dashes: how much of it is white, black, white, black and so
    on from its start, in widths of the stroke; empty where it is white all along.
    """

    share: float = 0.0
    dashes: tuple[float, ...] = ()


CORES = (Core(), Core(0.42, (0.42, 1.0)), Core(0.42, (1.5, 0.7)), Core(0.45))  # darkest first
LIGHTER = (35, 58, 75)  # L* of CIE 15:2004 from which a thread has the second of CORES, and so on


@dataclass(frozen=True)
class Sign:
    """What stands beside stitches: a symbol, or the letter of a key line; x, y: its middle."""

    text: str
    figure: bool
    x: float
    y: float


@dataclass(frozen=True)
class LineStyle:
    """How one key line of stitches is drawn.

    rim: colour of a dark edge, empty for none. letter: that stands beside, empty for none.
    """

    index: int
    colour: str
    rim: str
    look: Look
    straight: bool
    letter: str


@dataclass(frozen=True)
class PointStyle:
    """How the knots or beads of one key line are drawn. mark: one of MARKS, in the middle."""

    index: int
    colour: str
    rim: str
    bead: bool
    mark: str
    mark_colour: str
    letter: str


def letters(design: Design) -> dict[int, str]:
    """Return the letters of the key lines that have one, in their order: notes have figures.

    Those are counted stitches along lines, all other lines where there are more than LOOKS, and
    all knots, or beads, where there are more than MARKS of them.
    """
    plain = [entry for entry in design.key if _plain(entry)]
    points = [STITCHES[entry.parts[0].kind].bead for entry in design.key if entry.is_point]

    def lettered(entry: KeyEntry) -> bool:
        if entry.is_line:
            return not _plain(entry) or len(plain) > len(LOOKS)
        return entry.is_point and points.count(STITCHES[entry.parts[0].kind].bead) > len(MARKS)

    lines = [index for index, entry in enumerate(design.key, 1) if lettered(entry)]
    return {index: _letter(at) for at, index in enumerate(lines)}


def _letter(at: int) -> str:
    many, last = divmod(at, len(LETTERS))
    return (_letter(many - 1) if many else "") + LETTERS[last]


def cores(design: Design) -> dict[int, Core]:
    """Return how the strokes of each key line of counted stitches look where only black is printed.

    Each goes by the lightness of its thread, and leaves that look where a line before it, of the
    same stitch, has it: for the nearest that is left. So a line added at the end of the key changes
    no other.
    """
    taken: dict[str, list[Core]] = {}
    looks: dict[int, Core] = {}
    for index, entry in enumerate(design.own_key or design.key, 1):
        stitch = entry.parts[0].stitch
        if stitch is None or entry.is_point:
            continue
        if entry.turned_from:
            looks[index] = looks[entry.turned_from]
            continue
        light = lightness(needle_colour(entry.parts[0].needle))
        wanted = sum(light >= least for least in LIGHTER)
        before = taken.setdefault("" if entry.is_line else stitch.name, [])
        looks[index] = min(
            CORES, key=lambda core: (before.count(core), abs(CORES.index(core) - wanted))
        )
        before.append(looks[index])
    return looks


def _plain(entry: KeyEntry) -> bool:
    """Tell whether a key line is one of lines that are not drawn by strokes of their own."""
    return entry.is_line and entry.parts[0].stitch is None


def line_styles(design: Design, ink: Ink) -> dict[int, LineStyle]:
    """Return the style of each line of the key by its index, in the order of the key.

    Counted stitches along lines are drawn by their strokes (see `counted`).
    """
    styles: dict[int, LineStyle] = {}
    beside = letters(design)
    for index, entry in enumerate(design.key, 1):
        if _plain(entry):
            straight = is_far(entry.parts[0])
            colour = stroke_colour(needle_colour(entry.parts[0].needle), ink)
            rim = EDGE if faint(colour) else ""
            look = LOOKS[len(styles) % len(LOOKS)]
            letter = beside.get(index, "")
            styles[index] = LineStyle(index, colour, rim, look, straight, letter)
    return styles


def point_styles(design: Design, ink: Ink) -> dict[int, PointStyle]:
    """Return the style of each knot or bead of the key by its index, in the order of the key."""
    styles: dict[int, PointStyle] = {}
    seen = {True: 0, False: 0}
    beside = letters(design)
    for index, entry in enumerate(design.key, 1):
        if entry.is_point:
            bead = STITCHES[entry.parts[0].kind].bead
            colour = stroke_colour(needle_colour(entry.parts[0].needle), ink)
            rim = EDGE if faint(colour) else ""
            mark = MARKS[seen[bead] % len(MARKS)]
            seen[bead] += 1
            dark = bead or contrast(colour, EDGE) > contrast(colour, WHITE)
            on = EDGE if dark else WHITE
            letter = beside.get(index, "")
            styles[index] = PointStyle(index, colour, rim, bead, mark, on, letter)
    return styles
