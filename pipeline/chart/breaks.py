"""Where the pages of a chart may meet, along one way through it, and what is cut there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .figures import Figures, costs

BAND = 10  # rows and columns are counted, and pages preferably broken, by tens
OFF, UNEVEN = 0.002, 1e-8  # what a break that is not at a ten costs; a cell more or less, squared
LESS = 0.001  # a cost that is lower by so much is worth a longer page


@dataclass(frozen=True)
class Line:
    """One way through a chart, across or down.

    length: of the chart in cells. fits: how many cells a page may show, usual of them of each
    neighbour. most, overlap: how many it may show to spare figures. tens_from: the grid line that
    the tens are counted from.
    """

    down: bool
    length: int
    fits: int
    usual: int
    most: int
    overlap: int
    tens_from: int = 0

    def shown(self, start: int, end: int) -> int:
        """Return how many cells a page with these cores shows."""
        return end - start + self.overlap * ((start > 0) + (end < self.length))

    def longest(self, breaks: Sequence[int]) -> int:
        """Return how many cells the page shows that shows most."""
        return max(self.shown(*each) for each in pairwise(breaks))


@dataclass(frozen=True)
class Cut:
    """One way to cut. breaks: where pages meet, with 0 and the end. longest: as of a line.

    cost: of what is cut, see `Figures`.
    """

    breaks: tuple[int, ...]
    longest: int
    cost: float = 0.0


@lru_cache(maxsize=256)  # the same pages are planned for room that differs by parts of a cell
def cuts(line: Line, said: tuple[int, ...], figures: Figures | None) -> tuple[Cut, ...]:
    """Return the ways into the fewest pages that are worth looking at, the shortest pages first.

    said: where pages meet in any case. Breaks stand at tens or else share the pages evenly. Where
    these cut a figure there are other ways too, no break being moved more than a band of ten: for
    each length of page that with the lowest cost, if that is lower than for any shorter one.
    """
    stretches = [_Stretch(line, *each) for each in pairwise(sorted({0, *said, line.length}))]
    plain = _joined([each.plain() for each in stretches], stretches)
    first = Cut(plain, line.longest(plain))
    if figures is None:
        return (first,)
    cost = costs(figures, line.down, line.length, line.overlap, line.most)
    first = replace(first, cost=float(cost[[*plain]].sum()))
    if first.cost <= cost[[*said]].sum() or first.longest > line.most:
        return (first,)
    limits = np.arange(math.floor(max(each.share for each in stretches)), line.most + 1)
    within = [each.spared(limits, cost) for each in stretches]
    chosen, least = [first], math.inf
    for at, price in enumerate(np.sum([prices for prices, _ in within], axis=0)):
        if price < least - LESS:
            least = price
            breaks = _joined([ways[at].tolist() for _, ways in within], stretches)
            chosen.append(Cut(breaks, line.longest(breaks), float(cost[[*breaks]].sum())))
    return tuple(chosen)


def _joined(within: Sequence[Sequence[int]], stretches: Sequence[_Stretch]) -> tuple[int, ...]:
    """Return all breaks, with 0 and the end."""
    each = zip(within, stretches, strict=True)
    return (0, *(at for breaks, stretch in each for at in (*breaks, stretch.end)))


@dataclass(frozen=True)
class _Stretch:
    """What lies between two breaks that stand."""

    line: Line
    start: int
    end: int

    @cached_property
    def pages(self) -> int:
        """How many it takes: n show 2 overlap (n - 1) cells more than one of all would."""
        line = replace(self.line, overlap=self.line.usual)
        twice = 2 * line.overlap
        return max(1, math.ceil((line.shown(self.start, self.end) - twice) / (line.fits - twice)))

    @cached_property
    def share(self) -> float:
        """How many cells each page shows if all show as many."""
        line = self.line
        shown = line.shown(self.start, self.end) + 2 * line.overlap * (self.pages - 1)
        return shown / self.pages

    @cached_property
    def ideal(self) -> NDArray[np.floating]:
        """Where pages meet, in parts of a cell, if all show as many."""
        line = self.line
        first = self.start - (line.overlap if self.start else 0)
        return first + np.arange(1, self.pages) * (self.share - 2 * line.overlap) + line.overlap

    @property
    def even(self) -> list[int]:
        """Where pages meet that show as many as one another, as far as whole cells can."""
        return [math.floor(each + 0.5) for each in self.ideal]

    def plain(self) -> Sequence[int]:
        """Return where pages meet if nothing is to be spared: at tens if these are balanced."""
        line = self.line
        tens = [math.floor((each - line.tens_from) / BAND) for each in self.ideal]
        choices = [np.array([ten, ten + 1]) * BAND + line.tens_from for ten in tens]
        (price,), (breaks,) = self._best(
            choices, np.array([max(line.fits, math.ceil(self.share))]), np.zeros(line.length + 1)
        )
        at = breaks.tolist()
        shown = [line.shown(*each) for each in pairwise((self.start, *at, self.end))]
        return at if price < math.inf and max(shown) - min(shown) <= BAND else self.even

    def spared(
        self, limits: NDArray[np.int64], cost: NDArray[np.float64]
    ) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
        """Return the lowest cost with pages of each longest length, and where these meet.

        cost: of a break at each grid line.
        """
        off = (np.arange(len(cost)) - self.line.tens_from) % BAND != 0
        near = np.arange(-BAND, BAND + 1)
        choices = [each + near for each in self.even]
        return self._best(choices, limits, cost + OFF * off)

    def _best(
        self,
        choices: Sequence[NDArray[np.int64]],
        limits: NDArray[np.int64],
        cost: NDArray[np.float64],
    ) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
        """Return the same of some choices for each break; infinite where there is no way.

        From the start to the end the best way to each choice is kept, for all limits at once.
        """
        line, end = self.line, np.array([self.end])
        before, price = np.array([self.start]), np.zeros((len(limits), 1))
        steps = []
        for choice in (*choices, end):
            at = choice[(choice > self.start) & (choice < self.end)] if choice is not end else end
            cores = at - before[:, None]
            shown = cores + line.overlap * (1 * (before > 0)[:, None] + (at < line.length))
            fitting = (cores > 0) & (shown <= limits[:, None, None])
            own = UNEVEN * (shown - self.share) ** 2 + (0.0 if choice is end else cost[at])
            prices = np.where(fitting, price[:, :, None] + own, math.inf)
            steps.append((before, prices.argmin(axis=1)))
            before, price = at, prices.min(axis=1)
        taken = np.zeros(len(limits), np.int64)
        breaks = []
        for places, came_from in reversed(steps):
            taken = came_from[np.arange(len(limits)), taken]
            breaks.append(places[taken])
        return price[:, 0], np.array(breaks[-2::-1], np.int64).reshape(-1, len(limits)).T
