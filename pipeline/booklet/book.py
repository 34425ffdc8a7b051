"""The booklet: every page's view model, filled into the templates, set and bound as one PDF."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from functools import cache, partial
from pathlib import Path
from xml.etree.ElementTree import fromstring

from linenleaf.templates import text

from ..chart.options import Ink, Options
from ..compose.copies import recolour
from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostic, Diagnostics, finding
from ..core.matter import Booklet
from ..core.model import Design
from ..core.system import INSTALL, SUBSETTER
from ..count.count import count
from ..count.thread import estimate
from ..i18n.filling import fill
from ..i18n.wording import Wording, wording
from ..pdf.document import Apart, Later, Press, Printed, Sheet
from ..pdf.enclosed import enclosed
from ..pdf.leafpages import LeafPages
from ..pdf.pixels import Pixels
from ..pdf.pressroom import press_here
from ..pdf.printprofile import PrintProfile, srgb
from ..pdf.typecase import needed
from ..pdf.variants import BLEED, MARKS, NO_DATE, Said, Variant, in_one_ink
from .bindery import folded, not_in_fours, small_cells, undated
from .colourways import ColourwayView, way_pictures, ways
from .drawings import ToDraw, drawings
from .frontmatter import (
    CaptionedPicture,
    CoverPicture,
    Edition,
    Section,
    cover,
    editions,
    running_title,
    story,
)
from .howto import HowTo, how_to
from .keylist import KeyTables, key, short_labels
from .layout import Layout, Setting, setting
from .leaves import Leaf, leaves, with_rings
from .linebyline import line_by_line
from .maps import LEAST_POINTS, POINTS, PageMap, height_for_map, page_map, whole_picture
from .places import Places, places
from .planning import laid_out
from .prose import Prints
from .supplies import SizeRow, Supply, size_rows, supply
from .textwidth import cell_width, heading_width, with_breaks

Progress = Callable[[str, int, int], None]

WHOLE = "whole:"
# Classes of what always begins a page, whatever went before.
OPENING = "part|type-case"
PICTURED = 0.6  # of the height of a page of large print is the most for the picture of a place
LAST_SECOND = 253_402_300_799  # of the year 9999
EPOCH = "SOURCE_DATE_EPOCH"  # seconds; reproducible-builds.org/specs/source-date-epoch
BAND, LARGE_BAND = 0.66, 0.4  # of the cover is the picture
FOOT, FOOT_SIZE = 0.72, 0.75  # share of the foot that the title may take; rem
FOOT_SHARED = 0.48, 0.3  # shares of the title and of the colourway, where there is one
LARGE_FOOT, LARGE_SHARED = 0.55, (0.34, 0.24)  # the same in large print


@dataclass(frozen=True)
class Book:
    """Everything that the templates show.

    running: the title and the colourway as they stand at the foot of the pages. stamp: the date
    of the file, empty for none. colourway: its title, empty for the threads of the key itself.
    whole: whether the one chart page is all there is.
    """

    booklet: Booklet
    running: tuple[str, str]
    setting: Setting
    ink: Ink
    stamp: str
    colourway: str
    personal: tuple[tuple[str, str], ...]
    columns: int
    rows: int
    colours: int
    cover: CoverPicture
    story: Section | None
    sections: tuple[Section, ...]
    figures: tuple[CaptionedPicture, ...]
    supply: Supply
    sizes: tuple[SizeRow, ...]
    key: KeyTables
    ways: tuple[ColourwayView, ...]
    how: HowTo
    places: tuple[Places, ...]
    layout: Layout
    map: PageMap
    leaves: tuple[Leaf, ...]
    editions: tuple[Edition, ...]
    whole: bool

    @property
    def ringed(self) -> frozenset[int]:
        """The numbers of the notes that have a ring on a chart page that they name."""
        return frozenset(e.number for leaf in self.leaves for e in leaf.rings if e.first)


@dataclass(frozen=True)
class Bound:
    """A finished booklet: the bytes of the PDF and how many pages it has."""

    data: bytes
    pages: int


def bind(
    worked: WorkedChart,
    options: Options,
    progress: Progress | None = None,
    sources: Iterable[Path] = (),
    condition: PrintProfile | None = None,
    press: Press = press_here,
    meanwhile: Callable[[], None] | None = None,
    ahead: Callable[[Mapping[str, Later]], None] | None = None,
) -> tuple[Bound | None, Diagnostics]:
    """Return the booklet of a chart as PDF, and findings; None where it cannot be made.

    progress: called with `pictures`, `charts` or `pages`, how many of them are done, and how many
    there are (0 while that is not known). sources: the files that the chart was read from, for an
    archive; the pictures of its stories are added. condition: how it will be printed,
    for a printer; sRGB where none is named. press: what sets the pages. meanwhile: called once
    they can be laid out without it. ahead: called with the pictures as soon as they are known,
    so that they may be made by somebody else; they share nothing with each other.

    Raises:
        CannotPress: when the pages cannot be set on this computer.
    """
    tell = progress or _silent
    stamp = file_date(worked.design.booklet.day)
    if stamp is None:
        return None, (no_date(),)
    printed = options.purpose.printed
    words = wording(worked.design.booklet.language)
    filled = partial(fill, words.tag)
    form = setting(options.paper, options.large)
    charted = worked.design
    if options.colourway is not None:
        worked = recolour(worked, options.colourway)
    prints = Prints(worked.design.folder)
    band = options.paper.width, options.paper.height * (LARGE_BAND if options.large else BAND)
    front, later = cover(worked, prints, band, BLEED if printed else 0.0)
    # A booklet of one colourway is sold by itself; that of the chart holds all of them.
    alone = options.colourway is not None
    pictures = _counted(
        {} if options.whole else {**later, **({} if alone else way_pictures(worked))},
        lambda done, of: tell("pictures", done, of),
    )
    if ahead is not None:
        ahead(pictures)

    @cache
    def whole() -> tuple[bytes, str]:
        return whole_picture(worked, options.ink), "image/png"

    counts = count(worked)
    uses = estimate(worked, worked.design.ground.fabric)
    used = [each.index for each in counts.entries]
    codes, names = (short_labels(worked.design, used, names=each) for each in (False, True))
    layout = laid_out(worked, options, codes, names)
    if isinstance(layout, Diagnostic):
        return None, (layout,)
    form = replace(form, points=form.points * layout.scale / form.scale, scale=layout.scale)
    # A page that stands alone has no notes to lead to.
    noted = () if options.whole else _noted(worked, layout, form, words)
    tale, sections, figures = story(worked.design.booklet, prints, words.quotes)
    findings = list(prints.findings)
    if printed and not stamp:
        stamp = NO_DATE
        findings.append(undated(worked.design.booklet.span, EPOCH))
    colourway = _colourway(charted, options.colourway)
    book = Book(
        worked.design.booklet,
        _running(worked.design.booklet.title, colourway, form),
        form,
        options.ink,
        stamp,
        colourway,
        worked.design.personal,
        worked.width,
        worked.height,
        len(counts.threads),
        front,
        tale,
        sections,
        figures,
        supply(worked, uses, counts),
        size_rows(worked, uses),
        key(charted, counts, uses, options.colourway),
        () if alone else ways(worked),
        how_to(worked, layout.pagination),
        noted,
        layout,
        page_map(
            layout.pagination,
            # A map of one column of pages need not be as tall as the page.
            (
                form.room[0],
                height_for_map(form) * (0.5 if layout.pagination.across == 1 else 1),
            ),
            *((form.points, form.points) if options.large else (POINTS, LEAST_POINTS)),
        ),
        with_rings(worked, layout, leaves(worked, layout), noted),
        editions(worked.design.revisions),
        options.whole,
    )
    drawn = drawings(
        worked,
        options.ink,
        filled,
        ToDraw(book.leaves, book.layout, form, book.places, book.map, book.how),
        lambda done, of: tell("charts", done, of),
    )
    svgs = _leaf_pages(filled, book, options)
    html = _markup(filled, book, svgs)
    base, style = _styles(filled, book, options)
    sheet = Sheet(
        html,
        style,
        worked.design.folder,
        prints.files,
        {},
        {} if options.whole else {0: words.gettext("Cover")},
        Variant(
            options.purpose,
            stamp,
            enclosed(worked.design.folder, (*sources, *prints.paths)) if sources else (),
            (condition or srgb()) if printed else None,
            options.fold,
            _said(words),
        ),
        {} if options.whole else {**pictures, WHOLE: Later(whole), **drawn.later},
        base,
        OPENING,
        Apart(
            f"chart-{book.leaves[0].page.number}",
            len(svgs),
            "type-case",
            {f"chart-{e.page.number}": n // layout.shared for n, e in enumerate(book.leaves)},
        ),
    )
    pages = 0

    def count_page(number: int) -> None:
        nonlocal pages
        pages = max(pages, number)
        tell("pages", pages, 0)

    def finisher() -> LeafPages:
        shown, font = drawn.finished()
        return LeafPages(svgs, {**shown, WHOLE: Pixels(*whole())}, font, sheet.variant.linked)

    made = press(sheet, count_page, finisher, meanwhile)
    tell("pages", made.pages, made.pages)
    findings += _afterwards(worked, options, made)
    return Bound(made.data, made.pages), tuple(findings)


def _afterwards(worked: WorkedChart, options: Options, made: Printed) -> Diagnostics:
    """Return what there is to say of a booklet that is made."""
    span = worked.design.booklet.span
    findings = [lacking(each) for each in made.lacking]
    findings += [
        finding(
            "layout", words, span, "look at the page; a shorter text or another paper usually helps"
        )
        for _, words in made.remarks
    ]
    findings += small_cells(worked.design.chart.span, options.cell)
    if options.purpose.printed:
        findings += not_in_fours(span, made.pages)
    if options.fold is not None:
        findings.append(folded(span, options.fold, made.pages))
    return tuple(findings)


def _markup(filled: Callable[..., str], book: Book, svgs: Iterable[str]) -> str:
    """Return the text of the booklet, and the words of the printed pages of charts."""
    phrases = needed(map(fromstring, svgs))
    markup = with_breaks(filled("booklet.html.j2", book=book, phrases=phrases))
    return line_by_line(markup) if book.setting.large else markup


def _noted(
    worked: WorkedChart, layout: Layout, form: Setting, words: Wording
) -> tuple[Places, ...]:
    """Return the notes with pictures that fit the pages."""
    width, height = (each / form.scale for each in form.room)
    if not form.large:
        return places(worked, layout.pagination, width, words)
    return places(worked, layout.pagination, width, words, height * PICTURED, form.symbol)


def _silent(_what: str, _done: int, _of: int) -> None:
    pass


def _counted(
    pictures: Mapping[str, Callable[[], object]], tell: Callable[[int, int], None]
) -> dict[str, Later]:
    """Return what makes pictures, telling before and after each how many are made."""
    done = 0

    def made(make: Callable[[], object]) -> object:
        nonlocal done
        tell(done, len(pictures))
        picture = make()
        done += 1
        tell(done, len(pictures))
        return picture

    return {address: Later(partial(made, make)) for address, make in pictures.items()}


def _leaf_pages(filled: Callable[..., str], book: Book, options: Options) -> tuple[str, ...]:
    """Return each printed page of charts as SVG."""
    shared = book.layout.shared
    starts = range(0, len(book.leaves), shared)
    made = (
        filled("leaf.svg.j2", book=book, leaves=book.leaves[start : start + shared])
        for start in starts
    )
    return tuple(map(in_one_ink, made) if options.purpose.printed else made)


def _styles(filled: Callable[..., str], book: Book, options: Options) -> tuple[str, ...]:
    """Return the style sheet that all booklets have, and that of this one."""
    own = filled(
        "paper.css.j2",
        setting=book.setting,
        layout=book.layout,
        book=book,
        purpose=options.purpose,
        marks=MARKS,
        heading_width=heading_width,
        cell_width=cell_width,
    )
    sheets = text("booklet.css"), own
    return tuple(map(in_one_ink, sheets)) if options.purpose.printed else sheets


def _said(words: Wording) -> Said:
    return Said(
        words.gettext("Sheet %(sheet)s, outside", sheet="{}"),
        words.gettext("Sheet %(sheet)s, inside", sheet="{}"),
        words.gettext("Source of this booklet: %(path)s", path="{}"),
    )


def _colourway(charted: Design, name: str | None) -> str:
    """Return the title of the colourway of this booklet, empty for the chart's own threads."""
    return next((way.title or way.name for way in charted.colourways if way.name == name), "")


