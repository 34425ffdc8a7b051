"""The short key of a chart page: symbol, thread and stitch of all that is met on it.

It is as high as that page needs. Its columns are as wide as what stands in them, and words too long
for theirs go on below. Lengths are those of `layout`.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, product

import numpy as np

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
_PHRASE = re.compile(r"(?<=,) | (?=\+ )")  # between a thread and its stitch, before one more thread
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
    """A short key as it is set. usual: its first line. width, height: of all that is shown.

    entries: its lines; columns: which of them stand in each.
    """

    usual: str
    entries: tuple[Entry, ...]
    columns: tuple[slice, ...]
    width: float
    height: float

    @cached_property
    def shown(self) -> tuple[Shown, ...]:
        """All lines in their places."""
        shown, x = [], 0.0
        for column in self.columns:
            entries, y = self.entries[column], LINE if self.usual else 0.0
            symbol = max(each.symbol for each in entries)
            for each in entries:
                shown.append(each.shown(x, y, symbol))
                y += LINE * len(each.lines)
            x += symbol + max(each.wide for each in entries) + APART
        return tuple(shown)


@dataclass(frozen=True)
class Entry:
    """A line of the key as it is set: its words in lines, how wide these are.

    symbol: the room that its symbol takes.
    """

    key: KeyEntry
    index: int
    lines: tuple[str, ...]
    wide: float
    symbol: float

    def shown(self, x: float, y: float, symbol: float) -> Shown:
        """Return it with its corner at x, y, and words that far from there."""
        width, height = sample_size(self.key)
        scale = min(SMALL / height, WIDEST / width)
        return Shown(
            address(self.index),
            x,
            y + (LINE - height * scale) / 2,
            width * scale,
            height * scale,
            tuple((words, x + symbol, y + LINE * down) for down, words in enumerate(self.lines)),
        )


class ShortKeys:
    """The short keys of all chart pages. labels: the words of them; met: what a page shows.

    Each is set once, however often the pages are planned.
    """

    def __init__(self, worked: WorkedChart, labels: Labels) -> None:
        self.labels = labels
        self.met = Met(worked).on
        self._worked = worked
        self._ways: dict[float, _Ways] = {}
        self._known: dict[tuple[tuple[int, ...], float, bool], ShortKey] = {}

    def whole(self, width: float) -> ShortKey:
        """Return that of the whole chart."""
        return self.of(tuple(self.labels.words), width)

    def of(self, indices: tuple[int, ...], width: float, *, brief: bool = False) -> ShortKey:
        """Return that of some key lines, as low as can be in so wide a room.

        Of those as low, one that names each stitch is taken, or in brief each but the usual one;
        then one that wraps the fewest words.
        """
        known = indices, width, brief
        if known not in self._known:
            self._known[known] = self._lowest(*known)
        return self._known[known]

    def _lowest(self, indices: tuple[int, ...], width: float, brief: bool) -> ShortKey:
        if width not in self._ways:
            self._ways[width] = _Ways(tuple(self._set(width)))
        shortened = any(index in self.labels.brief for index in indices)
        lines, bounds = self._ways[width].least([*indices], width)
        ways = sorted(
            (bool(way.usual) is not brief, many, at, bound, way)
            for at, (way, many, bound) in enumerate(
                zip(self._ways[width].each, lines, bounds, strict=True)
            )
            if shortened or not way.usual
        )
        # Most ways need not be tried: they take more than another does.
        best, lowest, first = None, math.inf, len(ways)
        for at in sorted(range(len(ways)), key=lambda at: ways[at][3]):
            *_, bound, way = ways[at]
            nearly = 1e-6 if at < first else -1e-6
            if bound >= lowest + nearly:
                continue
            sizes = [way.sizes[index] for index in indices]
            deep = math.ceil((bound - way.top) / LINE - 1e-6)
            columns = _columns(sizes, width, deep, (lowest + nearly - way.top) / LINE)
            if columns is not None:
                (starts, deep, across), ends = columns, [*columns[0][1:], len(indices)]
                slices = tuple(map(slice, starts, ends)) if indices else ()
                first, lowest = at, way.top + deep * LINE
                wide = max(text_width(way.usual, TYPE), across)
                entries = tuple(way.entries[index] for index in indices)
                best = ShortKey(way.usual, entries, slices, wide, lowest)
        assert best is not None  # the first has no bound to keep to
        return best

    def _set(self, width: float) -> Iterator[_Way]:
        """Give the ways to set all lines, each once."""
        known = set()
        wordings = [("", self.labels.words)]
        if self.labels.usual:
            wordings.append((self.labels.usual, {**self.labels.words, **self.labels.brief}))
        for usual, words in wordings:
            for most, wrap in product(WRAPPED, (_by_phrase, _filled_up)):
                entries = {}
                for index, said in words.items():
                    entry = self._worked.entry(index)
                    symbol = DRAWN if entry.is_wide else SYMBOL
                    lines = wrap(said.split(" "), min(most, width - symbol))
                    wide = max(text_width(line, TYPE) for line in lines)
                    entries[index] = Entry(entry, index, lines, wide, symbol)
                way = usual, *(each.lines for each in entries.values())
                if way not in known:
                    known.add(way)
                    yield _Way(usual, entries)


@dataclass(frozen=True)
class _Way:
    """One way to set all lines of a key, by their index. usual: the first line."""

    usual: str
    entries: Mapping[int, Entry]

    @property
    def top(self) -> float:
        """How high the first line is."""
        return LINE if self.usual else 0.0

    @cached_property
    def sizes(self) -> Mapping[int, tuple[int, float, float]]:
        """Of each index how many lines it has, the room of its symbol and that of its words."""
        return {at: (len(each.lines), each.symbol, each.wide) for at, each in self.entries.items()}


class _Ways:
    """All ways to set the lines of a key in so wide a room."""

    def __init__(self, each: tuple[_Way, ...]) -> None:
        self.each = each
        self._tops = np.array([way.top for way in each])
        # Of each way and index how many lines it has, and what these take of the width.
        most = max((index for way in each for index in way.sizes), default=0)
        self._taken = np.zeros((2, len(each), most + 1))
        for at, way in enumerate(each):
            for index, (lines, symbol, wide) in way.sizes.items():
                self._taken[:, at, index] = lines, lines * (symbol + wide + APART)

    def least(self, indices: list[int], width: float) -> tuple[list[float], list[float]]:
        """Return of each way how many lines some take, and how high these are at the least.

        No column is narrower than what stands in it.
        """
        taken = self._taken[:, :, indices]
        lines, wide = taken.sum(axis=2)
        deep = np.minimum(lines, np.ceil(wide / (width + APART) - 1e-6))
        deep = np.maximum(deep, taken[0].max(axis=1, initial=0.0))
        return lines.tolist(), (self._tops + LINE * deep).tolist()


def _columns(
    sizes: Sequence[tuple[int, float, float]], width: float, least: int, below: float
) -> tuple[list[int], int, float] | None:
    """Return where columns begin that are as few lines deep as there is room for.

    And how deep and wide they are; None where they are not less deep than some. sizes: see `_Way`.
    least: of how many lines that is known. A single column stands whether there is room or not.
    """
    lines, symbols, words = zip(*sizes, strict=True) if sizes else ((), (), ())
    down = [0, *accumulate(lines)]
    for deep in range(least, down[-1] + 1):
        if deep >= below:
            break
        starts: list[int] = []
        across, start = 0.0, 0
        while start < len(sizes):
            end = bisect_right(down, down[start] + deep) - 1
            across += APART * bool(starts) + max(symbols[start:end]) + max(words[start:end])
            if across > width and (starts or end < len(sizes)):
                break
            starts.append(start)
            start = end
        else:
            return starts, deep, across
    return None


def _by_phrase(words: Sequence[str], width: float) -> tuple[str, ...]:
    """Return words in lines of so many mm; a thread and a stitch are parted if they have to be."""
    phrases = [
        part
        for phrase in _PHRASE.split(" ".join(words))
        for part in ([phrase] if text_width(phrase, TYPE) <= width else phrase.split(" "))
    ]
    return _filled_up(phrases, width)


def _filled_up(parts: Sequence[str], width: float) -> tuple[str, ...]:
    """Return parts of a text in lines of so many mm; a longer one has a line of its own."""
    lines: list[str] = []
    for part in parts:
        longer = f"{lines[-1]} {part}" if lines else part
        if lines and text_width(longer, TYPE) <= width:
            lines[-1] = longer
        else:
            lines.append(part)
    return tuple(lines)
