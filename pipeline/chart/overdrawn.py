"""What is drawn over the cells: back stitch, straight stitch, knots and beads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..compose.worked import WorkedKnot, WorkedLine
from .clip import Box, meet, polyline
from .fills import mark_path
from .strokes import BEAD, KNOT, LineStyle, PointStyle

_ARC = 0.5522847498  # handle of the Bézier curve that stands for a quarter circle of radius 1


@dataclass(frozen=True)
class Stroke:
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
            [[*each.points.min(axis=0), *each.points.max(axis=0)] for each in lines]
        ).reshape(len(lines), 4)

    def strokes(self, styles: Mapping[int, LineStyle], view: Box) -> tuple[Stroke, ...]:
        """Return the lines in view by key line, from the corner of the view."""
        found: dict[int, list[str]] = {}
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
                found.setdefault(line.index, []).append("M" + path)
            ends.setdefault(line.index, []).extend(
                point for point in (points[0], points[-1]) if meet((*point, *point), within)
            )
        return tuple(
            Stroke(
                style,
                "".join(found[index]),
                discs(ends[index], KNOT / 2) if style.straight else "",
            )
            for index, style in styles.items()
            if index in found
        )


def dots(
    knots: Sequence[WorkedKnot], styles: Mapping[int, PointStyle], view: Box, halo: float
) -> tuple[Dots, ...]:
    """Return the knots and beads in view by key line, from the corner of the view.

    halo: clear space around each, in cells.
    """
    x0, y0, x1, y1 = view
    found: dict[int, list[tuple[float, float]]] = {}
    for each in knots:
        if x0 <= each.x <= x1 and y0 <= each.y <= y1:
            found.setdefault(each.index, []).append((each.x - x0, each.y - y0))
    return tuple(
        _dots(style, found[index], halo) for index, style in styles.items() if index in found
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
