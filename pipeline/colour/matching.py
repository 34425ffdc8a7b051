"""The nearest threads to a colour, how near in plain words, and the cheapest way to share them."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..core.key import Thread, ThreadKind
from .colorimetry import D50, D65, Floats, adapted, ciede2000, lab_of_xyz, labs, xyz_of_lab


def assign(cost: ArrayLike) -> NDArray[np.int64]:
    """Return for each row its column, such that the sum of costs is least.

    cost: (n, m) of finite numbers, n <= m. Rows are added one by one, each by a shortest path of
    exchanges, with prices on rows and columns that keep all reduced costs from falling below zero
    (H. W. Kuhn, "The Hungarian method for the assignment problem", Naval Research Logistics
    Quarterly 2, 1955, 83-97; by shortest paths: J. Edmonds and R. M. Karp, Journal of the ACM
    19(2), 1972, 248-264): n paths of at most n steps over m columns.
    """
    costs = np.asarray(cost, dtype=np.float64)
    rows, columns = costs.shape
    if rows > columns:
        raise ValueError(f"{rows} rows cannot have a column each of {columns}")
    if not np.isfinite(costs).all():
        raise ValueError("every cost has to be finite")
    row_price, column_price = np.zeros(rows), np.zeros(columns)
    row_of = np.full(columns, -1, dtype=np.int64)
    for row in range(rows):
        shortest = np.full(columns, np.inf)
        before = np.full(columns, -1, dtype=np.int64)  # the column from which each is reached
        settled = np.zeros(columns, dtype=bool)
        at, through, length = row, -1, 0.0
        while True:
            way = length + costs[at] - row_price[at] - column_price
            better = ~settled & (way < shortest)
            shortest[better] = way[better]
            before[better] = through
            through = int(np.argmin(np.where(settled, np.inf, shortest)))
            length = float(shortest[through])
            settled[through] = True
            at = int(row_of[through])
            if at < 0:
                break
        inner = settled.copy()
        inner[through] = False
        row_price[row] += length
        row_price[row_of[inner]] += length - shortest[inner]
        column_price[settled] -= length - shortest[settled]
        while through >= 0:  # give each column on the path to the row that reached it
            earlier = int(before[through])
            row_of[through] = row if earlier < 0 else row_of[earlier]
            through = earlier
    choice = np.empty(rows, dtype=np.int64)
    taken = np.flatnonzero(row_of >= 0)
    choice[row_of[taken]] = taken
    return choice


# CIEDE2000. About 1 is the least that is seen side by side; 5 is where `check` warns of threads
# that touch. The words are common practice, no single source, and from memory.
_NEAR = (
    (1.0, "the same to the eye"),
    (2.5, "seen only side by side"),
    (5.0, "near"),
    (10.0, "another shade"),
)
_FAR = "another colour"
_TOLD = 2.0  # Lab; a smaller step in one direction is not told
_MOST_TOLD = 2  # directions
_DIRECTIONS = (("darker", "lighter"), ("greener", "redder"), ("bluer", "yellower"))

LIGHTS = {"d65": D65, "d50": D50}
_HEX = re.compile(r"#?([0-9A-Fa-f]{6})", re.ASCII)
_FIGURE = r"([+-]?\d{1,3}(?:\.\d{1,6})?)"
_LAB = re.compile(
    rf"lab\(\s*{_FIGURE}[\s,]+{_FIGURE}[\s,]+{_FIGURE}\s*\)", re.ASCII | re.IGNORECASE
)


@dataclass(frozen=True)
class Match:
    """A thread, how far it is from what was sought (CIEDE2000), and both in words."""

    thread: Thread
    difference: float
    words: str


def colour_asked(text: str, light: str = "d65") -> Floats | None:
    """Return the Lab (D65) of a colour as typed, `#8a6a49` or `lab(52 10 -3)`; None for no colour.

    light: `d65` or `d50`, under which a Lab colour was measured.
    """
    match = _HEX.fullmatch(text.strip())
    if match:
        first: Floats = labs([f"#{match[1]}"])[0]
        return first
    match = _LAB.fullmatch(text.strip())
    if match is None:
        return None
    lightness, a, b = (float(each) for each in match.groups())
    if not 0 <= lightness <= 100 or max(abs(a), abs(b)) > 160:
        return None
    white = LIGHTS[light]
    return lab_of_xyz(adapted(xyz_of_lab([lightness, a, b], white), white))


def offered(threads: Iterable[Thread], kinds: Collection[ThreadKind] = ()) -> list[Thread]:
    """Return the threads that may be offered for a cross, in order.

    kinds: those that are asked for; without any, all but metallic thread and beads.
    """
    asked = kinds or [kind for kind in ThreadKind if kind.traits.offered]
    return [thread for thread in threads if thread.kind in asked]


def nearest_threads(lab: ArrayLike, threads: Sequence[Thread], most: int) -> list[Match]:
    """Return the nearest threads to a Lab colour, best first; of equals the first in the range."""
    colours = labs([thread.colour for thread in threads])
    apart = ciede2000(np.asarray(lab, dtype=np.float64), colours)
    order = np.argsort(apart, kind="stable")[:most]
    return [
        Match(threads[at], float(apart[at]), in_words(lab, colours[at], float(apart[at])))
        for at in order.tolist()
    ]


def in_words(sought: ArrayLike, near: ArrayLike, difference: float) -> str:
    """Return how near a colour is to the one sought, and which way off: `near; darker, redder`."""
    words = next((said for most, said in _NEAR if difference < most), _FAR)
    steps = (np.asarray(near, dtype=np.float64) - np.asarray(sought, dtype=np.float64)).tolist()
    if difference < _NEAR[0][0]:
        return words
    largest = sorted(range(3), key=lambda at: -abs(steps[at]))[:_MOST_TOLD]
    off = [_DIRECTIONS[at][steps[at] > 0] for at in largest if abs(steps[at]) >= _TOLD]
    return f"{words}; {', '.join(off)}" if off else words
