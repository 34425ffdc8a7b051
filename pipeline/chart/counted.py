"""Counted stitches on the chart: drawn stroke by stroke, so that they can be counted.

A stitch stands in an outlined box, its strokes whole, with small gaps at the holes. Where only
black is printed the threads of a stitch are told apart by their strokes (`looks.cores`); in any ink
the sign of their key line stands beside them (`signs`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import dist

import numpy as np
from numpy.typing import NDArray

from ..colour.colour import WHITE, contrast
from ..compose.strokework import Lot, Stand
from ..compose.worked import WorkedChart
from ..core.counted import Counted, Point
from ..core.items import Box
from ..core.key import KeyEntry
from ..core.model import Design
from ..stitches.bows import coil, curves, sampled
from ..stitches.counted import bar, own, worked
from ..stitches.runs import Strokes
from .crosses import box_path
from .ink import EDGE, VEIL, VEILED, faint, mix, needle_colour, stroke_colour
from .looks import CORES, cores
from .options import Ink
from .overdrawn import gapped

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Way = tuple[Point, ...]

SAMPLED = 12  # pieces of a bow that leaves the view
GAP = 0.16  # threads between a hole and the end of a stroke
CLOSE = 0.12  # threads of black at the ends of a stroke that is white along its middle
LEAST, MOST = 0.3, 0.85  # mm; bounds of the width of a stroke
CORED = 0.45  # mm; strokes that are narrower have nothing white along their middle
WIDTH = 0.6  # of a stroke, in threads: heavier than the grid
CROWDED = 0.85  # threads of stroke to a crossing, above which strokes are drawn finer
FINE = 0.62  # the same of a second thread, as a share of the first
TINT, SHADE = 0.8, 0.35  # shares of white, and of grey, in the ground behind strokes
PAPER = 1.6  # contrast with paper below which a thread has the darker ground
SAMPLE = 0.2  # of a stroke in the key, in cells


@dataclass(frozen=True)
class Drawn:
    """The stitches of one key line in view, in cells from the corner of the view.

    ground: colour behind them, and boxes where; outline: round each. d: the strokes of the first
    thread, fine: of the second; width, colour, rim: of those. second: colour and rim of the fine
    ones. core: what is white along the middle of the first, and there: of width core_width, of
    this colour, in these dashes. bare: whether they lie over what else is there, such as the grid:
    along lines, and in black where they would look like a grid with gaps.
    """

    index: int
    ground: str
    boxes: str
    outline: str
    d: str
    width: float
    colour: str
    rim: str
    fine: str
    second: tuple[str, str]
    core: str = ""
    core_width: float = 0.0
    core_colour: str = WHITE
    core_dashes: tuple[float, ...] = ()
    bare: bool = False


class CountedStitches:
    """The counted stitches of a chart, ready to be drawn in any window of it."""

    def __init__(self, chart: WorkedChart, ink: Ink) -> None:
        """Take a chart, and the ink that it is printed with."""
        self._chart = chart
        self._ink = ink
        self._over = chart.design.ground.fabric.over
        self._cores = cores(chart.design) if ink.black else {}
        self._lots: dict[int, list[Lot]] = {}
        for lot in chart.counted:
            self._lots.setdefault(lot.index, []).append(lot)
        self._stands: dict[int, list[Stand]] = {}
        for stand in chart.stands:
            self._stands.setdefault(stand.index, []).append(stand)

    def drawn(self, view: Box, cell: float, own_area: Box | None = None) -> tuple[Drawn, ...]:
        """Return the stitches in view; own_area: what does not belong to a neighbouring page.

        cell: side of a cell in mm.
        """
        made = []
        for index in sorted({*self._lots, *self._stands}):
            lots = self._lots.get(index, ())
            for veiled in (False, True) if own_area is not None else (False,):
                drawn = self._drawn(index, lots, view, cell, own_area, veiled)
                if drawn is not None:
                    made.append(drawn)
        return tuple(made)

    def _drawn(
        self,
        index: int,
        lots: Sequence[Lot],
        view: Box,
        cell: float,
        own_area: Box | None,
        veiled: bool,
    ) -> Drawn | None:
        entry = self._chart.entry(index)
        first, second = (
            [lot for lot in lots if (lot.part > 0) is which] for which in (False, True)
        )
        boxes, outlines, bare = [], [], entry.is_line
        for stand in self._stands.get(index, ()):
            at = self._seen(stand, view, own_area, veiled)
            if not len(at):
                continue
            if self._ink.black and min(stand.stitch.over) > 1 and _on_edge(stand.stitch):
                bare = True
                continue
            ground, outline = self._boxes(stand.stitch, at, view)
            boxes.append(ground)
            outlines.append(outline)
        width = min(max(WIDTH * cell / self._over, LEAST), MOST) / cell
        width *= min((_room(lot.stitch) for lot in lots), default=1.0)
        where = view, own_area, veiled
        d = "".join(self._path(lot.seen, *where) for lot in first)
        if not d and not boxes:
            return None
        core = self._cores.get(index, CORES[0]) if width * cell >= CORED else CORES[0]
        colours = [look(part_colour, self._ink, veiled) for part_colour in _colours(entry)]
        return Drawn(
            index,
            ground_colour(entry, self._ink, veiled),
            "".join(boxes),
            "".join(outlines),
            d,
            width,
            *colours[0],
            "".join(self._path(lot.seen, *where) for lot in second),
            colours[-1],
            "".join(self._path(lot.seen, *where, GAP + CLOSE) for lot in first if core.share),
            core.share * width,
            VEIL if veiled else WHITE,
            tuple(each * width for each in core.dashes),
            bare,
        )

    def _seen(self, stand: Stand, view: Box, own_area: Box | None, veiled: bool) -> Ints:
        low = stand.at / self._over
        high = (stand.at + stand.stitch.over) / self._over
        seen = (low < (view[2], view[3])).all(axis=1) & (high > (view[0], view[1])).all(axis=1)
        if own_area is not None:
            seen &= _inside((low + high) / 2, own_area) != veiled
        return stand.at[seen]

    def _boxes(self, stitch: Counted, at: Ints, view: Box) -> tuple[str, str]:
        """Return the ground of stitches and their outlines, as far as they are in view."""
        mine = own(stitch)
        if mine.all():
            boxes = np.concatenate([at, np.broadcast_to(stitch.over, at.shape)], axis=1)
        else:
            rows, columns = np.nonzero(mine)
            places = (at[:, None] + np.stack([columns, rows], axis=1)).reshape(-1, 2)
            boxes = np.concatenate([places, np.ones_like(places)], axis=1)
        clipped = _clipped(boxes / self._over, view)
        outlined = mine.all() and min(stitch.over) > 1 and not _on_edge(stitch)
        path = box_path(clipped) if len(clipped) else ""
        return path, path if outlined else ""

    def _path(
        self, strokes: Strokes, view: Box, own_area: Box | None, veiled: bool, gap: float = GAP
    ) -> str:
        """Return strokes as one path, each ending so many threads from its holes."""
        over = self._over
        low = np.minimum(strokes.up, strokes.down) / over
        high = np.maximum(strokes.up, strokes.down) / over
        seen = (low <= (view[2], view[3])).all(axis=1) & (high >= (view[0], view[1])).all(axis=1)
        if own_area is not None:
            seen &= _inside((low + high) / 2, own_area) != veiled
        straight = seen & (strokes.by < 0)
        ends = np.stack([strokes.up[straight], strokes.down[straight]], axis=1) / over
        corner = np.array([view[0], view[1]])
        parts = [gapped(ends, gap / over, view)]
        for at in np.flatnonzero(seen & (strokes.by >= 0)).tolist():
            way = strokes.way(at) / over
            points = sampled(way, SAMPLED)
            if (points >= view[:2]).all() and (points <= view[2:]).all():
                parts.append(bow_path(way - corner))
            else:  # only what is in view
                parts.append(gapped(np.stack([points[:-1], points[1:]], axis=1), 0.0, view))
        return "".join(parts)


def _colours(entry: KeyEntry) -> list[str]:
    return [needle_colour(part.needle) for part in entry.parts]


def look(colour: str, ink: Ink, veiled: bool) -> tuple[str, str]:
    """Return the colour of strokes, and of their dark edge where they need one."""
    shown = stroke_colour(colour, ink)
    edge = EDGE if faint(shown) else ""
    if veiled:
        return mix(shown, VEIL, VEILED), edge and mix(edge, VEIL, VEILED)
    return shown, edge


def ground_colour(entry: KeyEntry, ink: Ink, veiled: bool) -> str:
    """Return the colour behind strokes: white, or a pale tint of the thread.

    That of a thread as pale as paper is darker than the thread.
    """
    if veiled:
        return VEIL
    colour = _colours(entry)[0]
    if ink.black:
        return WHITE
    return mix(colour, *((EDGE, SHADE) if contrast(colour, WHITE) < PAPER else (WHITE, TINT)))


def _room(stitch: Counted) -> float:
    """Return how wide strokes are as a share of the usual: less where many lie on a crossing."""
    if stitch.stands.on_lines:
        return 1.0
    lengths = (dist(*two) for each in stitch.each for two in pairwise(each.way))
    return CROWDED / max(sum(lengths) / int(own(stitch).sum()), CROWDED)


def _on_edge(stitch: Counted) -> bool:
    """Tell whether a stroke runs along an edge of the box, which then needs no other outline."""
    return any(
        stroke.up[axis] == stroke.down[axis] and stroke.up[axis] in (0, stitch.over[axis])
        for stroke in (*stitch.each, *stitch.last)
        for axis in (0, 1)
    )


def _inside(places: Floats, area: Box) -> NDArray[np.bool_]:
    inside = (places >= (area[0], area[1])).all(axis=1) & (places < (area[2], area[3])).all(axis=1)
    return np.asarray(inside)


def _clipped(boxes: Floats, view: Box) -> Floats:
    """Return boxes (n, 4) as x, y, width, height, as far as they lie in view, from its corner."""
    low = np.clip(boxes[:, :2], view[:2], view[2:])
    high = np.clip(boxes[:, :2] + boxes[:, 2:], view[:2], view[2:])
    kept = (high > low).all(axis=1)
    return np.concatenate([low - view[:2], high - low], axis=1)[kept]


def bow_path(way: Floats) -> str:
    """Return a bow or loop through places as an SVG path."""
    some = curves(way)
    x, y = some[0][0].tolist()
    return f"M{x:.4g} {y:.4g}" + "".join(
        "C" + " ".join(f"{x:.4g} {y:.4g}" for x, y in curve[1:].tolist()) for curve in some
    )


def front(stitch: Counted, way: Way) -> Sequence[Way]:
    """Return what is seen of a whole stroke on the front: itself, or the turns of a coil."""
    if not stitch.coiled:
        return (way,)
    turns = coil(np.array(way[0]), np.array(way[-1]), stitch.wraps).tolist()
    return [((x0, y0), (x1, y1)) for (x0, y0), (x1, y1) in turns]


_REPEATS = 3  # of a run or line in the key


def sample(design: Design, index: int, ink: Ink, across: float, sign: float) -> Drawn:
    """Return a line of the key as the chart draws it, one cell high, with room for its sign.

    across: how many cells wide. sign: the side of the sign, in cells.
    """
    entry = design.key[index - 1]
    stitch = entry.parts[0].stitch
    assert stitch is not None
    if stitch.stands.in_bars:
        stitch = bar(stitch, 4)
    many = 1 if (stitch.stands.alone and min(stitch.over) > 1) or stitch.coiled else _REPEATS
    runs = [
        [
            np.array(part)
            for way in worked(stitch, many, second=second).ways
            for part in front(stitch, way)
        ]
        for second in (False, True)
    ]
    places = [place for run in runs for way in run for place in way]
    low, high = np.min(places, axis=0), np.max(places, axis=0)
    wide, tall = np.maximum(high - low, 0.1).tolist()
    before = sign + 0.3
    scale = min((across - before - 0.1) / wide, 0.9 / tall, 0.5)
    middle = np.array([(across + before) / 2, 0.5])
    paths = []
    for run in runs:
        parts = []
        for way in run:
            moved = (np.array(way, dtype=np.float64) - (low + high) / 2) * scale + middle
            if len(way) > 2:
                parts.append(bow_path(moved))
                continue
            inset = (moved[1] - moved[0]) * min(
                0.25, GAP / float(np.hypot(*(moved[1] - moved[0]) / scale))
            )
            (x0, y0), (x1, y1) = (moved[0] + inset).tolist(), (moved[1] - inset).tolist()
            parts.append(f"M{x0:.4g} {y0:.4g}L{x1:.4g} {y1:.4g}")
        paths.append("".join(parts))
    colours = [look(colour, ink, False) for colour in _colours(entry)]
    core = cores(design)[index] if ink.black else CORES[0]
    width = SAMPLE * _room(stitch)
    return Drawn(
        index,
        "",
        "",
        "",
        paths[0],
        width,
        *colours[0],
        paths[1],
        colours[-1],
        paths[0] if core.share else "",
        core.share * width,
        WHITE,
        tuple(each * width for each in core.dashes),
    )
