"""View models of the pages around the chart: cover, story, sections, editions."""

from __future__ import annotations

import io
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from pathlib import Path

from markupsafe import Markup
from PIL import Image

from .cloth import jpeg, paint
from .diagnostics import Diagnostic, warning
from .model import Booklet, Markdown, Picture, Revision
from .pdf import Refused, read_picture
from .prose import picture_address, typeset
from .source import Span
from .worked import WorkedChart

COVER = "cover:"
COVER_DPI = 220
MM_PER_INCH = 25.4


@dataclass(frozen=True)
class Cover:
    """The picture of the cover: its address, its size in mm, and whether it is a photograph."""

    address: str
    photograph: bool
    caption: str
    width: float
    height: float


@dataclass(frozen=True)
class Section:
    """A free section, or the story, whose heading is empty."""

    heading: str
    markup: Markup


@dataclass(frozen=True)
class Figure:
    """A picture with its caption."""

    address: str
    caption: str


@dataclass(frozen=True)
class Edition:
    """What changed in one edition."""

    edition: str
    day: date | None
    texts: tuple[str, ...]


def cover(
    worked: WorkedChart, room: tuple[float, float]
) -> tuple[Cover, dict[str, tuple[bytes, str]], list[Diagnostic]]:
    """Return the cover's picture, what has to be held in memory for it, and findings.

    room: mm across and down that the picture may take.
    """
    found: list[Diagnostic] = []
    wished = worked.design.booklet.cover
    if wished is not None:
        data = _open(worked.design.folder, wished, found)
        if data is not None:
            with Image.open(io.BytesIO(data)) as picture:
                width, height = _within(picture.width, picture.height, room)
            address = picture_address(wished.path)
            return Cover(address, True, wished.caption, width, height), {}, found
    pixels = round(room[0] / MM_PER_INCH * COVER_DPI)
    painted = paint(worked, width=pixels)
    width, height = _within(painted.width, painted.height, room)
    files = {COVER: (jpeg(painted), "image/jpeg")}
    return Cover(COVER, False, "", width, height), files, found


def story(
    booklet: Booklet, folder: Path
) -> tuple[Section | None, tuple[Section, ...], tuple[Figure, ...], list[Diagnostic]]:
    """Return the story, the free sections, the pictures, and findings about pictures."""
    found: list[Diagnostic] = []
    tale = None if booklet.story is None else _section(booklet.story, folder, found)
    sections = tuple(_section(each, folder, found) for each in booklet.sections)
    figures = tuple(
        Figure(picture_address(each.path), each.caption)
        for each in booklet.pictures
        if _open(folder, each, found) is not None
    )
    return tale, sections, figures, found


def _section(markdown: Markdown, folder: Path, found: list[Diagnostic]) -> Section:
    def readable(path: str) -> bool:
        place = _place(markdown, path)
        return _open(folder, Picture(path, span=place), found) is not None

    return Section(markdown.heading, typeset(markdown.text, readable))


def _place(markdown: Markdown, path: str) -> Span | None:
    """Return where a Markdown text names a picture, or else where the chart names the text."""
    if markdown.source is None:
        return markdown.span
    at = markdown.source.text.find(path)
    return markdown.span if at < 0 else markdown.source.span(at, at + len(path))


def _open(folder: Path, picture: Picture, found: list[Diagnostic]) -> bytes | None:
    try:
        return read_picture(folder, picture.path)[0]
    except Refused as reason:
        hint = "Put the picture into the chart's folder, as PNG or JPEG; it is left out until then."
        found.append(warning("picture-left-out", str(reason), picture.span, hint))
        return None


def _within(width: float, height: float, room: tuple[float, float]) -> tuple[float, float]:
    scale = min(room[0] / width, room[1] / height)
    return width * scale, height * scale


def editions(revisions: Iterable[Revision]) -> tuple[Edition, ...]:
    """Return the revisions, those of one edition together, as the source orders them."""
    return tuple(
        Edition(edition, day, tuple(each.text for each in group))
        for (edition, day), group in groupby(revisions, lambda each: (each.edition, each.day))
    )
