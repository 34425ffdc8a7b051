"""What a person chooses of a booklet or a picture: paper, ink, cell size, colourway, shape."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import assert_never

from ..core.ground import MM_PER_INCH
from ..core.paging import Orientation


class Paper(StrEnum):
    """Paper sizes, upright."""

    A3 = "a3"
    A4 = "a4"
    A5 = "a5"
    LETTER = "letter"
    HALF_LETTER = "half-letter"

    @property
    def width(self) -> float:
        """Width in mm."""
        return _SIZES[self][0]

    @property
    def height(self) -> float:
        """Height in mm."""
        return _SIZES[self][1]


# mm. A sizes: ISO 216:2007. Letter: ANSI/ASME Y14.1 size A, 8.5 x 11 in of 25.4 mm.
_SIZES: dict[Paper, tuple[float, float]] = {
    Paper.A3: (297.0, 420.0),
    Paper.A4: (210.0, 297.0),
    Paper.A5: (148.0, 210.0),
    Paper.LETTER: (215.9, 279.4),
    Paper.HALF_LETTER: (139.7, 215.9),
}


LEAST_SIDE, MOST_SIDE = 136, 1200  # mm; a line of the key needs the least
_MM_IN = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH}
_OWN = re.compile(r"\s*(\d+(?:\.\d+)?)\s*[x×]\s*(\d+(?:\.\d+)?)\s*(mm|cm|in)\s*")


class NotAPaper(ValueError):
    """Words that name no paper; str() says why and what would."""


@dataclass(frozen=True)
class OwnPaper:
    """Pages of a size of one's own, in mm."""

    width: float
    height: float

    @property
    def value(self) -> str:
        """What it is called in options and in names of files."""
        return f"{self.width:g}x{self.height:g}mm"


PageSize = Paper | OwnPaper


def paper_named(words: str) -> PageSize:
    """Return the paper of a name, or of a size such as `200 x 250 mm`.

    Raises:
        NotAPaper: when it is neither, or a size too small or too large.
    """
    if words in {each.value for each in Paper}:
        return Paper(words)
    sides = _OWN.fullmatch(words[:60])
    if sides is None:
        names = ", ".join(each.value for each in Paper)
        raise NotAPaper(f"{words[:60]!r} is no paper: name one of {names}, or say '200 x 250 mm'.")
    width, height = (round(float(each) * _MM_IN[sides[3]], 1) for each in sides.group(1, 2))
    for side in (width, height):
        if side < LEAST_SIDE:
            raise NotAPaper(
                f"Pages of {width:g} x {height:g} mm have no room for a line of the key: "
                f"each side takes {LEAST_SIDE} mm."
            )
        if side > MOST_SIDE:
            raise NotAPaper(
                f"Pages of {width:g} x {height:g} mm are too large: "
                f"each side has at most {MOST_SIDE:,} mm. --whole makes one page of any size."
            )
    return OwnPaper(width, height)


class Fold(StrEnum):
    """Sheets to be folded once, each into four pages; they lie on their side."""

    A4 = "a4"
    A3 = "a3"
    LETTER = "letter"
    TABLOID = "tabloid"

    @property
    def page(self) -> Paper:
        """The paper that half a sheet is."""
        return _FOLDED[self][0]

    @property
    def width(self) -> float:
        """Width in mm."""
        return _FOLDED[self][1]

    @property
    def height(self) -> float:
        """Height in mm."""
        return _FOLDED[self][2]


# mm. Half of A4 is 148.5 mm wide, half a mm more than A5: rounded down by ISO 216. Tabloid is
# ANSI/ASME Y14.1 size B, 11 x 17 in.
_FOLDED: dict[Fold, tuple[Paper, float, float]] = {
    Fold.A4: (Paper.A5, 297.0, 210.0),
    Fold.A3: (Paper.A4, 420.0, 297.0),
    Fold.LETTER: (Paper.HALF_LETTER, 279.4, 215.9),
    Fold.TABLOID: (Paper.LETTER, 431.8, 279.4),
}


# mm; common practice, no single source: the smallest cell of a booklet, the smallest that can be
# read and is taken where it saves pages, and the smallest of large print.
USUAL_CELL, READABLE_CELL, LARGE_CELL = 3.0, 2.5, 5.0
LARGEST_CELL = 6.0  # mm; of a small chart, but for large print
LARGE_PAPERS = (Paper.A4, Paper.A3, Paper.LETTER)


def holds_large(paper: PageSize) -> bool:
    """Whether pages have room for large print."""
    return paper.width >= Paper.A4.width and paper.height >= Paper.LETTER.height


class Ink(StrEnum):
    """How cells are filled.

    COLOUR: in the thread's colour. TINTS: in a pale tint of it. SYMBOLS: not at all, for
    printing in black.
    """

    COLOUR = "colour"
    TINTS = "tints"
    SYMBOLS = "symbols"

    @property
    def black(self) -> bool:
        """Whether black is the only ink."""
        match self:
            case Ink.SYMBOLS:
                return True
            case Ink.COLOUR | Ink.TINTS:
                return False
            case _:
                assert_never(self)


class Purpose(StrEnum):
    """What a booklet is for.

    SCREEN: reading, and printing at home. PRINT: a printer, who cuts its edges. ARCHIVE: keeping,
    with its sources in it.
    """

    SCREEN = "screen"
    PRINT = "print"
    ARCHIVE = "archive"

    @property
    def printed(self) -> bool:
        """Whether it goes to a printer."""
        match self:
            case Purpose.PRINT:
                return True
            case Purpose.SCREEN | Purpose.ARCHIVE:
                return False
            case _:
                assert_never(self)

    @property
    def archived(self) -> bool:
        """Whether it is kept, with its sources in it."""
        match self:
            case Purpose.ARCHIVE:
                return True
            case Purpose.SCREEN | Purpose.PRINT:
                return False
            case _:
                assert_never(self)


@dataclass(frozen=True)
class Options:
    """One booklet of a chart.

    cell: side of a printed cell in mm, None for the smallest number of pages that stays legible.
    colourway: the name of the colourway shown, None for the threads of the key itself. large:
    set in large print, on one of LARGE_PAPERS. fold: put on sheets to fold, whose halves are the
    paper; for Purpose.SCREEN alone. orientation: of the chart pages, None for what the chart says
    or fits best; for pages that are neither folded nor bound nor for a printer. whole: the chart
    alone, with its key, on one page of its own size. gutter: mm that binding takes of each page,
    None for what the chart says, 0 for loose pages. with_symbols: the chart stands there again in
    symbols alone.
    """

    paper: PageSize = Paper.A4
    ink: Ink = Ink.COLOUR
    cell: float | None = None
    colourway: str | None = None
    large: bool = False
    purpose: Purpose = Purpose.SCREEN
    fold: Fold | None = None
    orientation: Orientation | None = None
    whole: bool = False
    gutter: float | None = None
    with_symbols: bool = False

    @property
    def turns(self) -> bool:
        """Whether pages with charts may lie otherwise than the others."""
        return self.fold is None and not self.purpose.printed and not self.gutter


class Shape(StrEnum):
    """The shape of a picture. SQUARE: as shops show their wares; WIDE: as screens are, 16 to 9."""

    AS_IS = "as-is"
    SQUARE = "square"
    WIDE = "wide"

    @property
    def ratio(self) -> float | None:
        """Width by height; None for that of what is shown."""
        return {Shape.AS_IS: None, Shape.SQUARE: 1.0, Shape.WIDE: 16 / 9}[self]
