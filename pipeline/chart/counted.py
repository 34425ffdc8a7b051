"""Counted stitches on the chart: drawn stroke by stroke, so that they can be counted.

A stitch stands in an outlined box, its strokes whole, with small gaps at the holes. Beside stitches
that touch stands the sign of their key line once, or the number of a line, so that a
black-and-white copy still tells threads apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import dist

import numpy as np
from numpy.typing import NDArray

from ..colour.colour import WHITE
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
from .ink import EDGE, PALE, VEIL, VEILED, faint, mix, needle_colour, stroke_colour
from .looks import MARK, Sign, numbers
from .options import Ink
from .overdrawn import beside, gapped

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Way = tuple[Point, ...]

SAMPLED = 12  # pieces of a bow that leaves the view
GAP = 0.16  # threads between a hole and the end of a stroke
LEAST, MOST = 0.3, 0.6  # mm; bounds of the width of a stroke
WIDTH = 0.22  # of a stroke, in threads
CROWDED = 1.8  # threads of stroke to a crossing, above which strokes are drawn finer
FINE = 0.62  # the same of a second thread, as a share of the first
SAMPLE = 0.09  # of a stroke in the key, in cells
_NEAR = (0.5, 0.25, 0.75)  # where along the edge of a box the sign may stand


@dataclass(frozen=True)
class Drawn:
    """The stitches of one key line in view, in cells from the corner of the view.

    ground: colour behind them, and boxes where; outline: round each. d: the strokes of the first
    thread, fine: of the second; width, colour, rim: of those. second: colour and rim of the fine
    ones. signs: beside the stitches, one for those that touch. line: whether they lie along lines,
    over what else is there.
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
    signs: tuple[Sign, ...]
    line: bool = False


