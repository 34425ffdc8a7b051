"""The symbol font of a chart: TrueType built from the chosen shapes.

One em is one cell: every symbol is 1000 units wide, and the cell is the square from (0, 0) at
its bottom left to (1000, 1000). Ascent is 1000 and descent 0, so that a line of text set solid is
exactly one row of the chart.

A part stitch has its symbol in the part of the cell that it covers. Each symbol is reached by the
character that stands for it in the source, so that text taken out of a page is the source row. The
figures and arrows along the edges of a chart have no character of their own here (the source may
use `7` for a thread); they are reached by glyph number. Their outlines come from Source Sans
Semibold, which is under the SIL Open Font License; this font carries its own name and repeats that
licence.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from io import BytesIO
from typing import Any

from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont

from ..core.items import BARE, Point
from ..core.key import KeyEntry
from .ink import WHOLE, symbol_box
from .looks import LETTERS
from .shapes import BOX, Contours, outline, symbol_path

Glyph = Any  # of fontTools, as its pen gives it

__all__ = ["CELL", "FAMILY", "FIGURES", "SymbolFont", "build_font", "symbol_path"]

CELL = 1000  # units in one em, which is the side of one cell
FAMILY = "Linenleaf Symbols"
FIGURES = "0123456789x,-←→↑↓×" + LETTERS
_UNITS = CELL / BOX
# The same moment in every font, so that the same chart gives the same bytes: 1 January 2026, in
# seconds since the start of 1904, as TrueType counts them.
_MADE = 3_850_070_400
_FACE = files("font_source_sans_pro") / "files" / "SourceSansPro-Semibold.ttf"


@dataclass(frozen=True)
class SymbolFont:
    """A built font.

    data: the TrueType file; the same shapes and key give the same bytes.
    glyph_of: key index (from 1) -> glyph number.
    character: glyph number -> character of the source, bare fabric and the space included.
    written: character by which drawings call a symbol -> glyph number; that of the source but for
        stitches that are turned.
    bare, space: the glyphs of bare fabric (`.`) and of a blank; both empty, one cell wide.
    figure: figure, letter or arrow -> (glyph number, advance in thousandths of an em). Their size
        is that of text set at one em; they stand on y = 0.
    """

    data: bytes
    glyph_of: Mapping[int, int]
    character: Mapping[int, str]
    written: Mapping[str, int]
    bare: int
    space: int
    figure: Mapping[str, tuple[int, int]]
    family: str = FAMILY


def build_font(chosen: Mapping[int, str], key: Sequence[KeyEntry]) -> SymbolFont:
    """Build the font for a chart.

    chosen: key index (from 1) -> name of a shape, as `symbols.choose` gives it.
    key: all key lines, `key[index - 1]` being the one of an index.
    """
    glyphs: dict[str, Glyph] = {".notdef": _missing(), "bare": _blank(), "space": _blank()}
    advances = dict.fromkeys(glyphs, CELL)
    characters = {ord(BARE): "bare", ord(" "): "space"}
    glyph_of = {}
    character = {1: BARE, 2: " "}
    written = {BARE: 1, " ": 2}
    for index in sorted(chosen):
        number = len(glyphs)
        name = f"cell{index}"
        glyphs[name] = _glyph(_seated(outline(chosen[index]), key[index - 1]))
        advances[name] = CELL
        glyph_of[index] = number
        character[number] = key[index - 1].symbol
        written[key[index - 1].sign or key[index - 1].symbol] = number
        characters.setdefault(ord(key[index - 1].symbol), name)
    borrowed = _borrowed()
    figure = {}
    for sign, (shape, advance) in borrowed.figures.items():
        figure[sign] = (len(glyphs), advance)
        name = f"figure{ord(sign):04X}"
        glyphs[name] = shape
        advances[name] = advance
    return SymbolFont(
        _compile(glyphs, advances, characters, borrowed.notice, borrowed.licence),
        glyph_of,
        character,
        written,
        1,
        2,
        figure,
    )


def _compile(
    glyphs: dict[str, Glyph],
    advances: dict[str, int],
    characters: dict[int, str],
    notice: str,
    licence: str,
) -> bytes:
    builder = FontBuilder(CELL, isTTF=True)
    builder.font.recalcTimestamp = False
    # A fixed date, so that the same chart gives the same bytes.
    builder.updateHead(created=_MADE, modified=_MADE)
    builder.setupGlyphOrder(list(glyphs))
    builder.setupCharacterMap(characters)
    builder.setupGlyf(glyphs)
    table = builder.font["glyf"]
    builder.setupHorizontalMetrics(
        {name: (advance, getattr(table[name], "xMin", 0)) for name, advance in advances.items()}
    )
    builder.setupHorizontalHeader(ascent=CELL, descent=0, lineGap=0)
    builder.setupNameTable(
        {
            "copyright": f"Symbols: the linenleaf authors. Figures and arrows: {notice}",
            "familyName": FAMILY,
            "styleName": "Regular",
            "uniqueFontIdentifier": "linenleaf-symbols-1",
            "fullName": FAMILY,
            "version": "Version 1.000",
            "psName": FAMILY.replace(" ", ""),
            "licenseDescription": licence,
            "licenseInfoURL": "https://openfontlicense.org",
        },
        mac=False,
    )
    builder.setupOS2(
        sTypoAscender=CELL,
        sTypoDescender=0,
        sTypoLineGap=0,
        usWinAscent=CELL,
        usWinDescent=0,
        fsType=0,
    )
    builder.setupPost(keepGlyphNames=False)
    target = BytesIO()
    builder.save(target)
    return target.getvalue()


def _seated(contours: Contours, entry: KeyEntry) -> Contours:
    """Return a shape where it stands in its cell; part stitches have it smaller."""
    box = symbol_box(entry)
    if box == WHOLE:
        return contours
    x, y, side = box
    return tuple(contour.moved(side, x * BOX, y * BOX) for contour in contours)


def _glyph(contours: Contours) -> Glyph:
    pen = TTGlyphPen(None)
    for contour in contours:
        pen.moveTo(_at(contour.start))
        for segment in contour.segments:
            if len(segment) == 1:
                pen.lineTo(_at(segment[0]))
            else:
                pen.qCurveTo(*map(_at, segment))
        pen.closePath()
    return pen.glyph()


def _at(point: Point) -> tuple[int, int]:
    return round(point[0] * _UNITS), CELL - round(point[1] * _UNITS)


def _blank() -> Glyph:
    return TTGlyphPen(None).glyph()


def _missing() -> Glyph:
    # A crossed box: a fault of ours has to be seen, not to look like bare fabric.
    pen = TTGlyphPen(None)
    for points in (
        ((80, 80), (80, 920), (920, 920), (920, 80)),
        ((160, 200), (440, 500), (160, 800)),
        ((840, 200), (840, 800), (560, 500)),
    ):
        pen.moveTo(points[0])
        for point in points[1:]:
            pen.lineTo(point)
        pen.closePath()
    return pen.glyph()


@dataclass(frozen=True)
class _Borrowed:
    figures: Mapping[str, tuple[Glyph, int]]
    notice: str
    licence: str


@cache
def _borrowed() -> _Borrowed:
    with _FACE.open("rb") as opened, TTFont(opened) as face:
        glyphs, widths, characters = face["glyf"], face["hmtx"], face.getBestCmap()
        figures = {}
        for sign in FIGURES:
            pen = TTGlyphPen(None)
            glyphs[characters[ord(sign)]].draw(pen, glyphs)
            figures[sign] = (pen.glyph(), widths[characters[ord(sign)]][0])
        names = face["name"]
        return _Borrowed(figures, names.getDebugName(0), names.getDebugName(13))
