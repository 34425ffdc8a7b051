"""The printed symbols: small shapes of our own, their outlines and how alike they look.

Each shape is one SVG file in `templates/symbols/`, named by what it shows, with a single path in
a box of 100 x 100, y downwards. The path uses only the absolute commands M, L, Q and Z, because
these are what a TrueType glyph is made of, so a shape becomes a glyph without loss. Outer
contours run clockwise on the page and holes the other way round, so that both fill rules give
the same picture.

Where a chart needs more symbols than there are drawings, plain ones are used a second and third
time: standing on a bar (`gusset-on-plank`) and cut out of a dark square (`gusset-in-slab`).

How alike two shapes look is measured by `likeness`, which takes a while, and kept in
`templates/symbols/measures.npz`; a test proves that the file belongs to the drawings.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, cached_property
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from ..core.items import Point

FOLDER = files("linenleaf.templates") / "symbols"
MEASURES = "measures.npz"
BOX = 100.0  # side of the box that a shape is drawn in

Segment = tuple[Point, ...]  # (end,) of a straight line, (control, end) of a quadratic curve

ON_PLANK = "-on-plank"
IN_SLAB = "-in-slab"
PLANK: tuple[Point, ...] = ((12, 77), (88, 77), (88, 89), (12, 89))
PLANK_SCALE, PLANK_TOP = 0.74, 8.0  # of the shape above the bar; where the top of its box comes
SLAB: tuple[Point, ...] = ((8, 8), (92, 8), (92, 92), (8, 92))
SLAB_SCALE = 0.76  # of the shape cut out of the square

# fmt: off
# Drawings plain enough to stay clear at three quarters of their size: what combined shapes are
# made of, save those that would then look too much like another.
_PLAIN = (
    "banner", "beak", "beam", "bow", "bowl", "churn", "dogleg", "drop", "dune", "fan", "fir",
    "fish", "goblet", "gusset", "kite", "ledge", "lozenge", "mushroom", "mussel", "oar", "peak",
    "pearl", "pebbles", "pennant", "pip", "post", "puddle", "quoin", "raft", "reed", "ring",
    "roe", "saw", "scarf", "sheaf", "shear", "skein", "slab", "spar", "sprout", "stay", "steps",
    "tent", "thorn", "tongs", "tree", "trivet", "wedge", "wharf",
)
# Drawings plain and large enough for half their size: part stitches have theirs in a corner.
PLAINEST = frozenset((
    "beam", "bow", "bowl", "churn", "drop", "dune", "fan", "gusset", "kite", "ledge", "lozenge",
    "mushroom", "mussel", "peak", "pennant", "pool", "puddle", "quoin", "raft", "ring", "saw",
    "scarf", "sheaf", "shear", "slab", "spar", "steps", "tent", "wedge", "wharf",
))
# fmt: on
STANDING = tuple(
    name for name in _PLAIN if name not in {"drop", "kite", "mussel", "slab", "sprout"}
)
CUT_OUT = tuple(name for name in _PLAIN if name not in {"puddle", "slab"})
# Drawings that were taken out, and the one that took the place of each.
_FOLLOWERS = {
    "anchor": "cleat",
    "bell": "shear",
    "boat": "wharf",
    "burr": "buckle",
    "clover": "saw",
    "crest": "fringe",
    "daisy": "button",
    "dart": "tongs",
    "flag": "skein",
    "heart": "gusset",
    "key": "trivet",
    "moon": "bowl",
    "shed": "spool",
    "spade": "ledge",
    "spark": "braid",
    "spire": "pegs",
    "starfish": "churn",
    "storm": "dogleg",
    "sun": "treads",
    "tiller": "crook",
}


@dataclass(frozen=True)
class Contour:
    """One closed outline: where it starts, and its segments; the last one ends at the start."""

    start: Point
    segments: tuple[Segment, ...]

    def moved(self, scale: float, dx: float, dy: float) -> Contour:
        """Return the outline scaled about the corner of the box, then moved."""

        def at(point: Point) -> Point:
            return (point[0] * scale + dx, point[1] * scale + dy)

        return Contour(
            at(self.start), tuple(tuple(at(each) for each in one) for one in self.segments)
        )

    def turned_over(self) -> Contour:
        """Return the same outline run the other way round, which makes a hole of it."""
        ends = [self.start, *(segment[-1] for segment in self.segments)]
        back = tuple(
            (*reversed(segment[:-1]), ends[number])
            for number, segment in reversed(list(enumerate(self.segments)))
        )
        return Contour(self.start, back)


Contours = tuple[Contour, ...]


@dataclass(frozen=True)
class Measures:
    """What was measured of every shape.

    names: all shapes in the order of the rows below: first the drawings, then the combined shapes,
        each part ranked so that a shape sets itself off well from those before it.
    coverage: (n,) share of the cell that is ink, 0 to 1.
    differences: (n, n) how different two look, 0 (the same) to 1 (nothing in common).
    digest: SHA-256 of all outlines that were measured.
    """

    names: tuple[str, ...]
    coverage: NDArray[np.float64]
    differences: NDArray[np.float64]
    digest: str

    @cached_property
    def number(self) -> dict[str, int]:
        """The row of each shape."""
        return {name: row for row, name in enumerate(self.names)}

    @cached_property
    def drawn(self) -> int:
        """How many rows, from the first, are drawings."""
        return sum("-" not in name for name in self.names)


@cache
def measures() -> Measures:
    """Return what was measured of every shape, from the file beside the drawings."""
    with (FOLDER / MEASURES).open("rb") as opened, np.load(opened, allow_pickle=False) as kept:
        return Measures(
            names=tuple(str(kept["names"]).split()),
            coverage=kept["coverage"].astype(np.float64) / 255,
            differences=kept["differences"].astype(np.float64) / 255,
            digest=str(kept["digest"]),
        )


@cache
def shape_names() -> tuple[str, ...]:
    """Return the names that `printed NAME` may ask for: drawings, then combined shapes."""
    return tuple(sorted(measures().names, key=lambda name: ("-" in name, name)))


def follower(name: str) -> str | None:
    """Return the name that took the place of one that earlier editions drew; None for others."""
    drawing, dash, rest = name.partition("-")
    later = _FOLLOWERS.get(drawing)
    if later is None:
        return None
    return later + dash + rest if later + dash + rest in measures().number else later


def coverage(name: str) -> float:
    """Return the share of the cell that the shape inks, 0 to 1."""
    kept = measures()
    return float(kept.coverage[kept.number[name]])


def difference(one: str, other: str) -> float:
    """Return how different two shapes look at print size, 0 (the same) to 1 (nothing in common).

    Below `likeness.ALIKE` two symbols may be taken for one another.
    """
    kept = measures()
    return float(kept.differences[kept.number[one], kept.number[other]])


@cache
def outline(name: str) -> Contours:
    """Return the contours of a shape, drawn or combined. The name must be one of ours."""
    if name.endswith(ON_PLANK):
        margin = (BOX - BOX * PLANK_SCALE) / 2
        shape = _drawn(name.removesuffix(ON_PLANK))
        return (
            *(each.moved(PLANK_SCALE, margin, PLANK_TOP - 12 * PLANK_SCALE) for each in shape),
            _polygon(PLANK),
        )
    if name.endswith(IN_SLAB):
        margin = (BOX - BOX * SLAB_SCALE) / 2
        shape = _drawn(name.removesuffix(IN_SLAB))
        return (
            _polygon(SLAB),
            *(each.moved(SLAB_SCALE, margin, margin).turned_over() for each in shape),
        )
    return _drawn(name)


@cache
def symbol_path(name: str) -> str:
    """Return the outline of a shape as SVG path data in a box of 100 x 100, y downwards."""
    return "".join(
        f"M{_pair(contour.start)}"
        + "".join(
            ("L" if len(segment) == 1 else "Q") + " ".join(map(_pair, segment))
            for segment in contour.segments
        )
        + "Z"
        for contour in outline(name)
    )


def drawn_names() -> tuple[str, ...]:
    """Return the names of the drawings in the folder, in alphabetical order."""
    return tuple(
        sorted(
            each.name.removesuffix(".svg") for each in FOLDER.iterdir() if each.name[-4:] == ".svg"
        )
    )


def all_names() -> tuple[str, ...]:
    """Return the drawings and after them the combined shapes, from the folder itself."""
    return (
        *drawn_names(),
        *(name + ON_PLANK for name in STANDING),
        *(name + IN_SLAB for name in CUT_OUT),
    )


def parse(path: str) -> Contours:
    """Return the contours of SVG path data that uses only M, L, Q and Z, all absolute.

    Raises ValueError for anything else: the drawings are ours, and a test reads them all.
    """
    contours = []
    for piece in filter(None, (each.strip() for each in path.split("Z"))):
        steps = re.findall(r"([A-Za-z])([^A-Za-z]*)", piece)
        if not steps or steps[0][0] != "M" or {command for command, _ in steps[1:]} - {"L", "Q"}:
            raise ValueError(f"path outside M, L, Q, Z: {piece[:40]}")
        (start, *more) = _points(steps[0][1])
        segments: list[Segment] = [(each,) for each in more]
        for command, numbers in steps[1:]:
            points = _points(numbers)
            if command == "L":
                segments.extend((point,) for point in points)
            else:
                segments.extend(zip(points[::2], points[1::2], strict=True))
        if segments[-1][-1] != start:
            segments.append((start,))
        contours.append(Contour(start, tuple(segments)))
    return tuple(contours)


@cache
def _drawn(name: str) -> Contours:
    text = (FOLDER / f"{name}.svg").read_text(encoding="utf-8")
    path = re.search(r'<path d="([^"]*)"', text)
    if path is None:
        raise ValueError(f"no path in {name}.svg")
    return parse(path[1])


def _polygon(points: tuple[Point, ...]) -> Contour:
    return Contour(points[0], tuple((each,) for each in (*points[1:], points[0])))


def _points(numbers: str) -> list[Point]:
    values = [float(each) for each in numbers.replace(",", " ").split()]
    return list(zip(values[::2], values[1::2], strict=True))


def _pair(point: Point) -> str:
    return f"{round(point[0], 2):g} {round(point[1], 2):g}"