class CountedStitches:
    """The counted stitches of a chart, ready to be drawn in any window of it."""

    def __init__(self, chart: WorkedChart, ink: Ink) -> None:
        """Take a chart, and the ink that it is printed with."""
        self._chart = chart
        self._ink = ink
        self._over = chart.design.ground.fabric.over
        self._numbers = numbers(chart.design)
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
        boxes, outlines = [], []
        found: list[tuple[Counted, Ints]] = []
        for stand in self._stands.get(index, ()):
            at = self._seen(stand, view, own_area, veiled)
            if not len(at):
                continue
            ground, outline = self._boxes(stand.stitch, at, view)
            boxes.append(ground)
            outlines.append(outline)
            found.append((stand.stitch, at))
        width = min(max(WIDTH * cell / self._over, LEAST), MOST) / cell
        crowd = max((_crowd(lot.stitch) for lot in lots), default=0.0)
        width *= min(1.0, CROWDED / max(crowd, CROWDED))
        d = "".join(self._path(lot.seen, view, own_area, veiled) for lot in first)
        if not d and not boxes:
            return None
        signs = [*self._signs(entry, found, view)]
        if index in self._numbers and not veiled:
            ends = np.concatenate([_holes(lot.strokes) for lot in first]) / self._over
            signs += beside(ends, self._numbers[index], view)
        colours = [look(part_colour, self._ink, veiled) for part_colour in _colours(entry)]
        return Drawn(
            index,
            ground_colour(entry, self._ink, veiled),
            "".join(boxes),
            "".join(outlines),
            d,
            width,
            *colours[0],
            "".join(self._path(lot.seen, view, own_area, veiled) for lot in second),
            colours[-1],
            tuple(signs),
            index in self._numbers,
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

    def _path(self, strokes: Strokes, view: Box, own_area: Box | None, veiled: bool) -> str:
        """Return strokes as one path, each ending a little way from its holes."""
        over = self._over
        low = np.minimum(strokes.up, strokes.down) / over
        high = np.maximum(strokes.up, strokes.down) / over
        seen = (low <= (view[2], view[3])).all(axis=1) & (high >= (view[0], view[1])).all(axis=1)
        if own_area is not None:
            seen &= _inside((low + high) / 2, own_area) != veiled
        straight = seen & (strokes.by < 0)
        ends = np.stack([strokes.up[straight], strokes.down[straight]], axis=1) / over
        corner = np.array([view[0], view[1]])
        parts = [gapped(ends, GAP / over, view)]
        for at in np.flatnonzero(seen & (strokes.by >= 0)).tolist():
            way = strokes.way(at) / over
            points = sampled(way, SAMPLED)
            if (points >= view[:2]).all() and (points <= view[2:]).all():
                parts.append(bow_path(way - corner))
            else:  # only what is in view
                parts.append(gapped(np.stack([points[:-1], points[1:]], axis=1), 0.0, view))
        return "".join(parts)

    # --- signs ---

    def _signs(
        self, entry: KeyEntry, found: Sequence[tuple[Counted, Ints]], view: Box
    ) -> Iterator[Sign]:
        for stitch, (column, row) in _firsts(found):
            x, y = _sign_place(stitch, self._over)
            place = column / self._over + x - view[0], row / self._over + y - view[1]
            if 0 <= place[0] <= view[2] - view[0] and 0 <= place[1] <= view[3] - view[1]:
                yield Sign(entry.symbol, False, *place)


def _holes(strokes: Strokes) -> Floats:
    """Return the two holes of each stroke, (n, 2, 2); of a bow or loop the place that holds it too.

    So the loops of a chain, each of which holds the one before, are one row.
    """
    bent = np.flatnonzero(strokes.by >= 0)
    held = np.array([strokes.way(at)[-2] for at in bent.tolist()]).reshape(-1, 2)
    ends = np.stack([strokes.up, strokes.down], axis=1)
    return np.concatenate([ends, np.stack([strokes.up[bent], held], axis=1)])


def _firsts(found: Sequence[tuple[Counted, Ints]]) -> Iterator[tuple[Counted, tuple[int, int]]]:
    """Yield the first of all stitches that touch, row by row."""
    waiting = {(row, column): stitch for stitch, at in found for column, row in at.tolist()}
    for start in sorted(waiting):
        if start not in waiting:
            continue
        yield waiting[start], (start[1], start[0])
        path = [start]
        stitches = {start: waiting.pop(start)}
        while path:
            row, column = place = path.pop()
            for down, across in _beside(stitches[place]):
                there = row + down, column + across
                if there in waiting:
                    stitches[there] = waiting.pop(there)
                    path.append(there)


@cache
def _beside(stitch: Counted) -> tuple[tuple[int, int], ...]:
    """Return how far away, in rows and columns, neighbours begin that a stitch touches."""
    (x, y), (across, down) = stitch.step, stitch.row
    width, height = stitch.over
    ways = {(y, x), (down, across), (y + down, x + across), (y - down, x - across)}
    ways |= {(0, width), (height, 0)}
    if stitch.stands.in_bars:  # as long as they like
        ways |= {(off, x) for off in range(-height + 1, height)} if x else set()
        ways |= {(y, off) for off in range(-width + 1, width)} if y else set()
    return tuple({*ways, *((-one, -two) for one, two in ways)} - {(0, 0)})


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
    """Return the colour behind strokes: white, or a pale tint of the thread."""
    if veiled:
        return VEIL
    return WHITE if ink.black else mix(_colours(entry)[0], WHITE, max(PALE, 0.8))


def _crowd(stitch: Counted) -> float:
    """Return how much stroke lies on each crossing of threads that a repeat takes."""
    if stitch.stands.on_lines:
        return 0.0
    lengths = (dist(*two) for each in stitch.each for two in pairwise(each.way))
    return sum(lengths) / int(own(stitch).sum())


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


def _sign_place(stitch: Counted, over: int) -> tuple[float, float]:
    """Return where the sign of a run stands, in cells from the corner of its first box.

    On the left edge where no stroke comes near, else beside it.
    """
    height = stitch.over[1] / over
    run = worked(stitch, 1 if not stitch.stands.in_rows else 2)
    places = np.concatenate(
        [np.linspace(way[0], way[-1], 24) for way in run.ways] or [np.zeros((1, 2))]
    )
    for share in _NEAR:
        near = np.hypot(*(places / over - (0, share * height)).T).min()
        if near > MARK:
            return 0.0, share * height
    return -MARK - 0.05, min(0.5, height / 2)


_REPEATS = 3  # of a run or line in the key


def sample(design: Design, index: int, ink: Ink, across: float, sign: float) -> Drawn:
    """Return a line of the key as the chart draws it, its sign before it, one cell high.

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
    number = numbers(design).get(index)
    mark = Sign(number or entry.symbol, number is not None, sign / 2 + 0.1, 0.5)
    colours = [look(colour, ink, False) for colour in _colours(entry)]
    return Drawn(
        index, "", "", "", paths[0], SAMPLE, *colours[0], paths[1], colours[-1], (mark,)
    )  # fmt: skip
