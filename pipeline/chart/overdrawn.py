"""What is drawn over the cells, cut off at a page's edge: lines, knots and beads, and how.

Lines differ by dash as well as by colour, knots and beads by a mark as well: a black-and-white
copy still tells them apart. Lengths are in cells.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ..colour.colour import WHITE, contrast
from ..compose.worked import WorkedKnot, WorkedLine
from ..core.model import Box, Design, Point
from ..stitches.kinds import STITCHES
from .crosses import mark_path
from .ink import EDGE, faint, needle_colour, stroke_colour
from .options import Ink


def meet(one: Box, other: Box) -> Box | None:
    """Return the common area of two boxes, None when there is none; a touch counts."""
    x0, y0 = max(one[0], other[0]), max(one[1], other[1])
    x1, y1 = min(one[2], other[2]), min(one[3], other[3])
    return (x0, y0, x1, y1) if x0 <= x1 and y0 <= y1 else None


def segment(start: Point, end: Point, box: Box) -> tuple[Point, Point] | None:
    """Return the part of a segment inside a box, None when there is none.

    Source: Y.-D. Liang and B. A. Barsky, "A new concept and method for line clipping", ACM
    Transactions on Graphics 3(1), 1984, 1-22.
    """
    dx, dy = end[0] - start[0], end[1] - start[1]
    first, last = 0.0, 1.0
    for towards, room in (
        (-dx, start[0] - box[0]),
        (dx, box[2] - start[0]),
        (-dy, start[1] - box[1]),
        (dy, box[3] - start[1]),
    ):
        if towards == 0:
            if room < 0:
                return None
        elif towards < 0:
            first = max(first, room / towards)
        else:
            last = min(last, room / towards)
    if first > last:
        return None
    return (
        (start[0] + first * dx, start[1] + first * dy),
        (start[0] + last * dx, start[1] + last * dy),
    )


def polyline(points: Sequence[Point], box: Box) -> list[list[Point]]:
    """Return the parts of a line through points that lie inside a box, each as its points."""
    polylines: list[list[Point]] = []
    for start, end in pairwise(points):
        cut = segment(start, end, box)
        if cut is None or cut[0] == cut[1]:
            continue
        if polylines and polylines[-1][-1] == cut[0] == start:
            polylines[-1].append(cut[1])
        else:
            polylines.append(list(cut))
    return polylines


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
    """Return the style of each line of the key by its index, in the order of the key.

    Counted stitches along lines are drawn by their strokes (see `counted`).
    """
    styles: dict[int, LineStyle] = {}
    for index, entry in enumerate(design.key, 1):
        if entry.is_line and entry.parts[0].stitch is None:
            straight = STITCHES[entry.parts[0].kind].far
            colour = stroke_colour(needle_colour(entry.parts[0].needle), ink)
            rim = EDGE if faint(colour) else ""
            dash = DASHES[len(styles) % len(DASHES)]
            styles[index] = LineStyle(index, colour, rim, dash, straight)
    return styles


def point_styles(design: Design, ink: Ink) -> dict[int, PointStyle]:
    """Return the style of each knot or bead of the key by its index, in the order of the key."""
    styles: dict[int, PointStyle] = {}
    seen = {True: 0, False: 0}
    for index, entry in enumerate(design.key, 1):
        if entry.is_point:
            bead = STITCHES[entry.parts[0].kind].bead
            colour = stroke_colour(needle_colour(entry.parts[0].needle), ink)
            pale = faint(colour)
            mark = MARKS[seen[bead] % len(MARKS)]
            seen[bead] += 1
            dark = bead or contrast(colour, EDGE) > contrast(colour, WHITE)
            on = EDGE if dark else WHITE
            styles[index] = PointStyle(index, colour, EDGE if pale else "", bead, mark, on)
    return styles


def line_width(cell: float) -> float:
    """Return the width of a drawn line in cells, for cells of so many mm."""
    return min(max(LINE * cell, LEAST), MOST) / cell


_ARC = 0.5522847498  # handle of the Bézier curve that stands for a quarter circle of radius 1


@dataclass(frozen=True)
class DrawnStroke:
    """All lines of one key line in view. ends: the ends of straight stitches, as small discs."""

    style: LineStyle
    d: str
    ends: str


@dataclass(frozen=True)
class Dots:
    """All knots or beads of one key line in view.

    outer: the discs. hole: the middle of a bead, empty for a knot. mark: a sign on them.
    """

    style: PointStyle
    halo: str
    outer: str
    hole: str
    mark: str
    mark_filled: bool


class Lines:
    """The lines of a chart with their bounds, to find those in view."""

    def __init__(self, lines: Sequence[WorkedLine]) -> None:
        self._lines = lines
        self._bounds = np.array(
            [[*line.points.min(axis=0), *line.points.max(axis=0)] for line in lines]
        ).reshape(len(lines), 4)

    def strokes(self, styles: Mapping[int, LineStyle], view: Box) -> tuple[DrawnStroke, ...]:
        """Return the lines in view by key line, from the corner of the view."""
        paths: dict[int, list[str]] = {}
        ends: dict[int, list[tuple[float, float]]] = {}
        x0, y0, x1, y1 = view
        left, top, right, bottom = self._bounds.T
        seen = (left <= x1) & (right >= x0) & (top <= y1) & (bottom >= y0)
        for at in np.flatnonzero(seen).tolist():
            line = self._lines[at]
            points = [(x - x0, y - y0) for x, y in line.points.tolist()]
            within = (0.0, 0.0, x1 - x0, y1 - y0)
            for part in polyline(points, within):
                path = "L".join(f"{x:.6g} {y:.6g}" for x, y in part)
                paths.setdefault(line.index, []).append("M" + path)
            ends.setdefault(line.index, []).extend(
                point for point in (points[0], points[-1]) if meet((*point, *point), within)
            )
        return tuple(
            DrawnStroke(
                style,
                "".join(paths[index]),
                discs(ends[index], KNOT / 2) if style.straight else "",
            )
            for index, style in styles.items()
            if index in paths
        )


def dots(
    knots: Sequence[WorkedKnot], styles: Mapping[int, PointStyle], view: Box, halo: float
) -> tuple[Dots, ...]:
    """Return the knots and beads in view by key line, from the corner of the view.

    halo: clear space around each, in cells.
    """
    x0, y0, x1, y1 = view
    places: dict[int, list[tuple[float, float]]] = {}
    for knot in knots:
        if x0 <= knot.x <= x1 and y0 <= knot.y <= y1:
            places.setdefault(knot.index, []).append((knot.x - x0, knot.y - y0))
    return tuple(
        _dots(style, places[index], halo) for index, style in styles.items() if index in places
    )


def _dots(style: PointStyle, points: list[tuple[float, float]], halo: float) -> Dots:
    radius = BEAD if style.bead else KNOT
    hole = radius * 0.72 if style.bead else 0.0
    inner = hole or radius
    bar = f"h{2 * inner:.4g}"
    marks = {
        "plain": "",
        "dot": discs(points, inner * 0.42),
        "bar": _each(points, (-inner, 0), bar),
        "cross": _each(
            points, (-inner, 0), f"h{2 * inner:.4g}m{-inner:.4g} {-inner:.4g}v{2 * inner:.4g}"
        ),
    }
    return Dots(
        style,
        discs(points, radius + halo),
        discs(points, radius),
        discs(points, hole) if hole else "",
        marks[style.mark],
        style.mark == "dot",
    )


def discs(points: Sequence[tuple[float, float]], radius: float) -> str:
    """Return circles around points as one SVG path."""
    r, k = f"{radius:.4g}", f"{radius * _ARC:.4g}"
    near = f"{radius * (1 - _ARC):.4g}"
    rest = (
        f"c0 {k} -{near} {r} -{r} {r}c-{k} 0 -{r} -{near} -{r} -{r}"
        f"c0 -{k} {near} -{r} {r} -{r}c{k} 0 {r} {near} {r} {r}z"
    )
    return _each(points, (radius, 0), rest)


def _each(points: Sequence[tuple[float, float]], start: tuple[float, float], rest: str) -> str:
    return mark_path(np.array(points).reshape(-1, 2), start, rest) if points else ""