def _running(title: str, colourway: str, form: Setting) -> tuple[str, str]:
    """Return title and colourway cut to fit the foot of a page."""
    room, size = form.room[0], form.points * (1.0 if form.large else FOOT_SIZE)
    if not colourway:
        return running_title(title, (LARGE_FOOT if form.large else FOOT) * room, size), ""
    shares = zip((title, colourway), LARGE_SHARED if form.large else FOOT_SHARED, strict=True)
    first, second = (running_title(words, share * room, size) for words, share in shares)
    return first, second


def file_date(day: date | None) -> str | None:
    """Return the date written into the PDF: SOURCE_DATE_EPOCH, else the day of the edition.

    None where the environment states what is not a date.
    """
    epoch = os.environ.get(EPOCH)
    if epoch is None:
        return "" if day is None else day.isoformat()
    if not (epoch.isascii() and epoch.isdecimal() and int(epoch[:20]) <= LAST_SECOND):
        return None
    return datetime.fromtimestamp(int(epoch), UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def no_date() -> Diagnostic:
    """Return the finding for an environment that states what is not a date."""
    return finding(
        "bad-epoch",
        f"The environment's {EPOCH} is not a number of seconds since 1970.",
        None,
        f"Unset {EPOCH}, or give it such a number.",
    )


def lacking(sentence: str) -> Diagnostic:
    """Return the finding for what this computer lacks, which is no fault of the chart."""
    return finding("lacking-library", sentence, None, f"{INSTALL} {SUBSETTER}")
