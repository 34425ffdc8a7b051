"""Counted stitches drawn large, front and back, with their strokes numbered in working order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..chart.counted import bow_path, front
from ..compose.openwork import along, gathered, tied_sides
from ..core.counted import Counted, Point
from ..stitches.counted import bar, repeats_within, worked

Floats = NDArray[np.float64]

WIDEST, HIGHEST = 40.0, 34.0  # mm, of the threads shown
PITCH = 1.6, 5.0  # mm, least and most, of a thread of the fabric
# Strokes that come up where others did, above which it is drawn so much larger for its numbers.
MANY, LARGER = 4, 1.5
EASY, LEAST_APART = 2.7, 2.1  # radii from number to number: so that each is at ease, and at least
RIM = 3.2  # mm of cloth around
RADIUS = 1.35  # mm, of the ring around a number
MOST_REPEATS = 5
BAR = 4  # signs that a bar reaches over
THREAD = 0.34  # its width, in threads of the fabric
ALONG = (0.0, 0.22, 0.36, 0.5, 0.64, 0.78)  # where on its stroke a number may stand


@dataclass(frozen=True)
class Leg:
    """One thread that is drawn. d: its path in mm; fine: of the second thread."""

    d: str
    fine: bool


@dataclass(frozen=True)
class Count:
    """The number of a stroke, at x, y in mm."""

    number: int
    x: float
    y: float


@dataclass(frozen=True)
class StrokeDiagram:
    """A few repeats of a stitch. Lengths in mm.

    name: of the drawing. stitch: that is shown; repeats: how many. back: whether it is seen from
    behind, left to right turned round. left, top: where the threads begin; across, down: how many
    are shown, pitch apart. legs: the threads on the side that is seen; beyond: those on the other.
    counts: each number stands where the needle comes up for a stroke. strokes: holes of each
    stroke, in threads from the upper left. gap: where threads are withdrawn, standing: those left
    in it, as paths; empty where none are.
    """

    name: str
    stitch: Counted
    repeats: int
    back: bool
    width: float
    height: float
    pitch: float
    across: int
    down: int
    thread: float
    legs: tuple[Leg, ...]
    beyond: tuple[Leg, ...]
    counts: tuple[Count, ...]
    strokes: tuple[tuple[Point, Point], ...]
    gap: str = ""
    standing: str = ""
    rim: float = RIM
    radius: float = RADIUS


def repeats(stitch: Counted) -> int:
    """Return how many repeats show how a stitch is worked."""
    if stitch.coiled:
        return 1
    if stitch.stands.alone:
        return 3 if len(stitch.each) == 1 else 1
    enough = (
        many
        # Where every other stitch is left for the way home, that shows only from four on.
        for many in range(4 if stitch.journeys >= 2 * len(stitch.each) else 3, MOST_REPEATS)
        if len(repeats_within(stitch, many)) >= many - 1
    )
    return next(enough, MOST_REPEATS)


def stroke_diagram(stitch: Counted, back: bool) -> StrokeDiagram:
    """Return the drawing of a stitch from one side."""
    shown = bar(stitch, BAR) if stitch.stands.in_bars else stitch
    many = repeats(stitch)
    runs = worked(shown, many), worked(shown, many, second=True)
    places = np.array([place for run in runs for way in run.ways for place in way])
    low = np.floor(np.minimum(places.min(axis=0), 0))
    high = np.ceil(np.maximum(places.max(axis=0), stitch.over))
    across, down = (max(1, int(each)) for each in high - low)
    starts = [way[0] for run in runs for way in run.ways]
    larger = LARGER if len(starts) - len(set(starts)) > MANY else 1.0
    most = PITCH[1] * larger, WIDEST * larger / across, HIGHEST / down
    pitch = max(PITCH[0], min(most))

    def mm(way: Floats) -> Floats:
        at = (way - low) * pitch
        if back:
            at[:, 0] = across * pitch - at[:, 0]
        return np.asarray(at + RIM)

    ahead: list[Leg] = []
    behind: list[Leg] = []
    counts: list[Count] = []
    strokes: list[tuple[Point, Point]] = []
    taken: list[Floats] = []
    for fine, run in enumerate(runs):
        before: Point | None = None
        for way in run.ways:
            line = mm(np.array(way, dtype=np.float64))
            seen = [_path(mm(np.array(part, dtype=np.float64))) for part in front(shown, way)]
            ahead.append(Leg("".join(seen), bool(fine)))
            before = way[-1] if shown.coiled else before  # there it goes down first
            hop = None if before is None else mm(np.array([before, way[0]], dtype=np.float64))
            if hop is not None and (hop[0] != hop[1]).any():
                behind.append(Leg(_path(hop), bool(fine)))
            at = _free(hop[::-1] if back and hop is not None else line, taken)
            taken.append(at)
            counts.append(Count(len(counts) + 1, *(round(each, 2) for each in at.tolist())))
            strokes.append((_hole(way[0], low), _hole(way[-1], low)))
            before = way[-1]
    side = "back" if back else "front"
    return StrokeDiagram(
        f"{stitch.name}-{side}",
        stitch,
        many,
        back,
        across * pitch + 2 * RIM,
        down * pitch + 2 * RIM,
        pitch,
        across,
        down,
        min(1.5, THREAD * pitch),
        tuple(behind if back else ahead),
        tuple(ahead if back else behind),
        tuple(counts),
        tuple(strokes),
        *_open(shown, many, mm),
    )


def _open(stitch: Counted, many: int, mm: Callable[[Floats], Floats]) -> tuple[str, str]:
    """Return the gap along so many repeats, and the threads that stand in it, as paths."""
    box, axis = stitch.withdrawn, along(stitch)
    if box is None:
        return "", ""
    shifts = np.arange(many)[:, None] * np.array(stitch.step)
    corners = np.array([box[:2], box[2:]])
    low, high = corners[0] + shifts.min(axis=0), corners[1] + shifts.max(axis=0)
    (x0, y0), (x1, y1) = mm(np.array([low, high])).tolist()
    pieces = []
    for shift in shifts[:, axis]:
        even = np.arange(box[axis], box[axis + 2]) + 0.5 + shift
        ends = np.empty((2, len(even), 2))
        for side in (0, 1):
            tied = side in tied_sides(stitch)
            ends[side, :, axis] = gathered(even, float(even.mean())) if tied else even
            ends[side, :, 1 - axis] = box[1 - axis + 2 * side]
        pieces += [_path(mm(piece)) for piece in ends.transpose(1, 0, 2)]
    return f"M{x0:.4g} {y0:.4g}H{x1:.4g}V{y1:.4g}H{x0:.4g}z", "".join(pieces)


def _hole(place: Point, low: Floats) -> Point:
    return float(place[0] - low[0]), float(place[1] - low[1])


def _path(way: Floats) -> str:
    if len(way) > 2:
        return bow_path(way)
    (x0, y0), (x1, y1) = way.tolist()
    return f"M{x0:.4g} {y0:.4g}L{x1:.4g} {y1:.4g}"


def _free(way: Floats, taken: list[Floats]) -> Floats:
    """Return where on a thread a number stands: as near its beginning as others leave room."""
    start, end = way[0], way[1]
    spots = [start + (end - start) * share for share in ALONG]
    if not taken:
        return np.asarray(spots[0])
    apart = [float(np.hypot(*(np.array(taken) - spot).T).min()) for spot in spots]
    for wanted in (EASY, LEAST_APART):
        for spot, far in zip(spots, apart, strict=True):
            if far >= wanted * RADIUS:
                return np.asarray(spot)
    return np.asarray(spots[int(np.argmax(apart))])
