"""Where the signs of key lines stand beside stitches that are drawn as they lie.

The sign of counted stitches is their symbol, that of lines, knots and beads a letter, where they
have one. It stands as near its stitches as can be on bare fabric, nearer to them than to those of
other threads; on its own stitches where no bare fabric is near; never on another sign; and again
along a band, so that one is always near. Lengths are in cells.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedChart
from ..core.items import Box
from ..core.model import Design
from ..count.forest import spanning_forest
from .looks import Sign, letters

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

REACH = 14  # cells on each side in which one sign is enough
RIM = 1.2  # radius of the ring around a sign, in halves of its side
KNOTS = 4  # cells; knots of one square of so many have one sign
FINE = 4  # places looked at to a cell
_AWAY = 4  # most between the ring and its stitches on bare fabric
_CLEAR, _EDGE = 0.25, 0.15  # between the ring and the middle of a stroke; the edge of the chart
_ALONE = 1.0  # more than that, to be away from other threads
# What is lost: by a cell away from the stitches, or along them; by a cell near others; by standing
# within its own stitches, on them, on others or nearer to them, out of reach, on another sign.
_FAR, _ALONG, _NEAR = 1.0, 0.05, 3.0
_WITHIN, _OWN, _OTHERS, _LOST, _TAKEN = 2.0, 10.0, 100.0, 1e3, 1e5
_PLACES = 4  # decimals to which holes are told apart


@dataclass(frozen=True, eq=False)
class _Marked:
    """Stitches of one key line. ends: (n, 2, 2) of each; group: (n,) which hang together."""

    index: int
    text: str
    letter: bool
    ends: Floats
    group: Ints


class Beside:
    """The stitches of a chart that have signs, to find those in view."""

    def __init__(self, worked: WorkedChart) -> None:
        """Take a chart."""
        self._worked = worked
        self._marked = tuple(_marked(worked))

    def signs(self, view: Box, half: float, own: Box | None = None) -> tuple[tuple[int, Sign], ...]:
        """Return the key index and the sign of each, from the corner of the view.

        half: of the side of a sign. own: what does not belong to a neighbouring page; there alone
        signs stand.
        """
        area = own or view
        radius = RIM * half
        shown = [(each, _shown(each, area)) for each in self._marked]
        shown = [(each, seen) for each, seen in shown if seen.any()]
        if not shown:
            return ()
        cover = _Cover(self._worked, view, radius)
        placed: list[tuple[int, Sign]] = []
        taken: list[tuple[float, float]] = []
        for each, seen in shown:
            mine = cover.stitched(each.ends)
            for group in np.unique(each.group[seen]).tolist():
                ends = each.ends[seen & (each.group == group)]
                middles = ends.mean(axis=1)
                middles = middles[np.lexsort((middles[:, 0], middles[:, 1].round()))]
                while len(middles):
                    first = np.abs(middles - middles[0]).max(axis=1) <= REACH / 2
                    x, y = cover.best(middles[0], ends, mine, taken, area)
                    taken.append((x, y))
                    placed.append(
                        (each.index, Sign(each.text, each.letter, x - view[0], y - view[1]))
                    )
                    near = np.abs(middles - (x, y)).max(axis=1) <= REACH
                    middles = middles[~(near | first)]
        return tuple(placed)


def _marked(worked: WorkedChart) -> Iterator[_Marked]:
    design = worked.design
    lettered = letters(design)
    over = design.ground.fabric.over
    strokes: dict[int, list[Floats]] = {}
    for lot in worked.counted:
        if lot.part <= 0:
            ends = np.stack([lot.strokes.up, lot.strokes.down], axis=1) / over
            strokes.setdefault(lot.index, []).append(ends)
    for index, some in strokes.items():
        ends = np.concatenate(some)
        text = lettered.get(index, worked.entry(index).symbol)
        yield _Marked(index, text, index in lettered, ends, np.zeros(len(ends), np.int64))
    ends, of = worked.stitched.ends() if worked.lines else (np.empty((0, 2, 2)), np.empty(0, int))
    of_line = np.array([line.index for line in worked.lines], np.int64)[of]
    for index, letter in lettered.items():
        knots = [(knot.x, knot.y) for knot in worked.knots if knot.index == index]
        if index in strokes:
            continue
        if knots:
            points = np.repeat(np.array(knots, np.float64)[:, None], 2, axis=1)
            squares = np.unique(points[:, 0] // KNOTS, axis=0, return_inverse=True)[1]
            yield _Marked(index, letter, True, points, squares.reshape(-1))
        elif (of_line == index).any():
            mine = ends[of_line == index]
            yield _Marked(index, letter, True, mine, _hanging(mine))


def _hanging(ends: Floats) -> Ints:
    """Return which stitches hang together, as a number for each."""
    holes, number = np.unique(np.round(ends.reshape(-1, 2), _PLACES), axis=0, return_inverse=True)
    one, other = number.reshape(-1, 2).T
    figure, _ = spanning_forest(len(holes), one, other)
    return np.asarray(figure)[one]


def _shown(each: _Marked, area: Box) -> Bools:
    middle = each.ends.mean(axis=1)
    return np.asarray(((middle >= area[:2]) & (middle <= area[2:])).all(axis=1))


class _Cover:
    """What is stitched in view, at FINE places to a cell."""

    def __init__(self, worked: WorkedChart, view: Box, radius: float) -> None:
        self._view = view
        self._radius = radius
        x0, y0, x1, y1 = (int(each) for each in view)
        self._shape = (y1 - y0) * FINE, (x1 - x0) * FINE
        crosses = np.kron(worked.grid[y0:y1, x0:x1] != 0, np.ones((FINE, FINE), bool))
        over = worked.design.ground.fabric.over
        drawn = [worked.drawn_ends.reshape(-1, 2, 2)]
        drawn += [np.stack([lot.strokes.up, lot.strokes.down], 1) / over for lot in worked.counted]
        pieces = [
            [(each.x, y), (each.x + each.width, y)]
            for each in worked.pieces
            for y in np.arange(each.y, each.y + each.height, 1 / FINE).tolist()
        ]
        if pieces:
            drawn.append(np.array(pieces))
        self._all = crosses | self.stitched(np.concatenate(drawn))
        self._gaps = np.zeros(self._shape, bool)
        for gap in worked.gaps:
            low = (np.array(gap.box[:2]) / over - view[:2]) * FINE
            high = (np.array(gap.box[2:]) / over - view[:2]) * FINE
            (left, top), (right, end) = (np.rint(each).astype(int).clip(0) for each in (low, high))
            self._gaps[top:end, left:right] = True

    def best(
        self,
        first: Floats,
        ends: Floats,
        mine: Bools,
        taken: list[tuple[float, float]],
        area: Box,
    ) -> tuple[float, float]:
        """Return where a sign stands best near the middle of a stitch, of all places in its reach.

        ends: of the stitches that it stands for. mine: what is covered by all of its key line.
        """
        steps = ceil((self._radius + _AWAY + _CLEAR) * FINE)
        corner = np.array(self._view[:2])
        low = np.floor((first - corner - REACH) * FINE).astype(np.int64) - steps
        high = np.ceil((first - corner + REACH) * FINE).astype(np.int64) + steps
        left, top = low.clip(0).tolist()
        right, end = high.clip(0, self._shape[::-1]).tolist()
        window = np.s_[top:end, left:right]
        beside = self.stitched(ends, (left, top, right, end))
        own = _away(beside, steps)
        on = _away((mine | self._gaps)[window], steps)
        others = _away((self._all & ~mine)[window], steps)
        x = (np.arange(left, right) + 0.5) / FINE + corner[0]
        y = ((np.arange(top, end) + 0.5) / FINE + corner[1])[:, None]
        clear = self._radius + _CLEAR
        cost = _FAR * (own - clear).clip(0) + _OWN * (on < clear)
        cost += _WITHIN * _closed(beside)
        close = self._radius + 0.5 / FINE
        cost += _OTHERS * ((others < close) | (others <= own)) + _OTHERS * (close - others).clip(0)
        cost += _NEAR * (clear + _ALONE - others).clip(0)
        cost += _LOST * (own > clear + _AWAY)
        across, down = x - first[0], y - first[1]
        # Above first; and onward along a band, so that fewer are needed.
        cost += _ALONG * (abs(across) - across / 2 + abs(down)) + down / 100
        cost += _LOST * (np.maximum(abs(across), abs(down)) > REACH)
        for other_x, other_y in taken:
            if max(abs(other_x - first[0]), abs(other_y - first[1])) <= 2 * REACH:
                cost += _TAKEN * (np.hypot(x - other_x, y - other_y) < 2.1 * self._radius)
        x0, y0, x1, y1 = area
        room, rise = (
            min(self._radius + _EDGE, (side - 1 / FINE) / 2) + 1e-9 for side in (x1 - x0, y1 - y0)
        )
        inside = (abs(x - (x0 + x1) / 2) <= (x1 - x0) / 2 - room + 2e-9) & (
            abs(y - (y0 + y1) / 2) <= (y1 - y0) / 2 - rise + 2e-9
        )
        row, column = divmod(
            int(np.argmin(np.where(inside, np.round(cost, 6), np.inf))), cost.shape[1]
        )
        return float(x[column]), float(y[row, 0])

    def stitched(self, ends: Floats, window: tuple[int, int, int, int] | None = None) -> Bools:
        """Return where stitches are, the ends of which are (n, 2, 2).

        window: left, top, right and end of the places looked at; by default all in view.
        """
        left, top, right, end = window or (0, 0, *self._shape[::-1])
        size = right - left, end - top
        covered = np.zeros(size[::-1], bool)
        at = (ends - self._view[:2]) * FINE - (left, top)
        at = at[((at.max(axis=1) >= 0) & (at.min(axis=1) <= size)).all(axis=1)]
        doublings = np.ceil(np.log2(np.abs(at[:, 1] - at[:, 0]).max(axis=1) + 1)).astype(np.int64)
        for length in np.unique(doublings).tolist():
            some = at[doublings == length]
            shares = np.linspace(0, 1, 2 ** (length + 1) + 1)[:, None]
            way = (some[:, :1] + (some[:, 1:] - some[:, :1]) * shares).reshape(-1, 2)
            for shift in (-0.3, 0.3):  # a stroke on the line between two places covers both
                x, y = np.floor(way + shift).astype(np.int64).T
                kept = (x >= 0) & (y >= 0) & (x < size[0]) & (y < size[1])
                covered[y[kept], x[kept]] = True
        return covered


def _away(covered: Bools, steps: int) -> Floats:
    """Return how far each place is from the nearest covered one, at most so many steps.

    Steps to four and to eight neighbours in turn; half a step is to the middle of a stroke that
    runs between two places.
    """
    reached = covered.copy()
    away = np.full(covered.shape, 0.5)
    for step in range(steps):
        away += ~reached
        before = reached.copy()
        reached[1:] |= before[:-1]
        reached[:-1] |= before[1:]
        if step % 2:
            before = reached.copy()
        reached[:, 1:] |= before[:, :-1]
        reached[:, :-1] |= before[:, 1:]
    return away / FINE


def _closed(covered: Bools) -> Bools:
    """Return what is covered, and holes in it of about two cells."""
    steps = FINE + 1
    return _away(_away(covered, steps) > 1, steps) > 1


def sample_sign(design: Design, index: int, sign: float, edge: float) -> tuple[Sign, ...]:
    """Return the sign of a line of the key, one cell high, in front of its sample.

    That of a knot or bead stands after it. sign: its side; edge: clear space before it.
    """
    entry = design.key[index - 1]
    letter = letters(design).get(index)
    if entry.is_point:
        return (Sign(letter, True, 1 - sign / 2, 0.5),) if letter else ()
    if letter:
        return (Sign(letter, True, edge + sign / 2, 0.5),)
    counted = entry.parts[0].stitch is not None
    return (Sign(entry.symbol, False, edge + sign / 2, 0.5),) if counted else ()
