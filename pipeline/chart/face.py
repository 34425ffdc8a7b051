"""The symbol font as drawings use it, and as it goes into a PDF."""

from __future__ import annotations

from io import BytesIO

from fontTools.ttLib import TTFont

from .embedded import EmbeddedFont
from .font import SymbolFont

NAME = "LinenleafSymbols"


class _Codes(dict[int, str]):
    """Code point -> four hexadecimal digits; a character without a glyph is a fault of ours."""

    def __missing__(self, point: int) -> str:
        raise ValueError(f"the symbol font has no glyph for {chr(point)!r}")


class Face:
    """A symbol font as a PDF needs it.

    The same character may stand for a thread in a row of the chart and for a figure along its
    edge; `figures` tells which is meant.

    Codes are glyph numbers, but for one more: a bare cell in text that is not painted. Bare
    fabric has no ink, and PDFium, which many browsers read PDF with, takes texts without ink that
    follow each other for one text printed twice and drops them; so rows that hold nothing else
    borrow the ink of a symbol without showing it.
    """

    def __init__(self, font: SymbolFont, name: str = NAME) -> None:
        """Take a font; name: how a PDF with several of them tells them apart."""
        self.name = name
        with TTFont(BytesIO(font.data)) as opened:
            head = opened["head"]
            scale = 1000 / int(head.unitsPerEm)
            left, low, right, high = (
                round(each * scale) for each in (head.xMin, head.yMin, head.xMax, head.yMax)
            )
            ascent = round(int(opened["hhea"].ascent) * scale)
            descent = round(int(opened["hhea"].descent) * scale)
            metrics = opened["hmtx"]
            advances = [metrics[each][0] * scale for each in opened.getGlyphOrder()]
        count = len(advances)
        inked = min(font.glyph_of.values(), default=font.bare)
        self._unseen_bare = f"{font.bare:04x}", f"{count:04x}"
        means = dict(font.character)
        means[count] = font.character[font.bare]
        self._symbols = _Codes({ord(char): f"{at:04x}" for at, char in font.character.items()})
        self._figures = _Codes()
        self._widths: dict[str, float] = {}
        for sign, (glyph, advance) in font.figure.items():
            means[glyph] = sign
            self._figures[ord(sign)] = f"{glyph:04x}"
            self._widths[sign] = advance / 1000
        self.embedded = EmbeddedFont(
            name,
            font.data,
            (left, low, right, high),
            ascent,
            descent,
            (*range(count), inked),
            (*advances, advances[inked]),
            means,
        )

    def codes(self, text: str, figures: bool, unseen: bool = False) -> str:
        """Return the codes of a text in hexadecimal."""
        if unseen:
            bare, stand_in = self._unseen_bare
            return "".join(
                stand_in if (code := self._symbols[ord(char)]) == bare else code for char in text
            )
        return text.translate(self._figures if figures else self._symbols)

    def width(self, text: str, figures: bool) -> float:
        """Return the width of a text in ems; a symbol is one em wide."""
        return sum(self._widths[each] for each in text) if figures else float(len(text))
