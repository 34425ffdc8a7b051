"""View models of the pages around the chart: cover, story, sections, editions."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import groupby
from pathlib import Path

from markupsafe import Markup

from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostic, warning
from ..core.model import MM_PER_INCH, Booklet, Markdown, Picture, Revision
from ..core.source import Span
from ..pdf.document import PRINT_DPI, Refused, read_picture
from .prose import ENGLISH_QUOTES, Quotes, picture_address, typeset
from .textwidth import text_width

COVER = "cover:"
COVER_DPI = 180


@dataclass(frozen=True)
class Cover:
    """The picture of the cover, in a band across the page.

    band: height of the band in mm. width, height: of the picture in mm. ground: colour of the
    band where the picture leaves it bare. bleed: mm that the band goes on beyond the page, and a
    drawn picture with it.
    """

    address: str
    photograph: bool
    caption: str
    band: float
    width: float
    height: float
    ground: str
    bleed: float = 0.0


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
    worked: WorkedChart, band: tuple[float, float], bleed: float = 0.0
) -> tuple[Cover, dict[str, Callable[[], object]], list[Diagnostic]]:
    """Return the cover's picture, what paints it when it is asked for, and findings.

    band: width and height in mm of the band that the picture fills; a photograph is shown whole.
    bleed: mm that will be cut off at the top and the sides; it is painted finer, for print.
    """
    found: list[Diagnostic] = []
    ground = worked.design.ground.colour
    wished = worked.design.booklet.cover
    if wished is not None:
        data = _open(worked.design.folder, wished, found)
        if data is not None:
            from PIL import Image, ImageOps  # noqa: PLC0415 - most covers are drawn

            with Image.open(io.BytesIO(data)) as picture:
                shown = ImageOps.exif_transpose(picture)
                scale = min(band[0] / shown.width, band[1] / shown.height)
                width, height = shown.width * scale, shown.height * scale
            address = picture_address(wished.path)
            front = Cover(address, True, wished.caption, band[1], width, height, ground, bleed)
            return front, {}, found
    width, height = band[0] + 2 * bleed, band[1] + bleed
    pixels = round(width / MM_PER_INCH * (PRINT_DPI if bleed else COVER_DPI))
    front = Cover(COVER, False, "", band[1], width, height, ground, bleed)
    return front, {COVER: partial(_painted, worked, width / height, pixels)}, found


def _painted(worked: WorkedChart, ratio: float, pixels: int) -> tuple[bytes, str]:
    # What paints is loaded, and paints, while the pages are laid out.
    from ..cloth.cloth import jpeg  # noqa: PLC0415
    from ..pictures.frames import on_cloth  # noqa: PLC0415

    return jpeg(on_cloth(worked, ratio, pixels)), "image/jpeg"


def story(
    booklet: Booklet, folder: Path, quotes: Quotes = ENGLISH_QUOTES
) -> tuple[Section | None, tuple[Section, ...], tuple[Figure, ...], list[Diagnostic]]:
    """Return the story, the free sections, the pictures, and findings about pictures.

    quotes: what straight marks in the texts become.
    """
    found: list[Diagnostic] = []
    tale = None if booklet.story is None else _section(booklet.story, folder, quotes, found)
    sections = tuple(_section(each, folder, quotes, found) for each in booklet.sections)
    figures = tuple(
        Figure(picture_address(each.path), each.caption)
        for each in booklet.pictures
        if _open(folder, each, found) is not None
    )
    return tale, sections, figures, found


def _section(markdown: Markdown, folder: Path, quotes: Quotes, found: list[Diagnostic]) -> Section:
    def readable(path: str) -> bool:
        place = _place(markdown, path)
        return _open(folder, Picture(path, span=place), found) is not None

    return Section(markdown.heading, typeset(markdown.text, readable, quotes))


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


def running_title(title: str, room: float, size: float) -> str:
    """Return a title cut between words so that it fits into so many mm, set in so many points."""
    if text_width(title, size) <= room:
        return title
    words = title.split()
    while words and text_width(" ".join(words) + " …", size) > room:
        words.pop()
    return " ".join(words) + " …" if words else "…"


def editions(revisions: Iterable[Revision]) -> tuple[Edition, ...]:
    """Return the revisions, those of one edition together, as the source orders them."""
    return tuple(
        Edition(edition, day, tuple(each.text for each in group))
        for (edition, day), group in groupby(revisions, lambda each: (each.edition, each.day))
    )
