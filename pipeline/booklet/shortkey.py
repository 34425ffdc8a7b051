"""The short key of a chart page: symbol, thread and stitch of all that is met on it.

It is as high as that page needs. Its columns are as wide as what stands in them, and words too long
for theirs go on below. Lengths are those of `layout`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from ..compose.worked import WorkedChart
from ..core.key import KeyEntry
from .keylist import Labels, address
from .met import Met
from .textwidth import text_width

LINE = 4.2  # one line
TYPE = 7.5  # points; size of its words
SYMBOL, DRAWN = 5.0, 7.6  # room for a symbol and the blank after it; the same where lines are used
APART = 3.5  # at the least, from one entry to the next
SMALL, WIDEST = 3.7, 6.4  # height and most width of a drawing
WRAPPED = (math.inf, 62.0, 46.0, 34.0)  # widths tried for the words of an entry
SAMPLE_CELL = 4.4  # mm, side of a cell of the key
SAMPLE_RUN = 2.6  # cells; length of a line of the key
SAMPLE_INSET = 0.1  # mm around, so that the frame is not cut


def sample_size(entry: KeyEntry) -> tuple[float, float]:
    """Return width and height in mm of the drawing of a line of the key."""
    return cells_across(entry) * SAMPLE_CELL + 2 * SAMPLE_INSET, SAMPLE_CELL + 2 * SAMPLE_INSET


def cells_across(entry: KeyEntry) -> float:
    """Return how many cells wide the drawing is."""
    return SAMPLE_RUN if entry.is_wide else 1.0


@dataclass(frozen=True)
class Shown:
    """A line of the key in a short key, from the corner of that.

    address: of its drawing; x, y, width, height: where this stands. words: each with the corner of
    its line.
    """

    address: str
    x: float
    y: float
    width: float
    height: float
    words: tuple[tuple[str, float, float], ...]


@dataclass(frozen=True)
class ShortKey:
    """A short key as it is set. usual: its first line. width, height: of all that is shown."""

    usual: str
    shown: tuple[Shown, ...]
    width: float
    height: float


class ShortKeys:
    """The short keys of all chart pages. labels: the words of them.

    Each is set once, however often the pages are planned.
    """

    def __init__(self, worked: WorkedChart, labels: Labels) -> None:
        self.labels = labels
        self._worked = worked
        self.met = Met(worked).on
        self._known: dict[tuple[tuple[int, ...], float], ShortKey] = {}

    def whole(self, width: float) -> ShortKey:
        """Return that of the whole chart."""
        return self.of(tuple(self.labels.words), width)

    def of(self, entries: tuple[int, ...], width: float) -> ShortKey:
        """Return that of some key lines, as low as can be in so wide a room."""
        known = entries, width
        if known not in self._known:
            self._known[known] = short_key(self._worked, self.labels.of(entries), width)
        return self._known[known]


def short_key(worked: WorkedChart, labels: Labels, width: float) -> ShortKey:
    """Return a short key with these words, as low as can be in so wide a room."""
    wordings = [(labels.words, "")]
    if labels.usual:
        wordings.append(({**labels.words, **labels.brief}, labels.usual))
    rooms = {index: DRAWN if worked.entry(index).is_wide else SYMBOL for index in labels.words}
    best, lowest = None, math.inf
    for words, usual in wordings:
        for most in WRAPPED:
            entries = {
                index: _Entry(*_wrapped(said, min(most, width - rooms[index])), rooms[index])
                for index, said in words.items()
            }
            top = LINE if usual else 0.0
            columns = _columns(entries, width, (lowest - top) / LINE - 1e-6)
            if columns is not None:
                deep = [sum(len(entries[index].lines) for index in each) for each in columns]
                best, lowest = (entries, usual, columns), top + max(deep, default=0) * LINE
    assert best is not None  # the first has no bound to keep to
    return _set(worked, *best, lowest)


@dataclass(frozen=True, slots=True)
class _Entry:
    """What a key line takes: its words in lines, how wide these are, the room of its symbol."""

    lines: tuple[str, ...]
    wide: float
    symbol: float

    @property
    def across(self) -> float:
        """How wide it is with its symbol."""
        return self.symbol + self.wide


def _set(
    worked: WorkedChart,
    entries: Mapping[int, _Entry],
    usual: str,
    columns: Sequence[Sequence[int]],
    height: float,
) -> ShortKey:
    shown, x = [], 0.0
    for column, across in zip(columns, _widths(entries, columns), strict=True):
        symbol, y = max(entries[index].symbol for index in column), LINE if usual else 0.0
        for index in column:
            lines = entries[index].lines
            shown.append(_shown(worked, index, lines, (x, y), symbol))
            y += LINE * len(lines)
        x += across + APART
    return ShortKey(usual, tuple(shown), max(text_width(usual, TYPE), x - APART), height)


def _columns(entries: Mapping[int, _Entry], width: float, below: float) -> list[list[int]] | None:
    """Return entries in the fewest lines deep that columns have room for; None if not below some.

    A single column stands whether there is room or not.
    """
    whole = sum(len(each.lines) for each in entries.values())
    # No column is narrower than what stands in it: what entries take of the width is a bound.
    taken = sum(len(each.lines) * (each.across + APART) for each in entries.values())
    least = min(whole, math.ceil(taken / (width + APART) - 1e-6))
    least = max([least, *(len(each.lines) for each in entries.values())])
    for deep in range(least, whole + 1):
        if deep >= below:
            break
        columns = list(_filled(entries, deep))
        across = sum(_widths(entries, columns)) + APART * (len(columns) - 1)
        if across <= width or len(columns) <= 1:
            return columns
    return None


def _widths(entries: Mapping[int, _Entry], columns: Iterable[Iterable[int]]) -> list[float]:
    """Return how wide columns are."""
    return [
        max(entries[i].symbol for i in each) + max(entries[i].wide for i in each)
        for each in columns
    ]


def _filled(entries: Mapping[int, _Entry], deep: int) -> Iterator[list[int]]:
    """Return entries in columns of at most so many lines."""
    column: list[int] = []
    taken = 0
    for index, entry in entries.items():
        if taken + len(entry.lines) > deep:
            yield column
            column, taken = [], 0
        column.append(index)
        taken += len(entry.lines)
    if column:
        yield column


@lru_cache(maxsize=4096)  # the same words are set for every page that might have them
def _wrapped(words: str, width: float) -> tuple[tuple[str, ...], float]:
    """Return words in lines of so many mm, and how wide these are.

    A word that is longer has a line of its own.
    """
    lines: list[str] = []
    for word in words.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, TYPE) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines), max(text_width(line, TYPE) for line in lines)


def _shown(
    worked: WorkedChart,
    index: int,
    lines: Sequence[str],
    at: tuple[float, float],
    symbol: float,
) -> Shown:
    x, y = at
    width, height = sample_size(worked.entry(index))
    scale = min(SMALL / height, WIDEST / width)
    return Shown(
        address(index),
        x,
        y + (LINE - height * scale) / 2,
        width * scale,
        height * scale,
        tuple((words, x + symbol, y + LINE * down) for down, words in enumerate(lines)),
    )
