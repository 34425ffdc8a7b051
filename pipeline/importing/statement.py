"""The `photograph` statement as it is written into a chart, anew or in the place of another."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ..core.diagnostics import Diagnostics, has_errors
from ..core.source import Source, Span
from ..formatting.spelling import path_text, words_of
from ..formatting.tidy import tidy
from ..photograph.placing import Landmark, Point
from ..syntax.nodes import Block, CornersLine, LandmarkLine, PhotographHead, ShowsLine
from ..syntax.parse import parse
from ..syntax.phrases import Position, Text

_FINEST = 2  # decimals of a pixel
_LONGEST = 12  # characters of a number that is read


@dataclass(frozen=True)
class Laid:
    """What a `photograph` block says, as far as it says it.

    shows: the part as in a chart: `chart`, `initials`, `0,0 to 9,9`. corners: four, or none.
    """

    path: str
    shows: str
    corners: tuple[Point, ...]
    landmarks: tuple[Landmark, ...] = ()

    @property
    def lines(self) -> list[str]:
        """The block; `tidy` gives it its layout."""
        return [f"photograph {path_text(self.path)}", *self.members]

    @property
    def members(self) -> list[str]:
        """The lines of the block below its first."""
        marks = [_landmark(mark) for mark in self.landmarks]
        return [f"  {line}" for line in (self._shows, self._corners, *marks)]

    @property
    def _shows(self) -> str:
        return f"shows {self.shows}"

    @property
    def _corners(self) -> str:
        return f"corners {' '.join(map(_pixel, self.corners))}"

    def edits(self, block: Block, text: str) -> Iterator[tuple[int, int, str]]:
        """Yield what is to be replaced in a text so that a block of it says this; from, to, by."""
        assert block.head is not None
        last = block.head.span.end
        for kind, line in ((ShowsLine, self._shows), (CornersLine, self._corners)):
            there = next((each for each in block.members if isinstance(each, kind)), None)
            if there is not None:
                yield there.span.start, there.span.end, line
                last = max(last, there.span.end)
        marks = [each for each in block.members if isinstance(each, LandmarkLine)]
        for old, mark in zip(marks, self.landmarks, strict=False):
            yield old.span.start, old.span.end, _landmark(mark)
        for old in marks[len(self.landmarks) :]:
            yield _line_of(old.span.start, old.span.end, text)
        kept = marks[: len(self.landmarks)]
        last = max([last, *(mark.span.end for mark in kept)])
        new = [_landmark(mark) for mark in self.landmarks[len(marks) :]]
        for kind, line in ((CornersLine, self._corners), (ShowsLine, self._shows)):
            if not any(isinstance(each, kind) for each in block.members):
                new.insert(0, line)
        if new:
            end = text.find("\n", last)
            end = len(text) if end < 0 else end
            yield end, end, "".join(f"\n  {line}" for line in new)


def blocks_of(source: Source) -> tuple[Block, ...]:
    """Return the `photograph` blocks of a source whose first line could be read."""
    file, _ = parse(source)
    return tuple(block for block in file.blocks if isinstance(block.head, PhotographHead))


def laid(source: Source) -> tuple[Laid, ...]:
    """Return what the `photograph` blocks of a source say."""
    return tuple(map(_laid, blocks_of(source)))


def with_photograph(source: Source, asked: Laid, at: int | None) -> tuple[str | None, Diagnostics]:
    """Return the tidy text of a source in which a `photograph` block says what is asked.

    at: which of its blocks, counted from 0; None for a new one at the end. Remarks stay. None comes
    back where lines cannot be read.
    """
    text: str | None = source.text
    if at is None:
        text, findings = tidy(source, newest=True)
        if text is None:
            return None, findings
        text = "\n".join([text, *asked.lines])
    else:
        edits = sorted(asked.edits(blocks_of(source)[at], source.text), reverse=True)
        text = source.text
        for start, end, words in edits:
            text = text[:start] + words + text[end:]
    made, findings = tidy(Source(source.path, text))
    return (None if has_errors(findings) else made), findings


def without(source: Source, span: Span) -> str:
    """Return the text of a source without a line of it; a remark behind that stays."""
    start, end, words = _line_of(span.start, span.end, source.text)
    return source.text[:start] + words + source.text[end:]


def _laid(block: Block) -> Laid:
    head = block.head
    assert isinstance(head, PhotographHead)
    path = head.path.value if isinstance(head.path, Text) else head.path.text
    shows = ""
    corners: tuple[Point, ...] = ()
    marks = []
    for line in block.members:
        if isinstance(line, ShowsLine):
            shows = " ".join(words_of(line, block.word)[1])
        elif isinstance(line, CornersLine):
            corners = tuple(map(_point, line.points))
        elif isinstance(line, LandmarkLine):
            marks.append(Landmark(*_point(line.place), *_point(line.pixel)))
    return Laid(path, shows, corners, tuple(marks))


def _point(place: Position) -> Point:
    x, y = (float(each.text) if len(each.text) <= _LONGEST else 0.0 for each in (place.x, place.y))
    return x, y


def _line_of(start: int, end: int, text: str) -> tuple[int, int, str]:
    """Return what takes a line out of a text; a remark behind it stays on a line of its own."""
    if text[end : (text + "\n").index("\n", end)].strip():
        return start, end, ""
    return max(0, text.rfind("\n", 0, start)), end, ""


def _landmark(mark: Landmark) -> str:
    return f"landmark {_number(mark.x)},{_number(mark.y)} at {_pixel((mark.u, mark.v))}"


def _pixel(at: Iterable[float]) -> str:
    return ",".join(map(_number, at))


def _number(value: float) -> str:
    text = f"{value:.{_FINEST}f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text
