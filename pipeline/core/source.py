"""Source text and places in it.

Every syntax node and every model object that a finding may blame carries a
`Span`. Line and column are worked out only when a span is shown.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from functools import cached_property


@dataclass(frozen=True)
class Source:
    """One text file as it was read: the path as the user would type it, and its text.

    written: the text as the file holds it, where accents were composed; otherwise empty. Lines
    are the same in both, columns may not be.
    """

    path: str
    text: str
    written: str = field(default="", compare=False, repr=False)

    @property
    def name(self) -> str:
        """The name of the file, without its folders."""
        return self.path.rpartition("/")[2]

    @cached_property
    def as_written(self) -> Source:
        """The text before accents were composed."""
        return Source(self.path, self.written) if self.written else self

    @cached_property
    def _line_starts(self) -> list[int]:
        starts = [0]
        find = self.text.find
        at = find("\n")
        while at != -1:
            starts.append(at + 1)
            at = find("\n", at + 1)
        return starts

    def position(self, offset: int) -> tuple[int, int]:
        """Return the line and column of an offset, both counted from 1, in characters."""
        line = bisect_right(self._line_starts, offset)
        return line, offset - self._line_starts[line - 1] + 1

    def start_of(self, line: int) -> int:
        """Return the offset at which a line counted from 1 begins."""
        return self._line_starts[line - 1]

    def line_text(self, line: int) -> str:
        """Return the text of a line counted from 1, without its line end."""
        start = self._line_starts[line - 1]
        end = self.text.find("\n", start)
        return self.text[start : len(self.text) if end == -1 else end].rstrip("\r")

    def span(self, start: int, end: int) -> Span:
        """Return the span of the characters from start up to, not including, end."""
        return Span(self, start, end)


@dataclass(frozen=True)
class Span:
    """A place in a source: character offsets, end not included."""

    source: Source
    start: int
    end: int

    @property
    def line(self) -> int:
        """The line of the first character, counted from 1."""
        return self.source.position(self.start)[0]

    @property
    def column(self) -> int:
        """The column of the first character, counted from 1."""
        return self.source.position(self.start)[1]

    @property
    def length(self) -> int:
        """How many characters the span covers."""
        return self.end - self.start

    @property
    def path(self) -> str:
        """The path of the file, as the user would type it."""
        return self.source.path
