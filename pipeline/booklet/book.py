"""The booklet: every page's view model, filled into the templates, set and bound as one PDF."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache, partial
from pathlib import Path

from ..chart.options import Options
from ..chart.plotted import Plot
from ..compose.copies import recolour
from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostic, Diagnostics
from ..core.model import Design
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
from ..pdf.variants import BLEED, NO_DATE, Said, Variant
from .bindery import (
    EPOCH,
    file_date,
    folded,
    lacking,
    no_date,
    not_in_fours,
    remarked,
    small_cells,
    undated,
    wide_gutter,
)
from .colourways import way_pictures, ways
from .drawings import ToDraw, drawings
from .frontmatter import CoverPicture, back_cover, cover, editions, running_words, story
from .howto import how_to
from .keylist import key, short_labels
from .layout import Layout, Setting, setting, widest_gutter
from .leaves import leaves, sets, with_rings
from .maps import map_of_pages, whole_picture
from .markup import OPENING, PAGE_KINDS, Book, html, leaf_pages, sides, styles
from .places import Places, places
from .planning import laid_out
from .prose import Prints
from .supplies import size_rows, supply

Progress = Callable[[str, int, int], None]

WHOLE = "whole:"
BAND, LARGE_BAND = 0.66, 0.4  # of the cover is the picture
PICTURED = 0.6  # of the height of a page of large print is the most for the picture of a place


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
    charted = worked.design
    if options.gutter is None and not options.whole:
        options = replace(options, gutter=charted.booklet.gutter)
    gutter = options.gutter or 0.0
    if gutter > widest_gutter(options.paper, options.large):
        return None, (wide_gutter(charted, options, gutter),)
    form = setting(options.paper, options.large, gutter)
    if options.colourway is not None:
        worked = recolour(worked, options.colourway)
    band = options.paper.width, options.paper.height * (LARGE_BAND if options.large else BAND)
    prints = Prints(charted.folder)
    front, later = cover(worked, prints, band, BLEED if printed else 0.0)
    # A booklet of one colourway is sold by itself; that of the chart holds all of them.
    others = {} if options.colourway is not None else way_pictures(worked, form)
    pictures = _counted(
        {} if options.whole else {**later, **others}, lambda done, of: tell("pictures", done, of)
    )
    if ahead is not None:
        ahead(pictures)

    @cache
    def whole() -> tuple[bytes, str]:
        return whole_picture(worked, options.ink), "image/png"

    undated_print = printed and not stamp
    book = _viewed(
        worked, charted, options, form, prints, front, NO_DATE if undated_print else stamp
    )
    if isinstance(book, Diagnostic):
        return None, (book,)
    findings = list(prints.findings)
    if undated_print:
        findings.append(undated(charted.booklet.span, EPOCH))
    drawn = drawings(
        worked,
        options.ink,
        filled,
        ToDraw(book.leaves, book.layout, book.setting, book.places, book.map, book.how, book.sets),
        lambda done, of: tell("charts", done, of),
    )
    svgs = leaf_pages(filled, book, options)
    lefts = leaf_pages(filled, book, options, right=False) if gutter else ()
    base, style = styles(filled, book, options)
    sheet = Sheet(
        html(filled, book, (*svgs, *lefts)),
        style,
        charted.folder,
        prints.files,
        {},
        {} if options.whole else {0: words.gettext("Cover")},
        Variant(
            options.purpose,
            book.stamp,
            enclosed(charted.folder, (*sources, *prints.paths)) if sources else (),
            (condition or srgb()) if printed else None,
            options.fold,
            _said(words),
            book.back is not None,
        ),
        {} if options.whole else {**pictures, WHOLE: Later(whole), **drawn.later},
        base,
        OPENING,
        Apart(f"chart-{book.leaves[0].page.number}", len(svgs), *PAGE_KINDS, book.chart_places),
        sides(filled, book, options) if gutter else None,
    )
    pages = 0

    def count_page(number: int) -> None:
        nonlocal pages
        pages = max(pages, number)
        tell("pages", pages, 0)

    def finisher() -> LeafPages:
        shown, font = drawn.finished()
        charts: dict[str, Plot | Pixels] = {**shown}
        charts |= {f"{each.mark}{WHOLE}": Pixels(*whole()) for each in book.sets}
        return LeafPages(svgs, charts, font, sheet.variant.linked, lefts)

    made = press(sheet, count_page, finisher, meanwhile)
    tell("pages", made.pages, made.pages)
    findings += _afterwards(worked, options, made)
    return Bound(made.data, made.pages), tuple(findings)


def _viewed(
    worked: WorkedChart,
    charted: Design,
    options: Options,
    form: Setting,
    prints: Prints,
    front: CoverPicture,
    stamp: str,
) -> Book | Diagnostic:
    """Return what stands on all pages, or what there is to say where there can be none."""
    booklet = worked.design.booklet
    words = wording(booklet.language)
    counts = count(worked)
    uses = estimate(worked, worked.design.ground.fabric)
    used = [each.index for each in counts.entries]
    codes, names = (short_labels(worked.design, used, names=each) for each in (False, True))
    layout = laid_out(worked, options, codes, names)
    if isinstance(layout, Diagnostic):
        return layout
    usual = form
    form = replace(form, points=form.points * layout.scale / form.scale, scale=layout.scale)
    # A page that stands alone has no notes to lead to.
    noted = () if options.whole else _noted(worked, layout, form, words)
    tale, sections, figures = story(booklet, prints, words.quotes)
    colourway = _colourway(charted, options.colourway)
    return Book(
        booklet,
        running_words(booklet.title, colourway, form.room[0], form.points, large=form.large),
        form,
        options.ink,
        stamp,
        colourway,
        worked.design.personal,
        worked.width,
        worked.height,
        len(counts.threads),
        front,
        back_cover(booklet, prints),
        tale,
        sections,
        figures,
        supply(worked, uses, counts),
        size_rows(worked, uses),
        key(charted, counts, options.colourway),
        () if options.colourway is not None else ways(worked, form),
        how_to(worked, layout.pagination),
        noted,
        layout,
        map_of_pages(layout.pagination, usual),
        with_rings(worked, layout, leaves(layout), noted),
        editions(worked.design.revisions),
        sets(options),
        options.whole,
    )


def _noted(
    worked: WorkedChart, layout: Layout, form: Setting, words: Wording
) -> tuple[Places, ...]:
    """Return the notes with pictures that fit the pages."""
    width, height = (each / form.scale for each in form.room)
    if not form.large:
        return places(worked, layout.pagination, width, words)
    return places(worked, layout.pagination, width, words, height * PICTURED, form.symbol)


def _afterwards(worked: WorkedChart, options: Options, made: Printed) -> Diagnostics:
    """Return what there is to say of a booklet that is made."""
    span = worked.design.booklet.span
    findings = [lacking(each) for each in made.lacking]
    findings += [remarked(words, span) for _, words in made.remarks]
    findings += small_cells(worked.design.chart.span, options.cell)
    if options.purpose.printed:
        findings += not_in_fours(span, made.pages, worked.design.booklet.has_back)
    if options.fold is not None:
        findings.append(folded(span, options.fold, made.pages, worked.design.booklet.has_back))
    return tuple(findings)


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


def _said(words: Wording) -> Said:
    return Said(
        words.gettext("Sheet %(sheet)s, outside", sheet="{}"),
        words.gettext("Sheet %(sheet)s, inside", sheet="{}"),
        words.gettext("Source of this booklet: %(path)s", path="{}"),
    )


def _colourway(charted: Design, name: str | None) -> str:
    """Return the title of the colourway of this booklet, empty for the chart's own threads."""
    return next((way.title or way.name for way in charted.colourways if way.name == name), "")
