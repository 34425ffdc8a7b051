"""The view model of the whole booklet, and the markup and style that it fills."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from xml.etree.ElementTree import fromstring

from linenleaf.templates import text

from ..chart.options import Ink, Options
from ..core.matter import Booklet
from ..i18n.wording import wording
from ..pdf.typecase import needed
from ..pdf.variants import MARKS, in_one_ink
from ..resolve.markdown import plain
from .colourways import ColourwayView
from .frontmatter import BackCover, CaptionedPicture, CoverPicture, Edition, Section
from .howto import HowTo
from .keylist import KeyTables
from .layout import Layout, Setting
from .leaves import Leaf, LeafSet
from .linebyline import line_by_line
from .maps import PageMap
from .places import Places
from .supplies import SizeRow, Supply
from .textwidth import cell_width, heading_width, with_breaks, with_full_lines

Fill = Callable[..., str]

# Classes of what always begins a page, whatever went before.
OPENING = "part( closing)?|type-case|back-cover"
PAGE_KINDS = "type-case", "after-charts"  # that stands for all charts; those behind it
LONG = 4  # pages of charts from which on a booklet has a list of contents


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
    back: BackCover | None
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
    sets: tuple[LeafSet, ...]
    whole: bool

    def typeset(self, text: str) -> str:
        """Return a text of the designer's with the quotation marks of its language."""
        return plain(text, wording(self.booklet.language).quotes)

    @property
    def contents(self) -> bool:
        """Whether it is long enough for a list of contents."""
        return len(self.sets) * len(self.leaves) >= LONG * self.layout.shared

    @property
    def chart_places(self) -> Mapping[str, int]:
        """On which of the printed pages of charts each of them stands, counted from 0."""
        shared = self.layout.shared
        pages = -(-len(self.leaves) // shared)
        return {
            f"{each.name}-{leaf.page.number}": run * pages + number // shared
            for run, each in enumerate(self.sets)
            for number, leaf in enumerate(self.leaves)
        }

    @property
    def ringed(self) -> frozenset[int]:
        """The numbers of the notes that have a ring on a chart page that they name."""
        return frozenset(e.number for leaf in self.leaves for e in leaf.rings if e.first)


def html(filled: Fill, book: Book, svgs: Iterable[str]) -> str:
    """Return the markup of the whole booklet. svgs: of all pages of charts, for their words."""
    phrases = needed(map(fromstring, svgs))
    markup = with_full_lines(filled("booklet.html.j2", book=book, phrases=phrases))
    markup = with_breaks(markup)
    return line_by_line(markup) if book.setting.large else markup


def leaf_pages(
    filled: Fill, book: Book, options: Options, *, right: bool = True
) -> tuple[str, ...]:
    """Return each printed page of charts as SVG. right: where they lie in a bound booklet."""
    shared = book.layout.shared
    starts = range(0, len(book.leaves), shared)
    made = (
        filled(
            "leaf.svg.j2",
            book=book,
            leaves=book.leaves[start : start + shared],
            set=each,
            right=right,
        )
        for each in book.sets
        for start in starts
    )
    return tuple(map(in_one_ink, made) if options.purpose.printed else made)


def styles(filled: Fill, book: Book, options: Options) -> tuple[str, ...]:
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


def sides(filled: Fill, book: Book, options: Options) -> tuple[str, str]:
    """Return what the styles of right and of left pages of a bound booklet say."""
    right = filled("sides.css.j2", book=book, inner="left", outer="right")
    left = filled("sides.css.j2", book=book, inner="right", outer="left")
    return (in_one_ink(right), in_one_ink(left)) if options.purpose.printed else (right, left)
