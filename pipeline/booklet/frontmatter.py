"""View models of the pages around the chart: cover, story, sections, editions."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import groupby

from markupsafe import Markup

from ..compose.worked import WorkedChart
from ..core.ground import MM_PER_INCH
from ..core.matter import Booklet, Markdown, Picture, Revision
from ..core.source import Span
from ..pdf.document import PRINT_DPI
from ..resolve.markdown import ENGLISH_QUOTES, Quotes
from .prose import Prints, picture_address, typeset
from .textwidth import text_width

FOOT, FOOT_SIZE = 0.72, 0.75  # share of the foot that the title may take; rem
FOOT_SHARED = 0.48, 0.3  # shares of the title and of the colourway, where there is one
LARGE_FOOT, LARGE_SHARED = 0.55, (0.34, 0.24)  # the same in large print
COVER = "cover:"
COVER_DPI = 180
MARK = 24.0  # mm; the longer side of the designer's mark


@dataclass(frozen=True)
class CoverPicture:
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
class CaptionedPicture:
    """A picture with its caption."""

    address: str
    caption: str


@dataclass(frozen=True)
class BackCover:
    """What a back cover shows beside words. mark: address of the designer's mark, empty for none.

    width, height: of that, in mm.
    """

    mark: str = ""
    width: float = 0.0
    height: float = 0.0


@dataclass(frozen=True)
class Edition:
    """What changed in one edition."""

    edition: str
    day: date | None
    texts: tuple[str, ...]


def cover(
    worked: WorkedChart, prints: Prints, band: tuple[float, float], bleed: float = 0.0
) -> tuple[CoverPicture, dict[str, Callable[[], object]]]:
    """Return the cover's picture, and what paints it when it is asked for.

    band: width and height in mm of the band that the picture fills; a photograph is shown whole.
    bleed: mm that will be cut off at the top and the sides; it is painted finer, for print.
    """
    ground = worked.design.ground.colour
    wished = worked.design.booklet.cover
    photograph = None if wished is None else prints.take(wished)
    if wished is not None and photograph is not None:
        scale = min(band[0] / photograph.width, band[1] / photograph.height)
        width, height = photograph.width * scale, photograph.height * scale
        address = picture_address(wished.path)
        return CoverPicture(
            address, True, wished.caption, band[1], width, height, ground, bleed
        ), {}
    width, height = band[0] + 2 * bleed, band[1] + bleed
    pixels = round(width / MM_PER_INCH * (PRINT_DPI if bleed else COVER_DPI))
    front = CoverPicture(COVER, False, "", band[1], width, height, ground, bleed)
    return front, {COVER: partial(_painted, worked, width / height, pixels)}


def _painted(worked: WorkedChart, ratio: float, pixels: int) -> tuple[bytes, str]:
    # What paints is loaded, and paints, while the pages are laid out.
    from ..cloth.cloth import jpeg  # noqa: PLC0415
    from ..pictures.frames import on_cloth  # noqa: PLC0415

    return jpeg(on_cloth(worked, ratio, pixels)), "image/jpeg"


def back_cover(booklet: Booklet, prints: Prints) -> BackCover | None:
    """Return the back cover; None where the chart says nothing of it."""
    if not booklet.has_back:
        return None
    mark = None if booklet.mark is None else prints.take(booklet.mark)
    if booklet.mark is None or mark is None:
        return BackCover()
    scale = min(MARK / mark.width, MARK / mark.height)
    return BackCover(picture_address(booklet.mark.path), mark.width * scale, mark.height * scale)


def story(
    booklet: Booklet, prints: Prints, quotes: Quotes = ENGLISH_QUOTES
) -> tuple[Section | None, tuple[Section, ...], tuple[CaptionedPicture, ...]]:
    """Return the story, the free sections and the pictures.

    quotes: what straight marks in the texts become.
    """
    tale = None if booklet.story is None else _section(booklet.story, prints, quotes)
    sections = tuple(_section(each, prints, quotes) for each in booklet.sections)
    figures = tuple(
        CaptionedPicture(picture_address(each.path), each.caption)
        for each in booklet.pictures
        if prints.take(each) is not None
    )
    return tale, sections, figures


def _section(markdown: Markdown, prints: Prints, quotes: Quotes) -> Section:
    def readable(path: str) -> bool:
        return prints.take(Picture(path, span=_place(markdown, path))) is not None

    return Section(markdown.heading, typeset(markdown.text, readable, quotes))


def _place(markdown: Markdown, path: str) -> Span | None:
    """Return where a Markdown text names a picture, or else where the chart names the text."""
    if markdown.source is None:
        return markdown.span
    at = markdown.source.text.find(path)
    return markdown.span if at < 0 else markdown.source.span(at, at + len(path))


def running_title(title: str, room: float, size: float) -> str:
    """Return a title cut between words so that it fits into so many mm, set in so many points."""
    if text_width(title, size) <= room:
        return title
    words = title.split()
    while words and text_width(" ".join(words) + " …", size) > room:
        words.pop()
    return " ".join(words) + " …" if words else "…"


def running_words(
    title: str, colourway: str, room: float, rem: float, *, large: bool
) -> tuple[str, str]:
    """Return title and colourway cut to fit the foot of a page.

    room: width of that in mm. rem: size of the text in points. large: in large print.
    """
    size = rem if large else FOOT_SIZE * rem
    if not colourway:
        return running_title(title, (LARGE_FOOT if large else FOOT) * room, size), ""
    shares = zip((title, colourway), LARGE_SHARED if large else FOOT_SHARED, strict=True)
    first, second = (running_title(words, share * room, size) for words, share in shares)
    return first, second


def editions(revisions: Iterable[Revision]) -> tuple[Edition, ...]:
    """Return the revisions, those of one edition together, as the source orders them."""
    return tuple(
        Edition(edition, day, tuple(each.text for each in group))
        for (edition, day), group in groupby(revisions, lambda each: (each.edition, each.day))
    )
