"""What is drawn over the cells, cut off at a page's edge: lines, knots and beads.

Lengths are in cells.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedChart, WorkedKnot
from ..core.items import Box, Point
from .crosses import mark_path
from .looks import BEAD, KNOT, LEAST, LINE, MOST, LineStyle, PointStyle

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

PLACES = 4  # decimals to which holes are told apart


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


def line_width(cell: float) -> float:
    """Return the width of a drawn line in cells, for cells of so many mm."""
    return min(max(LINE * cell, LEAST), MOST) / cell


_ARC = 0.5522847498  # handle of the Bézier curve that stands for a quarter circle of radius 1


@dataclass(frozen=True)
class DrawnStroke:
    """All lines of one key line in view.

    d: where they go. strokes: what is drawn of them, the same where nothing is left out. ends: the
    ends of straight stitches, and holes, as small discs.
    """

    style: LineStyle
    d: str
    strokes: str
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

    def __init__(self, worked: WorkedChart) -> None:
        """Take the lines that are not drawn by strokes of their own."""
        self._lines = [
            line for line in worked.lines if worked.entry(line.index).parts[0].stitch is None
        ]
        self._bounds = np.array(
            [[*line.points.min(axis=0), *line.points.max(axis=0)] for line in self._lines]
        ).reshape(len(self._lines), 4)
        self._stitches: dict[int, Floats] = {}
        if self._lines:
            ends, of = worked.stitched.ends()
            index = np.array([line.index for line in worked.lines])[of]
            self._stitches = {each: ends[index == each] for each in np.unique(index).tolist()}

    def strokes(self, styles: Mapping[int, LineStyle], view: Box) -> tuple[DrawnStroke, ...]:
        """Return the lines in view by key line, from the corner of the view."""
        paths: dict[int, list[str]] = {}
        tips: dict[int, list[Point]] = {}
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
            tips.setdefault(line.index, []).extend(
                point for point in (points[0], points[-1]) if meet((*point, *point), within)
            )
        return tuple(
            drawn_stroke(style, "".join(paths[index]), self._stitches[index], tips[index], view)
            for index, style in styles.items()
            if index in paths
        )


def drawn_stroke(
    style: LineStyle, d: str, stitches: Floats, tips: Sequence[Point], view: Box
) -> DrawnStroke:
    """Return how lines are drawn. d: where they go, stitches: (n, 2, 2) both ends of each.

    tips: the ends of the lines; these and d from the corner of the view.
    """
    look = style.look
    ends = discs(tips, KNOT / 2) if style.straight else ""
    strokes = gapped(stitches, look.gap, view) if look.gap else d
    if look.tick:
        strokes += gapped(_ticks(stitches, look.tick, look.ticks), 0, view)
    if look.knob:
        holes = np.unique(np.round(stitches.reshape(-1, 2), PLACES), axis=0)
        shown = holes[_within(holes, view)] - view[:2]
        ends += discs([(x, y) for x, y in shown.tolist()], look.knob)
    return DrawnStroke(style, d, strokes, ends)


def _ticks(stitches: Floats, half: float, many: int) -> Floats:
    """Return so many bars across each stitch, evenly along it."""
    way = stitches[:, 1] - stitches[:, 0]
    across = np.stack([-way[:, 1], way[:, 0]], axis=1)
    across *= half / np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    shares = np.arange(1, many + 1) / (many + 1)
    middle = stitches[:, 0] + way * shares[:, None, None]
    return np.stack([middle - across, middle + across], axis=2).reshape(-1, 2, 2)


def gapped(stitches: Floats, gap: float, view: Box) -> str:
    """Return stitches as a path from the corner of the view, each with a gap at its holes.

    stitches: (n, 2, 2) both ends of each. A gap takes a quarter of a stitch at the most.
    """
    way = stitches[:, 1] - stitches[:, 0]
    length = np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    inset = way * np.minimum(gap / length, 0.25)
    ends = np.stack([stitches[:, 0] + inset, stitches[:, 1] - inset], axis=1)
    low, high = ends.min(axis=1), ends.max(axis=1)
    seen = (low <= view[2:]).all(axis=1) & (high >= view[:2]).all(axis=1)
    whole = seen & (low >= view[:2]).all(axis=1) & (high <= view[2:]).all(axis=1)
    corner = np.array(view[:2])
    flat = (ends[whole] - corner).ravel().tolist()
    parts = ["M%.4g %.4gL%.4g %.4g" * (len(flat) // 4) % tuple(flat)]
    for start, end in ends[seen & ~whole].tolist():
        cut = segment(tuple(start), tuple(end), view)
        if cut is not None and cut[0] != cut[1]:
            (x0, y0), (x1, y1) = np.array(cut) - corner
            parts.append(f"M{x0:.4g} {y0:.4g}L{x1:.4g} {y1:.4g}")
    return "".join(parts)


def _within(places: Floats, view: Box) -> Bools:
    inside = (places >= view[:2]).all(axis=1) & (places <= view[2:]).all(axis=1)
    return np.asarray(inside)


def dots(
    knots: Sequence[WorkedKnot], styles: Mapping[int, PointStyle], view: Box, halo: float
) -> tuple[Dots, ...]:
    """Return the knots and beads in view by key line, from the corner of the view.

    halo: clear space around each, in cells.
    """
    x0, y0, x1, y1 = view
    points: dict[int, list[Point]] = {}
    for knot in knots:
        if x0 <= knot.x <= x1 and y0 <= knot.y <= y1:
            points.setdefault(knot.index, []).append((knot.x - x0, knot.y - y0))
    return tuple(
        _dots(style, points[index], halo) for index, style in styles.items() if index in points
    )


def _dots(style: PointStyle, points: list[Point], halo: float) -> Dots:
    radius = BEAD if style.bead else KNOT
    hole = radius * 0.72 if style.bead else 0.0
    inner = hole or radius
    bar = f"h{2 * inner:.4g}"
    slant = inner * 0.7071
    rising = f"l{2 * slant:.4g} {-2 * slant:.4g}"
    marks = {
        "plain": "",
        "dot": discs(points, inner * 0.42),
        "bar": _each(points, (-inner, 0), bar),
        "cross": _each(
            points, (-inner, 0), f"h{2 * inner:.4g}m{-inner:.4g} {-inner:.4g}v{2 * inner:.4g}"
        ),
        "upright": _each(points, (0, -inner), f"v{2 * inner:.4g}"),
        "ring": discs(points, inner * 0.6),
        "saltire": _each(
            points, (-slant, slant), f"{rising}m{-2 * slant:.4g} 0l{2 * slant:.4g} {2 * slant:.4g}"
        ),
        "slope": _each(points, (-slant, slant), rising),
    }
    return Dots(
        style,
        discs(points, radius + halo),
        discs(points, radius),
        discs(points, hole) if hole else "",
        marks[style.mark],
        style.mark == "dot",
    )


# --- in the key ----------------------------------------------------------------------------------


def line_sample(style: LineStyle, across: float, edge: float, sign: float) -> DrawnStroke:
    """Return a line of the key, so many cells wide with so much room at its ends, one cell high.

    sign: the side of the sign that stands before it where it has a letter.
    """
    start = edge + (sign + 0.25 if style.letter else 0.0)
    holes = np.linspace(start, across - edge, max(2, round(across - edge - start)) + 1)
    places = np.stack([holes, np.full(len(holes), 0.5)], axis=1)
    stitches = np.stack([places[:-1], places[1:]], axis=1)
    if style.straight:
        stitches = places[None, [0, -1]]
    d = f"M{start:.6g} 0.5L{across - edge:.6g} 0.5"
    tips = [(start, 0.5), (across - edge, 0.5)]
    return drawn_stroke(style, d, stitches, tips, (0.0, 0.0, across, 1.0))


def point_sample(style: PointStyle) -> Dots:
    """Return a knot or bead of the key in a cell, aside where it has a letter."""
    return _dots(style, [(KNOT if style.letter else 0.5, 0.5)], 0.0)


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
