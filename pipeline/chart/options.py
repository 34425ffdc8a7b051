"""What a person chooses of a booklet or a picture: paper, ink, cell size, colourway, shape."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import assert_never


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


LARGE_CELL = 5.0  # mm, the smallest cell of large print
LARGE_PAPERS = (Paper.A4, Paper.A3, Paper.LETTER)


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
    paper; for Purpose.SCREEN alone. gutter: mm that binding takes of each page, None for what the
    chart says, 0 for loose pages. with_symbols: the chart stands there again in symbols alone.
    """

    paper: Paper = Paper.A4
    ink: Ink = Ink.COLOUR
    cell: float | None = None
    colourway: str | None = None
    large: bool = False
    purpose: Purpose = Purpose.SCREEN
    fold: Fold | None = None
    gutter: float | None = None
    with_symbols: bool = False


class Shape(StrEnum):
    """The shape of a picture. SQUARE: as shops show their wares; WIDE: as screens are, 16 to 9."""

    AS_IS = "as-is"
    SQUARE = "square"
    WIDE = "wide"

    @property
    def ratio(self) -> float | None:
        """Width by height; None for that of what is shown."""
        return {Shape.AS_IS: None, Shape.SQUARE: 1.0, Shape.WIDE: 16 / 9}[self]
