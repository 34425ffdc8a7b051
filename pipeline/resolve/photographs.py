"""Photographs of the old piece beside the chart: which part of the chart each shows, and where."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TypeVar

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.files import LARGEST_PICTURE, beside, read_bytes
from ..core.matter import Pixel, Showing
from ..core.raster import LARGEST_SIDE, Damaged, seen_size
from ..core.source import Span
from ..syntax.nodes import Block, CornersLine, LandmarkLine, PhotographHead, ShowsLine
from ..syntax.phrases import Position, Text
from .layout import Layout
from .matter import area_of
from .pictures import Album
from .settings import at_most, point, real

MOST_PHOTOGRAPHS, MOST_LANDMARKS = 100, 200
_Line = TypeVar("_Line", ShowsLine, CornersLine)
_LINES = {"shows": "shows chart", "corners": "corners 212,140 1880,133 1893,402 205,410"}


def resolve_photographs(
    blocks: Sequence[Block], layout: Layout, root: Path, findings: list[Diagnostic]
) -> tuple[Showing, ...]:
    """Return what photographs show; root: the chart's folder. What is at fault is left out."""
    album = Album(root, "a chart", "photographs")
    heads = [block.head for block in blocks if isinstance(block.head, PhotographHead)]
    at_most(MOST_PHOTOGRAPHS, "photographs", heads, findings)
    few = blocks[:MOST_PHOTOGRAPHS]
    showings = [_showing(block, layout, root, album, findings) for block in few]
    return tuple(showing for showing in showings if showing is not None)


def _showing(
    block: Block, layout: Layout, root: Path, album: Album, findings: list[Diagnostic]
) -> Showing | None:
    head = block.head
    if not isinstance(head, PhotographHead):
        return None
    written = head.path.value if isinstance(head.path, Text) else head.path.text
    unseen = album.check(written, head.path.span)
    findings.extend(unseen)
    shows = _only(block, ShowsLine, findings)
    corners = _only(block, CornersLine, findings)
    if not block.broken:
        for word, line in (("shows", shows), ("corners", corners)):
            if line is None:
                _tell_missing(word, head.span, findings)
    marks = [line for line in block.members if isinstance(line, LandmarkLine)]
    marks = list(at_most(MOST_LANDMARKS, "landmarks", marks, findings))
    size = None if unseen else _size(root, written, head.path.span)
    part, tie = (None, None) if shows is None else area_of(shows.area, layout, findings)
    found = None if corners is None else _corners(corners, findings)
    landmarks = [(_landmark(mark, findings), mark.span) for mark in marks]
    if shows is None or corners is None or part is None or found is None or size is None:
        return None
    return Showing(
        written,
        *part,
        found,
        tuple(landmark for landmark, _ in landmarks if landmark is not None),
        *size,
        whole=shows.area.thing is None and shows.area.start is None,
        tie=tie,
        span=head.span,
        part_span=shows.span,
        corners_span=corners.span,
        landmark_spans=tuple(span for landmark, span in landmarks if landmark is not None),
    )


def _only(block: Block, kind: type[_Line], findings: list[Diagnostic]) -> _Line | None:
    """Return the one line of a kind; a second is told."""
    lines = [line for line in block.members if isinstance(line, kind)]
    for line in lines[1:]:
        findings.append(
            finding(
                "repeated-line",
                f"`{line.word.text}` appears twice in this block.",
                line.word.span,
                Hint("first given here", lines[0].word.span),
                "take one of them out; a photograph of two parts stands in two blocks",
            )
        )
    return lines[0] if lines else None


def _tell_missing(word: str, span: Span, findings: list[Diagnostic]) -> None:
    what = {
        "shows": "It is not said which part of the chart this photograph shows.",
        "corners": "It is not said where the corners of the part lie in this photograph.",
    }[word]
    findings.append(
        finding(
            "incomplete-photograph", what, span, f"add below it a line such as `{_LINES[word]}`"
        )
    )


def _size(root: Path, written: str, span: Span) -> tuple[int, int] | None:
    """Return how large a photograph is that was looked at before."""
    path, _ = beside(root, root, written, span)
    if path is None:
        return None
    data, _ = read_bytes(path, written, LARGEST_PICTURE, span)
    try:
        return None if data is None else seen_size(data)
    except Damaged:
        return None


def _corners(
    line: CornersLine, findings: list[Diagnostic]
) -> tuple[Pixel, Pixel, Pixel, Pixel] | None:
    first, second, third, fourth = (_pixel(at, findings) for at in line.points)
    if first is None or second is None or third is None or fourth is None:
        return None
    return first, second, third, fourth


def _landmark(line: LandmarkLine, findings: list[Diagnostic]) -> tuple[Pixel, Pixel] | None:
    place, pixel = point(line.place, findings), _pixel(line.pixel, findings)
    return None if place is None or pixel is None else (place, pixel)


def _pixel(at: Position, findings: list[Diagnostic]) -> Pixel | None:
    sides = [real(number, "A pixel", 0, LARGEST_SIDE, findings) for number in (at.x, at.y)]
    across, down = sides
    return None if across is None or down is None else (across, down)
