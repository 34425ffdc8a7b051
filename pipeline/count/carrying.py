"""How a thread goes on the back from one area to another: how far, and when it is ended off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..core.ground import MM_PER_INCH, Working
from .forest import Floats, Ints

MOST_CROSSES = 40  # farther than that a new start is made, however short the crosses are
BARE_TIMES = 4  # so many times what is always carried behind bare cloth is never carried
USUAL_ENDS = 2 * Working().tail  # mm
USUAL_SIDE = MM_PER_INCH / 16  # mm; the order of areas is found for crosses of this size


@dataclass(frozen=True)
class Habit:
    """How far a thread is carried. width, height: of a cross in mm; carry, slip, ends: in mm.

    carry: as far as this always. slip: from here on never, for so far at most it is slipped under
    stitches. bare: behind bare cloth always over so many crosses, never over `BARE_TIMES` as many.
    ends: both tails of a new start, as they usually are, so that tails can be fitted by themselves.
    """

    width: float
    height: float
    carry: float
    slip: float
    bare: float
    ends: float

    @staticmethod
    def of(working: Working, width: float, height: float) -> Habit:
        """Return how somebody works, where crosses are so wide and high in mm."""
        return Habit(width, height, working.carry, working.slip, working.bare, USUAL_ENDS)

    def way(self, across: Ints, down: Ints) -> Floats:
        """Return the way in mm from a cross to another so many cells off.

        The upper leg of the one ends at its top left or bottom right, and the lower leg of the
        other begins at its bottom left or top right: so the way is one cell shorter across, or
        down, but never both.
        """
        x, y = np.abs(across) * self.width, np.abs(down) * self.height
        beside = np.maximum(x - self.width, 0) ** 2 + y**2
        below = x**2 + np.maximum(y - self.height, 0) ** 2
        way: Floats = np.sqrt(np.minimum(beside, below))
        return way

    def share(self, way: Floats, bare: Floats) -> Floats:
        """Return of how many ways of a kind the thread is ended off and begun anew: 0 to 1.

        way: mm. bare: the longest stretch of each behind bare cloth, in crosses. No hand ends off
        at one length and carries at one a hair shorter; between always and never the share grows
        with the fourth power.
        """
        farthest = MOST_CROSSES * min(self.width, self.height)
        slip = min(max(self.slip, self.carry), farthest)
        far = _rising(way, min(self.carry, farthest), slip)
        if not bare.any():
            return far
        return np.maximum(far, _rising(bare, self.bare, BARE_TIMES * self.bare))

    def price(self, way: Floats, bare: Floats) -> Floats:
        """Return the mm that a way takes: of those carried and those begun anew the mean."""
        anew = self.share(way, bare)
        return np.asarray((1 - anew) * way + anew * self.ends)


def _rising(value: Floats, always: float, never: float) -> Floats:
    if never <= always:
        return np.where(value > always + 1e-9, 1.0, 0.0)
    risen: Floats = np.clip((value - always) / (never - always), 0, 1)
    return np.square(np.square(risen))


_FAR = MOST_CROSSES + 1  # cells across or down
_AT_ONCE = 20_000  # ways


def _lines() -> tuple[NDArray[np.int16], NDArray[np.int16]]:
    """Return the cells behind which the straight way to each offset lies.

    (offset, step), across and down; offsets of rows 0 to `_FAR` and of columns -`_FAR` to `_FAR`.
    """
    y, x = (each.ravel()[:, None] for each in np.mgrid[0 : _FAR + 1, -_FAR : _FAR + 1])
    steps = np.maximum(np.maximum(np.abs(x), y), 1)
    step = np.minimum(np.arange(_FAR), steps)
    across = np.sign(x) * ((2 * np.abs(x) * step + steps) // (2 * steps))
    return across.astype(np.int16), ((2 * y * step + steps) // (2 * steps)).astype(np.int16)


_ACROSS, _DOWN = _lines()


@dataclass(frozen=True, eq=False)
class Cloth:
    """Where there are stitches: `covered` of each place (row * pitch + column) of a grid.

    whole: whether no cell of it is bare. ahead: of each step of each straight way, the place.
    """

    covered: NDArray[np.bool_]
    pitch: int
    whole: bool
    ahead: NDArray[np.int32]

    @staticmethod
    def of(cells: NDArray[np.bool_]) -> Cloth:
        """Return the cloth of a grid, with bare columns and rows as far as a way may lead."""
        rows, columns = cells.shape
        pitch = columns + _FAR + 1
        covered = np.zeros((rows + _FAR + 1) * pitch, dtype=bool)
        covered.reshape(-1, pitch)[:rows, :columns] = cells
        ahead = _DOWN.astype(np.int32) * pitch + _ACROSS
        return Cloth(covered, pitch, bool(cells.all()), ahead)

    def bare(self, start: Ints, across: Ints, down: Ints, most: float = 0.0) -> Floats:
        """Return the longest stretch of each straight way behind bare cloth, in crosses.

        Of ways that lead farther than any is carried, and of those with fewer than so many cells
        between, it is none.
        """
        stretch = np.zeros(len(start))
        if self.whole:
            return stretch
        steps = np.maximum(np.abs(across), np.abs(down))
        # On a slope a step is as long as 1.42 crosses.
        some = np.flatnonzero(((steps - 1) * 1.42 > most) & (steps <= _FAR))
        some = some[np.argsort(-steps[some], kind="stable")]
        start, across, down, steps = start[some], across[some], down[some], steps[some]
        backwards = (down < 0) | ((down == 0) & (across < 0))
        first = np.where(backwards, start + down * self.pitch + across, start)
        turned = np.where(backwards, -1, 1)
        offset = down * turned * (2 * _FAR + 1) + across * turned + _FAR
        longest = np.zeros(len(some), dtype=np.uint8)
        for begin in range(0, len(some), _AT_ONCE):
            part = slice(begin, begin + _AT_ONCE)
            step = np.arange(steps[begin], dtype=np.uint8)
            behind = first[part, None] + self.ahead[offset[part], : len(step)]
            none = self.covered[behind] | (step >= steps[part, None])
            none[:, 0] = True
            last = np.maximum.accumulate(np.where(none, step, np.uint8(0)), axis=1)
            longest[part] = (step - last).max(axis=1)
        stretch[some] = longest * np.hypot(across, down) / np.maximum(steps, 1)
        return stretch
