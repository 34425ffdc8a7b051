"""Where the signs of key lines stand beside stitches that are drawn as they lie.

The sign of counted stitches is their symbol, that of lines, knots and beads a letter, where they
have one. It stands as near its stitches as can be on bare fabric, away from those of other threads
and from other signs; and again along a band, so that one is always near. Lengths are in cells.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi

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
_TRIED = 60  # stitches that a sign is tried beside
_AWAY = (0.2, 0.6, 1.1, 1.8)  # between the ring and the middle of the stitch
_ALONE, _OWN, _OTHERS, _FAR = 1.5, 5.0, 6.0, 3.0  # what is lost: by a place near others, and so on
_TAKEN = 1000.0
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
            mine = cover.of(each.ends[seen])
            for group in np.unique(each.group[seen]).tolist():
                middles = each.ends[seen & (each.group == group)].mean(axis=1)
                middles = middles[np.lexsort((middles[:, 0], middles[:, 1].round()))]
                while len(middles):
                    first = np.abs(middles - middles[0]).max(axis=1) <= REACH / 2
                    x, y = cover.best(middles[first][:_TRIED], mine, taken, area)
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
        self._all = _sums(crosses | self._raster(np.concatenate(drawn)))

    def of(self, ends: Floats) -> Ints:
        """Return the sums of stitches, for `best`."""
        return _sums(self._raster(ends))

    def best(
        self, beside: Floats, mine: Ints, taken: list[tuple[float, float]], area: Box
    ) -> tuple[float, float]:
        """Return where a sign stands best of all places beside some stitches."""
        angles = np.arange(16) / 8 * pi - pi / 2  # above first
        around = np.stack([np.cos(angles), np.sin(angles)], axis=1)
        offsets = [np.zeros((1, 2)), *((self._radius + away) * around for away in _AWAY)]
        lost = np.concatenate(
            [[0.0], *(np.full(16, _FAR * at) + np.arange(16) / 100 for at in range(len(_AWAY)))]
        )
        places = (beside[:, None] + np.concatenate(offsets)).reshape(-1, 2)
        cost = np.tile(lost, len(beside)) + np.repeat(np.arange(len(beside)) / 50, len(lost))
        low, high = (np.array(each) for each in (area[:2], area[2:]))
        room = np.minimum(self._radius, (high - low) / 2)
        inside = np.clip(places, low + room, high - room)
        cost += np.hypot(*(inside - places).T) * _FAR
        own = self._under(mine, inside, 0.0)
        cost += _OWN * own + _OTHERS * (self._under(self._all, inside, 0.0) - own)
        wide = self._under(self._all, inside, 0.5) - self._under(mine, inside, 0.5)
        cost += _ALONE * wide
        if taken:
            others = np.array(taken)
            near = np.abs(others - beside[0]).max(axis=1) <= 2 * REACH
            apart = np.hypot(*(inside[:, None] - others[near]).transpose(2, 0, 1))
            cost += _TAKEN * (apart < 2.1 * self._radius).sum(axis=1)
        x, y = inside[int(np.argmin(np.round(cost, 6)))].tolist()
        return x, y

    def _raster(self, ends: Floats) -> Bools:
        """Return where stitches are, the ends of which are (n, 2, 2)."""
        covered = np.zeros(self._shape, bool)
        at = (ends - self._view[:2]) * FINE
        size = self._shape[::-1]
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

    def _under(self, sums: Ints, places: Floats, more: float) -> Ints:
        """Return how many places are covered in the square around a ring, so much wider."""
        reach = self._radius + more
        at = (places - self._view[:2]) * FINE
        low = np.rint(at - reach * FINE).astype(np.int64).clip(0, self._shape[::-1])
        high = np.rint(at + reach * FINE).astype(np.int64).clip(0, self._shape[::-1])
        (x0, y0), (x1, y1) = low.T, high.T
        return np.asarray(sums[y1, x1] - sums[y0, x1] - sums[y1, x0] + sums[y0, x0])


def _sums(covered: Bools) -> Ints:
    return np.pad(covered.cumsum(axis=0, dtype=np.int64).cumsum(axis=1), ((1, 0), (1, 0)))


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
