"""The short key of a chart page: symbol, thread and stitch of all that is met on it.

It is as high as that page needs. Its columns are as wide as what stands in them, and words too long
for theirs go on below. Lengths are those of `layout`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from ..compose.worked import WorkedChart
from .keylist import Labels, address
from .layout import sample_size
from .textwidth import text_width

LINE = 4.2  # one line
TYPE = 7.5  # points; size of its words
SYMBOL, DRAWN = 5.0, 7.6  # room for a symbol and the blank after it; the same where lines are used
APART = 3.5  # at the least, from one entry to the next
SMALL, WIDEST = 3.7, 6.4  # height and most width of a drawing
_PHRASE = re.compile(r"(?<=,) | (?=\+ )")  # between a thread and its stitch, before one more thread
WRAPPED = (float("inf"), 62.0, 46.0, 34.0)  # widths tried for the words of an entry


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

    @property
    def wrapped(self) -> int:
        """How many lines go on below others."""
        return sum(len(each.words) - 1 for each in self.shown)


def short_key(worked: WorkedChart, labels: Labels, width: float) -> ShortKey:
    """Return a short key with these words, as low as can be in so wide a room.

    Of those as low, one that names each stitch is taken, then one that wraps the fewest words.
    """
    wordings = [(labels.words, "")]
    if labels.usual:
        wordings.append(({**labels.words, **labels.brief}, labels.usual))
    tried = (
        _set(worked, *said, width, most, wrap)
        for said in wordings
        for most in WRAPPED
        for wrap in (_by_phrase, _filled_up)
    )
    return min(tried, key=lambda each: (each.height, each.usual, each.wrapped))


def _set(
    worked: WorkedChart,
    labels: Mapping[int, str],
    usual: str,
    width: float,
    most: float,
    wrap: Callable[[Sequence[str], float], tuple[str, ...]],
) -> ShortKey:
    """Set a short key; most: the width that words may take before they go on below."""
    rooms = {index: DRAWN if worked.entry(index).is_wide else SYMBOL for index in labels}
    lines = {
        index: wrap(words.split(" "), min(most, width - rooms[index]))
        for index, words in labels.items()
    }
    wide = {index: max(text_width(line, TYPE) for line in lines[index]) for index in labels}
    columns, widths = _columns(lines, rooms, wide, width)
    top = LINE if usual else 0.0
    shown, x = [], 0.0
    for column, across in zip(columns, widths, strict=True):
        symbol, y = max(rooms[index] for index in column), top
        for index in column:
            shown.append(_shown(worked, index, lines[index], (x, y), symbol))
            y += LINE * len(lines[index])
        x += across + APART
    down = max((sum(len(lines[index]) for index in column) for column in columns), default=0)
    said = text_width(usual, TYPE)
    return ShortKey(usual, tuple(shown), max(said, x - APART), top + down * LINE)


def _columns(
    lines: Mapping[int, Sequence[str]],
    rooms: Mapping[int, float],
    wide: Mapping[int, float],
    width: float,
) -> tuple[list[list[int]], list[float]]:
    """Return the fewest lines deep that entries stand in columns, and how wide these are."""
    whole = sum(map(len, lines.values()))
    for deep in range(max(map(len, lines.values()), default=1), whole + 1):
        columns = list(_filled(lines, deep))
        widths = [max(rooms[i] for i in each) + max(wide[i] for i in each) for each in columns]
        if sum(widths) + APART * (len(widths) - 1) <= width or len(columns) == 1:
            return columns, widths
    return [], []


def _filled(lines: Mapping[int, Sequence[str]], deep: int) -> Iterator[list[int]]:
    """Return entries in columns of at most so many lines."""
    column: list[int] = []
    taken = 0
    for index, words in lines.items():
        if taken + len(words) > deep:
            yield column
            column, taken = [], 0
        column.append(index)
        taken += len(words)
    if column:
        yield column


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
