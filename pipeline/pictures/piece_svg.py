"""The worked piece as SVG: strokes on a woven ground, one path for each thread and leg."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from operator import itemgetter
from typing import Any

import numpy as np
from linenleaf.templates.environment import render
from numpy.typing import NDArray

from ..chart.counted import bow_path
from ..chart.crosses import mark_path
from ..chart.ink import mix, needle_colour
from ..chart.openwork import strands_path
from ..chart.overdrawn import discs
from ..cloth.openwork import DEEP, left_in, strand_width
from ..cloth.overdyed import along_steps, cell_steps, knots_in_turn, part_at, steps, stroke_steps
from ..cloth.overlay import BEAD_SHARE, KNOT_SHARE, MOST_INSET
from ..cloth.scale import Lattice, lattice
from ..cloth.strands import thread_width
from ..cloth.tiles import SLIMMEST, WIDEST, Leg, legs_of
from ..cloth.weave import texture
from ..colour.colour import BLACK, WHITE
from ..compose.worked import IndexGrid, WorkedChart
from ..core.key import Part, Strands
from ..stitches.kinds import STITCHES
from .caption import description, piece_title, prefix
from .frames import Frame, cloth_margin

Reals = NDArray[np.floating[Any]]


@dataclass(frozen=True)
class _Stroke:
    """All stitches of one thread that lie one way. blended: a second colour wound round it."""

    colour: str
    dark: str
    light: str
    blended: str
    width: float
    d: str
    name: str = ""


@dataclass(frozen=True)
class _Round:
    """All knots or beads of one key line; spark: the light on each."""

    colour: str
    dark: str
    light: str
    radius: float
    bead: bool
    d: str
    spark: str


@dataclass(frozen=True)
class _Weave:
    """The ground: size of a thread's room in mm, and its colours."""

    pitch_x: float
    pitch_y: float
    hole: str
    under: str
    over: str
    light: str


@dataclass(frozen=True)
class _Gap:
    """Where threads are withdrawn: the gap, the threads that stand in it, and the colours."""

    ground: str
    strands: str
    width: float
    dark: str
    colour: str


def piece_svg(worked: WorkedChart, width: int, ratio: float | None = None) -> str:
    """Return the worked piece as SVG; width: in pixels, at which it is shown at first.

    ratio: of its width to its height, with more cloth around; None for that of the piece.
    """
    shown, margin = (None, None) if ratio is None else cloth_margin(worked, ratio)
    at = lattice(worked, width=width, margin=margin)
    wide = (worked.width + 2 * at.margin) * at.width
    high = (worked.height + 2 * at.margin) * at.height
    if shown is None:
        shown = Frame(0, 0, wide, high)
    else:
        x, y = shown.x + at.margin * at.width, shown.y + at.margin * at.height
        shown = Frame(x, y, shown.width, shown.height)
    names = prefix(worked)
    strokes = (*_crosses(worked, at), *_counted(worked, at), *_lines(worked, at))
    return render(
        "piece.svg.j2",
        title=piece_title(worked),
        desc=description(worked),
        prefix=names,
        width=wide,
        height=high,
        shown=shown,
        pixels=(width, max(1, round(width * shown.height / shown.width))),
        weave=_weave(worked),
        gaps=_gaps(worked, at),
        strokes=[replace(each, name=f"{names}{at}") for at, each in enumerate(strokes, 1)],
        rounds=_rounds(worked, at),
    )


def _weave(worked: WorkedChart) -> _Weave:
    ground = worked.design.ground
    threads = texture(ground.fabric).threads
    colour = ground.colour
    return _Weave(
        ground.fabric.cross_width / threads,
        ground.fabric.cross_height / threads,
        mix(colour, BLACK, 0.30),
        mix(colour, BLACK, 0.12),
        mix(colour, BLACK, 0.03),
        mix(colour, WHITE, 0.22),
    )


def _gaps(worked: WorkedChart, at: Lattice) -> list[_Gap]:
    """Return where threads are withdrawn, with the threads that are left standing."""
    ground = worked.design.ground
    pitch = np.array([at.width, at.height]) / ground.fabric.over
    corner = np.array([at.width, at.height]) * at.margin
    found = []
    for gap in worked.gaps:
        (x0, y0), (x1, y1) = (np.array(gap.box).reshape(2, 2) * pitch + corner).tolist()
        ends = left_in(worked, gap) * np.tile(pitch, 2) + np.tile(corner, 2)
        found.append(
            _Gap(
                f"M{x0:.6g} {y0:.6g}H{x1:.6g}V{y1:.6g}H{x0:.6g}z",
                strands_path(ends),
                strand_width(ground.fabric) * float(pitch[gap.axis]),
                mix(ground.colour, BLACK, 1 - DEEP),
                mix(ground.colour, BLACK, 0.03),
            )
        )
    return found


_Grid = tuple[IndexGrid, float, float, float, int | None]  # its corner, cell and strands


def _crosses(worked: WorkedChart, at: Lattice) -> Iterator[_Stroke]:
    """Give the legs of all cells, the lower ones of every thread before the upper ones."""
    grids: list[_Grid] = [(worked.grid, 0.0, 0.0, 1.0, None)]
    grids += [(piece.grid, piece.x, piece.y, piece.cell, piece.strands) for piece in worked.pieces]
    before = 0
    for grid, x, y, cell, strands in grids:
        used = [int(each) for each in np.unique(grid) if each]
        legs = [(leg, index) for index in used for leg in legs_of(worked.entry(index).parts)]
        far = cell_steps(worked, grid, before)
        before += int(np.count_nonzero(grid))
        corner = np.array([x + at.margin, y + at.margin])
        size = np.array([at.width, at.height])
        side = cell * min(at.width, at.height)
        for leg, index in sorted(legs, key=lambda each: (each[0].order, each[1])):
            part = worked.entry(index, strands).parts[leg.part]
            rows, columns = np.nonzero(grid == index)
            cells = (np.stack([columns, rows], axis=1) * cell + corner) * size
            thick = thread_width(sum(each.strands for each in part.needle))
            thick = min(max(thick, SLIMMEST * side), WIDEST * side)
            step = far[rows, columns] % steps(part)
            for each in np.unique(step).tolist():
                d = _leg_path(cells[step == each], leg, size * cell, thick)
                yield _stroke(part_at(part, each).needle, thick, d)


