"""Which thread stands for each colour that is brought in.

A colour that a thread has exactly gets that thread. For the others the sum of the CIEDE2000
differences is made as small as it can be with no thread given twice. Where there are more colours
than threads may be used, colours share threads.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..colour.colorimetry import Floats, ciede2000, labs
from ..colour.matching import assign, in_words, offered
from ..core.key import Thread, ThreadKind
from .cells import Cells, IndexCells, Wanted, joined

FAR = 10.0  # CIEDE2000, from which `matching` speaks of another colour


@dataclass(frozen=True)
class ChosenThread:
    """A thread of the key and what it stands for.

    difference: how far it is from that (CIEDE2000), on average over its crosses.
    """

    thread: Thread
    stands_for: tuple[Wanted, ...]
    difference: float
    crosses: int

    @property
    def words(self) -> str:
        """How near the thread is, in words; empty where it was asked for or is the very colour."""
        sought = [sign.colour for sign in self.stands_for if sign.thread is None]
        if self.difference == 0:
            return ""
        if len(sought) == 1:
            one, other = labs([sought[0], self.thread.colour])
            return f"for {sought[0]}: {in_words(one, other, self.difference)}"
        same = np.zeros(3)
        return f"for {len(sought)} colours: {in_words(same, same, self.difference)} on average"

    @property
    def symbol(self) -> str:
        """The symbol that was used for it where it came from, if any."""
        return next((sign.symbol for sign in self.stands_for if sign.symbol), "")


@dataclass(frozen=True, eq=False)
class ThreadFit:
    """The threads of the key, light to dark, and the grid of indices into them from 1."""

    chosen: tuple[ChosenThread, ...]
    grid: IndexCells


def fit(
    cells: Cells, threads: Sequence[Thread], most: int, kinds: Collection[ThreadKind] = ()
) -> ThreadFit:
    """Choose at most so many threads of a range for the cells.

    Threads that are asked for by name are used in any case; `most` is not less than their number.
    kinds: of the others, see `matching.offered`; where there is a colour to match, one is there.
    """
    asked = [each.thread for each in cells.wanted]
    stated = {each for each in asked if each is not None}
    there = offered(threads, kinds)
    threads = [each for each in threads if each in stated or each in there]
    free = [thread for thread in threads if thread not in stated]
    open_ones = [at for at, each in enumerate(asked) if each is None]
    colours = [cells.wanted[at].colour for at in open_ones]
    places = {thread: at for at, thread in enumerate(threads)}
    stated_at = np.array([places[each] if each else -1 for each in asked], dtype=np.int64)
    if colours:
        room = min(most - len(stated), len(free))
        if len(colours) <= room:
            given = [places[free[at]] for at in _one_each(colours, free)]
        else:
            weights = cells.counts[open_ones]
            given = _shared(colours, weights, threads, [places[each] for each in stated], room)
        stated_at[open_ones] = given
    return _fit(cells, threads, stated_at)


def _one_each(colours: Sequence[str], threads: Sequence[Thread]) -> list[int]:
    """Return a thread of its own for each colour, by index; there are at least as many."""
    given = [-1] * len(colours)
    by_colour: dict[str, list[int]] = {}
    for at, thread in enumerate(threads):
        by_colour.setdefault(thread.colour, []).append(at)
    for at, colour in enumerate(colours):
        if by_colour.get(colour):
            given[at] = by_colour[colour].pop(0)
    taken = set(given)
    left = [at for at in range(len(threads)) if at not in taken]
    open_ones = [at for at, each in enumerate(given) if each < 0]
    if open_ones:
        sought, there = [colours[at] for at in open_ones], [threads[at].colour for at in left]
        for at, column in zip(open_ones, assign(_apart(sought, there)).tolist(), strict=True):
            given[at] = left[column]
    return given


def _shared(
    colours: Sequence[str],
    weights: NDArray[np.int64],
    threads: Sequence[Thread],
    stated: Sequence[int],
    room: int,
) -> list[int]:
    """Return a thread for each colour, by index, with at most `room` besides those stated.

    From the nearest threads of all colours the one that is missed least is dropped until there is
    room: by the sum over crosses of the squared difference.
    """
    far = _apart(colours, [thread.colour for thread in threads])
    kept = sorted({*np.argmin(far, axis=1).tolist(), *stated})
    cost = weights[:, None] * far**2
    rows = np.arange(len(colours))
    while len(kept) > room + len(stated):
        among = cost[:, kept]
        order = np.argsort(among, axis=1, kind="stable")[:, :2]
        first, second = order[:, 0], order[:, 1]
        missed = np.bincount(
            first, weights=among[rows, second] - among[rows, first], minlength=len(kept)
        )
        missed[[at for at, each in enumerate(kept) if each in stated]] = np.inf
        kept.pop(int(np.argmin(missed)))
    nearest = np.argmin(far[:, kept], axis=1)
    return [kept[at] for at in nearest.tolist()]


def _apart(colours: Sequence[str], others: Sequence[str]) -> Floats:
    return ciede2000(labs(colours)[:, None], labs(others)[None])


def _fit(cells: Cells, threads: Sequence[Thread], choice: NDArray[np.int64]) -> ThreadFit:
    """Gather what stands for each thread, and order the threads from light to dark."""
    used = np.unique(choice)
    lightness = labs([threads[at].colour for at in used.tolist()])[:, 0]
    ordered = used[np.argsort(-lightness, kind="stable")]
    place = np.zeros(len(threads), dtype=np.int64)
    place[ordered] = np.arange(len(ordered))
    groups = place[choice]
    grid = joined(cells.grid, groups)
    weights = cells.counts
    counts = np.bincount(grid.ravel(), minlength=len(ordered) + 1)[1:]
    chosen = []
    for at, thread in enumerate(threads[each] for each in ordered.tolist()):
        members = tuple(cells.wanted[each] for each in np.flatnonzero(groups == at).tolist())
        far = _apart([member.colour for member in members], [thread.colour])[:, 0]
        difference = float(np.average(far, weights=weights[groups == at]))
        chosen.append(ChosenThread(thread, members, difference, int(counts[at])))
    return ThreadFit(tuple(chosen), grid)
