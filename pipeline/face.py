"""The symbol font inside a PDF: a composite font whose codes are glyph numbers."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pydyf
from fontTools.ttLib import TTFont

from .font import SymbolFont

NAME = "LinenleafSymbols"
_SYMBOLIC = 4  # font descriptor flag, ISO 32000-1 table 123


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
        self._data = font.data
        with TTFont(BytesIO(font.data)) as opened:
            head = opened["head"]
            self._scale = 1000 / int(head.unitsPerEm)
            self._box = [head.xMin, head.yMin, head.xMax, head.yMax]
            self._ascent = int(opened["hhea"].ascent)
            self._descent = int(opened["hhea"].descent)
            metrics = opened["hmtx"]
            self._advances = [metrics[each][0] * self._scale for each in opened.getGlyphOrder()]
        count = len(self._advances)
        inked = min(font.glyph_of.values(), default=font.bare)
        self._glyphs = [*range(count), inked]
        self._advances.append(self._advances[inked])
        self._unseen_bare = f"{font.bare:04x}", f"{count:04x}"
        self._means = dict(font.character)
        self._means[count] = font.character[font.bare]
        self._symbols = _Codes({ord(char): f"{at:04x}" for at, char in font.character.items()})
        self._figures = _Codes()
        self._widths: dict[str, float] = {}
        for sign, (glyph, advance) in font.figure.items():
            self._means[glyph] = sign
            self._figures[ord(sign)] = f"{glyph:04x}"
            self._widths[sign] = advance / 1000

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

    def embed(self, pdf: Any) -> None:
        """Add the font to the resources that all pages of a pydyf PDF share."""
        shared = next(
            each
            for each in pdf.objects
            if isinstance(each, pydyf.Dictionary) and isinstance(each.get("Font"), bytes)
        )
        fonts = pdf.objects[int(shared["Font"].split()[0])]

        def add(thing: Any) -> Any:
            pdf.add_object(thing)
            return thing.reference

        file = pydyf.Stream([self._data], {"Length1": len(self._data)}, compress=True)
        descriptor = pydyf.Dictionary(
            {
                "Type": "/FontDescriptor",
                "FontName": f"/{self.name}",
                "Flags": _SYMBOLIC,
                "FontBBox": pydyf.Array([round(each * self._scale) for each in self._box]),
                "ItalicAngle": 0,
                "Ascent": round(self._ascent * self._scale),
                "Descent": round(self._descent * self._scale),
                "CapHeight": round(self._ascent * self._scale),
                "StemV": 80,
                "FontFile2": add(file),
            }
        )
        glyphs = b"".join(each.to_bytes(2, "big") for each in self._glyphs)
        numbers = pydyf.Stream([glyphs], compress=True)
        widths = pydyf.Array([round(each, 3) for each in self._advances])
        descendant = pydyf.Dictionary(
            {
                "Type": "/Font",
                "Subtype": "/CIDFontType2",
                "BaseFont": f"/{self.name}",
                "CIDSystemInfo": pydyf.Dictionary(
                    {
                        "Registry": pydyf.String("Adobe"),
                        "Ordering": pydyf.String("Identity"),
                        "Supplement": 0,
                    }
                ),
                "CIDToGIDMap": add(numbers),
                "DW": 1000,
                "W": pydyf.Array([0, widths]),
                "FontDescriptor": add(descriptor),
            }
        )
        meanings = pydyf.Stream([_to_unicode(self._means)], compress=True)
        fonts[self.name] = add(
            pydyf.Dictionary(
                {
                    "Type": "/Font",
                    "Subtype": "/Type0",
                    "BaseFont": f"/{self.name}",
                    "Encoding": "/Identity-H",
                    "DescendantFonts": pydyf.Array([add(descendant)]),
                    "ToUnicode": add(meanings),
                }
            )
        )


def _to_unicode(means: dict[int, str]) -> bytes:
    """Return a CMap from glyph number to text (ISO 32000-1, 9.10.3)."""
    pairs = [
        f"<{glyph:04x}> <{text.encode('utf-16-be').hex()}>" for glyph, text in sorted(means.items())
    ]
    blocks = [pairs[at : at + 100] for at in range(0, len(pairs), 100)]
    body = "\n".join(
        f"{len(block)} beginbfchar\n" + "\n".join(block) + "\nendbfchar" for block in blocks
    )
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
        "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
        "1 begincodespacerange\n<0000> <ffff>\nendcodespacerange\n"
        f"{body}\nendcmap\nCMapName currentdict /CMap defineresource pop\nend\nend"
    ).encode("ascii")
