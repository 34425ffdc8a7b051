"""Places as other programs count them: columns in code units of the text as it was written.

Editors (Language Server Protocol, 3.17, "Text Documents") and review tools (SARIF 2.1.0, 3.14.17)
count units of UTF-16 unless they agree on others. What is read here counts characters, after
accents were composed.
"""

from __future__ import annotations

import unicodedata
from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from enum import StrEnum
from functools import lru_cache
from itertools import accumulate

from ..core.source import Source


class Units(StrEnum):
    """The encodings whose units columns may count, as the Language Server Protocol names them."""

    UTF_8 = "utf-8"
    UTF_16 = "utf-16"
    UTF_32 = "utf-32"


# The last characters that take one unit, two units, and so on.
_LAST = {
    Units.UTF_8: ("\x7f", "\u07ff", "\uffff"),
    Units.UTF_16: ("\uffff",),
    Units.UTF_32: (),
}


def units_before(source: Source, offset: int, units: Units = Units.UTF_16) -> tuple[int, int]:
    """Return the line and the column of an offset, both counted from 0."""
    line, column = source.position(min(offset, len(source.text)))
    written = source.as_written.line_text(line)
    if source.written:
        column = _shift(_stretches(written), column - 1, composed=True) + 1
    before = written[: column - 1]
    return line - 1, len(before) if before.isascii() else sum(_widths(before, units))


def offset_of(source: Source, line: int, column: int, units: Units = Units.UTF_16) -> int:
    """Return the offset of a line and a column; see `units_before`.

    What lies behind the end of a line or of the text is taken for that end.
    """
    count = source.text.count("\n") + 1
    if line >= count:
        return len(source.text)
    line = max(0, line)
    written = source.as_written.line_text(line + 1)
    at = _characters(written, column, units)
    if source.written:
        at = _shift(_stretches(written), at, composed=False)
    text = source.line_text(line + 1)
    return source.start_of(line + 1) + min(at, len(text))


def _widths(text: str, units: Units) -> Iterable[int]:
    last = _LAST[units]
    return (1 + bisect_left(last, char) for char in text)


def _characters(text: str, column: int, units: Units) -> int:
    """Return how many characters of a text lie within its first units."""
    if text.isascii():
        return max(0, min(column, len(text)))
    return bisect_right(list(accumulate(_widths(text, units))), column)


_Stretches = tuple[tuple[int, ...], tuple[int, ...]]


@lru_cache(maxsize=256)
def _stretches(written: str) -> _Stretches:
    """Return where each stretch that composes by itself begins, as written and composed.

    The end of the text comes last.
    """
    starts, composed_starts = [0], [0]
    at, size = 0, len(written)
    while at < size:
        end = at + 1
        while True:
            while end < size and unicodedata.combining(written[end]):
                end += 1
            piece = unicodedata.normalize("NFC", written[at:end])
            # Some letters compose with the one before them (UAX 15, "Hangul").
            if end == size or unicodedata.normalize("NFC", written[at : end + 1]) == (
                piece + unicodedata.normalize("NFC", written[end])
            ):
                break
            end += 1
        starts.append(end)
        composed_starts.append(composed_starts[-1] + len(piece))
        at = end
    return tuple(starts), tuple(composed_starts)


def _shift(stretches: _Stretches, at: int, *, composed: bool) -> int:
    """Turn a place among the composed characters into one among those written, or back."""
    here, there = reversed(stretches) if composed else stretches
    index = max(0, bisect_right(here, at) - 1)
    # Within a stretch that was composed there is no telling; its beginning is as good as any.
    last = there[index + 1] - 1 if index + 1 < len(there) else there[index]
    return max(there[index], min(there[index] + at - here[index], last))