def _leg_path(cells: Reals, leg: Leg, size: Reals, thick: float) -> str:
    """Return one leg in all its cells; size: of a cell in mm. The round ends stay in the holes."""
    start, run = np.array(leg.start) * size, (np.array(leg.end) - np.array(leg.start)) * size
    share = min(0.3, 0.36 * thick / float(np.hypot(*run)))
    x, y = (run * (1 - 2 * share)).tolist()
    return mark_path(np.round(cells + start + share * run, 2), (0.0, 0.0), f"l{x:.3g} {y:.3g}")


def _counted(worked: WorkedChart, at: Lattice) -> Iterator[_Stroke]:
    """Give the strokes of counted stitches, and before them the holes that they pull open."""
    over = worked.design.ground.fabric.over
    pitch = np.array([at.width, at.height]) / over
    corner = np.array([at.width, at.height]) * at.margin
    for lot in worked.counted:
        part = worked.entry(lot.index, lot.strands).parts[lot.part]
        thick = thread_width(sum(each.strands for each in part.needle))
        strokes = lot.seen
        up, down = strokes.up * pitch + corner, strokes.down * pitch + corner
        run = down - up
        length = np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-9)[:, None]
        inset = np.minimum(0.45 * thick / length, 2 * MOST_INSET) * run
        straight = strokes.by < 0
        numbers = np.concatenate([up + inset, run - 2 * inset], axis=1)
        if lot.stitch.pulled:
            yield _holes(worked, np.concatenate([up, down]), float(pitch.min()))
        step = stroke_steps(lot, over) % steps(part)
        for each in np.unique(step).tolist():
            some = numbers[straight & (step == each)]
            d = "M%.5g %.5gl%.4g %.4g" * len(some) % tuple(some.ravel().tolist())
            d += "".join(
                bow_path(strokes.way(bow) * pitch + corner)
                for bow in np.flatnonzero(~straight & (step == each)).tolist()
            )
            yield _stroke(part_at(part, each).needle, thick, d)


def _holes(worked: WorkedChart, ends: Reals, pitch: float) -> _Stroke:
    """Return holes that are pulled open, as strokes of next to no length."""
    dark = mix(worked.design.ground.colour, BLACK, 0.7)
    places = np.unique(np.round(ends, 2), axis=0)
    d = "M%.5g %.5gh.001" * len(places) % tuple(places.ravel().tolist())
    return _Stroke(dark, dark, dark, "", 0.5 * pitch, d)


def _lines(worked: WorkedChart, at: Lattice) -> Iterator[_Stroke]:
    """Give the lines of each key line, broken into their stitches."""
    size = np.array([at.width, at.height])
    stitches, line = worked.stitched.ends()
    index_of = np.array([each.index for each in worked.lines], dtype=np.intp)[line]
    for index in np.unique(index_of).tolist():
        part = worked.entry(index).parts[0]
        if part.stitch is not None:
            continue
        ends = stitches[index_of == index]
        thick = thread_width(sum(each.strands for each in part.needle))
        first = (ends[:, 0] + at.margin) * size
        run = (ends[:, 1] - ends[:, 0]) * size
        length = np.hypot(run[:, 0], run[:, 1])[:, None]
        inset = np.minimum(0.45 * thick / length, 2 * MOST_INSET) * run
        numbers = np.concatenate([first + inset, run - 2 * inset], axis=1)
        step = along_steps(np.hypot(*(run / size).T)) % steps(part)
        for each in np.unique(step).tolist():
            some = numbers[step == each]
            d = "M%.5g %.5gl%.4g %.4g" * len(some) % tuple(some.ravel().tolist())
            yield _stroke(part_at(part, each).needle, thick, d)


def _rounds(worked: WorkedChart, at: Lattice) -> list[_Round]:
    rounds = []
    side = min(at.width, at.height)
    places: dict[Part, list[tuple[float, float]]] = {}
    indices = [knot.index for knot in worked.knots]
    knots = zip(indices, knots_in_turn(worked), strict=True)
    for _, (part, x, y) in sorted(knots, key=itemgetter(0)):
        spot = ((x + at.margin) * at.width, (y + at.margin) * at.height)
        places.setdefault(part, []).append(spot)
    for part, points in places.items():
        bead = STITCHES[part.kind].bead
        radius = (BEAD_SHARE if bead else KNOT_SHARE) * side
        colour = needle_colour(part.needle)
        rounds.append(
            _Round(
                colour,
                mix(colour, BLACK, 0.35),
                mix(colour, WHITE, 0.85 if bead else 0.4),
                radius,
                bead,
                discs(points, radius),
                discs(points, radius * (0.25 if bead else 0.4)),
            )
        )
    return rounds


def _stroke(needle: Sequence[Strands], width: float, d: str) -> _Stroke:
    colour = needle[0].thread.colour
    blended = needle_colour(needle[1:]) if len(needle) > 1 else ""
    return _Stroke(colour, mix(colour, BLACK, 0.30), mix(colour, WHITE, 0.45), blended, width, d)
