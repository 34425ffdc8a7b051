"""The counted stitches that differ: whose they are, and which are told by themselves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from .areas import MOST_AREAS, NEAR, boxes, in_blocks, label
from .canvas import Mask
from .changes import Redrawn, Resewn, Sort
from .explained import HALF, Explained
from .matching import Matched
from .sewn import PARTS, Ints, Sewn, painted, unmatched
from .things import is_patched
from .units import Unit


@dataclass(frozen=True, eq=False)
class SewnApart:
    """All counted stitches of both charts, and which of them the other chart has not.

    Places are those of the new chart.
    """

    old: Sewn
    new: Sewn
    gone: Mask
    come: Mask

    @property
    def unlike(self) -> tuple[Sewn, Sewn]:
        """The stitches of each chart that the other has not."""
        return self.old.some(self.gone), self.new.some(self.come)

    def things(self, matches: Sequence[Matched]) -> frozenset[int]:
        """Return the numbers of the things that moved, came, went or changed with such stitches.

        Of a thing that came or went half of them have to differ: else the source was only put
        together in another way.
        """
        if not (self.gone.any() or self.come.any()):
            return frozenset()
        told: set[int] = set()
        for units, sewn, unlike in (
            ([each.old for each in matches], self.old, self.gone),
            ([each.new for each in matches], self.new, self.come),
        ):
            whose = _whose(sewn, dict(enumerate(units)))
            every = np.bincount(whose + 1, minlength=len(matches) + 1)[1:]
            differ = np.bincount(whose[unlike] + 1, minlength=len(matches) + 1)[1:]
            for number in np.flatnonzero(differ).tolist():
                match = matches[number]
                unit = units[number]
                assert unit is not None
                whole = match.old is not None and match.new is not None
                enough = whole or differ[number] >= HALF * every[number]
                if enough and unit.sort is not Sort.GRID and not match.plain:
                    told.add(number)
        return frozenset(told)

    def left_over(self, explained: Explained, redrawn: Mapping[str, Redrawn]) -> tuple[Sewn, Sewn]:
        """Return those that differ and are told by themselves, not of a thing.

        A copy of a redrawn motif in which more differ than in the motif is worked otherwise itself.
        """
        copies = {
            number: redrawn[match.new.name]
            for number, match in enumerate(explained.matches)
            if match.new is not None and match.new.name in redrawn
        }
        gone, come = (
            np.bincount(whose[unlike] + 1, minlength=len(explained.matches) + 1)[1:]
            for whose, unlike in (
                (_whose(self.old, {at: explained.matches[at].old for at in copies}), self.gone),
                (_whose(self.new, {at: explained.matches[at].new for at in copies}), self.come),
            )
        )

        def tells(number: int, match: Matched) -> bool:
            if number in copies and not match.moved:
                lost, gained = copies[number].resewn
                return bool(gone[number] <= lost and come[number] <= gained)
            reported = explained.reported(number) and not match.plain
            return number in copies or (reported and not _by_itself(match))

        every = enumerate(explained.matches)
        told = {number: match for number, match in every if tells(number, match)}
        old = _whose(self.old, {number: match.old for number, match in told.items()})
        new = _whose(self.new, {number: match.new for number, match in told.items()})
        return (
            self.old.some(self.gone & (old < 0)),
            self.new.some(self.come & (new < 0)),
        )


def apart_of(old: Sewn, new: Sewn) -> SewnApart:
    """Find out which counted stitches differ; old: on the new chart."""
    return SewnApart(old, new, *unmatched(old, new))


def _by_itself(match: Matched) -> bool:
    """Tell whether only crosses of a thing are told of it."""
    unit = match.new or match.old
    assert unit is not None
    return unit.sort is Sort.GRID or (unit.sort is Sort.MOTIF and is_patched(match))


def _whose(sewn: Sewn, units: Mapping[int, Unit | None]) -> Ints:
    """Return the number of the thing that each stitch belongs to, -1 where to none."""
    owner = np.full(int(sewn.placed.max(initial=-1)) + 1, -1, dtype=np.int64)
    for number, unit in units.items():
        for placed in () if unit is None else unit.numbers:
            if placed < len(owner):
                owner[placed] = number
    return np.asarray(owner[sewn.placed])


def resewn(old: Sewn, new: Sewn) -> tuple[Resewn, ...]:
    """Return what became of counted stitches of which the other side has none like it there.

    Those near each other are told together, and where there are many all those of a block. One
    that stands where another stood took its place.
    """
    if not len(old) and not len(new):
        return ()
    _, one, other = np.intersect1d(_places(old), _places(new), return_indices=True)
    gone, come = (np.ones(len(each), dtype=bool) for each in (old, new))
    gone[one], come[other] = False, False
    old_index = np.concatenate([old.index[one], old.index[gone], np.zeros(come.sum(), np.int64)])
    new_index = np.concatenate([new.index[other], np.zeros(gone.sum(), np.int64), new.index[come]])
    every = np.concatenate([new.boxes[other], old.boxes[gone], new.boxes[come]])
    area = _areas(every)
    order = np.lexsort((every[:, 0], every[:, 1], new_index, old_index == 0, old_index, area))
    told: dict[tuple[int, ...], list[tuple[float, float, float, float]]] = {}
    for at in order.tolist():
        which = int(area[at]), int(old_index[at]), int(new_index[at])
        x0, y0, x1, y1 = every[at].tolist()
        told.setdefault(which, []).append((x0, y0, x1, y1))
    return tuple(Resewn(which[1], which[2], tuple(each)) for which, each in told.items())


def _places(sewn: Sewn) -> Ints:
    """Return the corner of each as one number."""
    x, y = sewn.corners.T
    return np.asarray((x << 32) + y)


def _areas(every: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Ints:
    """Return the number of the area that each box lies in, in reading order."""
    left, top = np.floor(every[:, :2].min(axis=0)).astype(int).tolist()
    right, bottom = np.ceil(every[:, 2:].max(axis=0)).astype(int).tolist()
    none = np.zeros(len(every), dtype=np.int64)
    mask = painted(
        np.zeros((bottom - top, right - left), dtype=np.int64),
        Sewn(none, none, every, none),
        left,
        top,
    )
    x, y, area = label(mask != 0, NEAR)
    if len(area) and int(area.max()) >= MOST_AREAS:
        area = in_blocks(boxes(x, y, area), MOST_AREAS)[area]
    numbers = np.zeros(mask.shape, dtype=np.int64)
    numbers[y, x] = area
    columns, rows = np.floor(every[:, :2] + 0.5 / PARTS).astype(np.int64).T
    return np.asarray(numbers[rows - top, columns - left])
