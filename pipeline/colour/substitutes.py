"""Threads of another range for a whole key: each near to its own, and neighbours kept apart.

Every thread gets another, none twice. What is made small is the sum over threads of the squared
CIEDE2000 difference between a thread and its substitute, and, for each two threads that touch on
the chart, APART times the square of what their substitutes lack of the distance they need. That is
CLEAR, or the distance the designer herself left between them if that is less.

Without the second part it is an assignment, solved exactly. With it no quick exact way is known:
so from the exact one, threads are moved, and others out of their way, as long as that makes the sum
smaller.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..core.key import Thread
from .colorimetry import Floats, ciede2000, labs
from .matching import assign

CLEAR = 5.0  # CIEDE2000; nearer than that two threads that touch are hard to tell apart
APART = 10.0
MOST_CHOICES = 60  # nearest threads of the range that each thread may get, besides all others'
_MOST_MOVES = 1000
_LEAST = 1e-9


class TooFew(ValueError):
    """The range holds fewer threads than the key needs; the message says how many."""


@dataclass(frozen=True, eq=False)
class Substitution:
    """What was found.

    chosen: of the range, for each thread. difference: (n,) between each and its own. close: pairs
    of threads that touch and whose substitutes stay too near each other, with that distance.
    """

    chosen: tuple[Thread, ...]
    difference: Floats
    close: tuple[tuple[int, int, float], ...]


def substitutes(
    threads: Sequence[Thread], touching: NDArray[np.bool_], range_: Sequence[Thread]
) -> Substitution:
    """Find substitutes for threads in a range that holds at least as many.

    touching: (n, n), symmetric, which threads lie side by side on the chart.

    Raises:
        TooFew: for a range with fewer threads.
    """
    if len(range_) < len(threads):
        raise TooFew(
            f"{len(range_)} threads are too few; the key needs {len(threads)} different ones."
        )
    own = labs([thread.colour for thread in threads])
    there = labs([thread.colour for thread in range_])
    far = ciede2000(own[:, None], there[None])
    # Only what comes near to any thread can be of use; the rest would be compared for nothing.
    most = min(len(range_), max(MOST_CHOICES, len(threads)))
    keep = np.unique(np.argpartition(far, most - 1, axis=1)[:, :most])
    problem = _Problem(far[:, keep] ** 2, there[keep], _needed(own, touching))
    columns = problem.improved(assign(problem.cost))
    chosen = keep[columns]
    between = ciede2000(there[chosen][:, None], there[chosen][None])
    lacking = np.triu(between < problem.needed - 1e-6)
    close = tuple(
        (one, other, float(between[one, other])) for one, other in np.argwhere(lacking).tolist()
    )
    rows = np.arange(len(threads))
    return Substitution(tuple(range_[at] for at in chosen.tolist()), far[rows, chosen], close)


def _needed(own: Floats, touching: NDArray[np.bool_]) -> Floats:
    """Return the distance that the substitutes of each two threads need, 0 where they are free."""
    between = ciede2000(own[:, None], own[None])
    needed = np.where(touching, np.minimum(between, CLEAR), 0.0)
    np.fill_diagonal(needed, 0.0)
    return needed


class _Problem:
    """cost: (n, m) of each thread by column. colours: Lab of the columns. needed: (n, n)."""

    def __init__(self, cost: Floats, colours: Floats, needed: Floats) -> None:
        self.cost = cost
        self.colours = colours
        self.needed = needed
        self.between = ciede2000(colours[:, None], colours[None])

    def penalty(self, row: int, columns: NDArray[np.int64]) -> Floats:
        """Return (m,) what a row would lack of its neighbours in each column, they staying."""
        beside = np.flatnonzero(self.needed[row])
        lack = self.needed[row, beside] - self.between[:, columns[beside]]
        penalties: Floats = APART * np.square(np.maximum(lack, 0)).sum(axis=1)
        return penalties

    def total(self, columns: NDArray[np.int64]) -> float:
        """Return the sum that is made small."""
        lack = np.maximum(self.needed - self.between[np.ix_(columns, columns)], 0)
        own = self.cost[np.arange(len(columns)), columns].sum()
        return float(own + APART * np.square(np.triu(lack)).sum())

    def improved(self, columns: NDArray[np.int64]) -> NDArray[np.int64]:
        """Move and exchange as long as it helps, the best step first."""
        for _ in range(_MOST_MOVES):
            gain, better = self._step(columns)
            if gain <= _LEAST:
                break
            columns = better
        return columns

    def _step(self, columns: NDArray[np.int64]) -> tuple[float, NDArray[np.int64]]:
        """Return the step that helps most: what it gains, and the columns after it.

        Each row that is too near to a neighbour, and each neighbour of one, goes to the free column
        that suits it best, or to that of another row, which then goes where it suits that best.
        """
        now = self.total(columns)
        best, better = 0.0, columns
        movers: set[int] = set()
        for row in range(len(columns)):
            if self._lacks(row, columns):
                movers |= {row, *np.flatnonzero(self.needed[row]).tolist()}
        for mover in sorted(movers):
            for tried in self._moves(mover, columns):
                gain = now - self.total(tried)
                if gain > best + _LEAST:
                    best, better = gain, tried
        return best, better

    def _moves(self, mover: int, columns: NDArray[np.int64]) -> Iterator[NDArray[np.int64]]:
        yield self._settled(mover, columns)
        for other in range(len(columns)):
            if other != mover:
                pushed = columns.copy()
                pushed[mover] = columns[other]
                pushed[other] = -1
                yield self._settled(other, pushed)

    def _settled(self, row: int, columns: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return the columns with one row in the free one that suits it best."""
        price = self.cost[row] + self.penalty(row, columns)
        price[np.delete(columns, row)] = np.inf
        settled = columns.copy()
        settled[row] = int(np.argmin(price))
        return settled

    def _lacks(self, row: int, columns: NDArray[np.int64]) -> bool:
        return bool(self.penalty(row, columns)[columns[row]] > 0)
