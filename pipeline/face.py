"""The symbol font inside a PDF: a composite font whose codes are the glyph numbers themselves."""

from __future__ import annotations

import io
from typing import Any

import pydyf
from fontTools.ttLib import TTFont

NAME = "LinenleafSymbols"
_SYMBOLIC = 4  # font descriptor flag, ISO 32000-1 table 123


class _Codes(dict[int, str]):
    """Code point -> four hexadecimal digits; a character without a glyph is a fault of ours."""

    def __missing__(self, point: int) -> str:
        raise ValueError(f"the symbol font has no glyph for {chr(point)!r}")


class Face:
    """A symbol font as a PDF needs it.

    data: the TrueType file. meanings: what the text layer says for a character of the font that
    does not stand for itself, such as the private characters of the figures.
    """

    name = NAME

    def __init__(self, data: bytes, meanings: dict[str, str]) -> None:
        self._data = data
        with TTFont(io.BytesIO(data)) as font:
            cmap: dict[int, str] = font.getBestCmap()
            numbers: dict[str, int] = font.getReverseGlyphMap()
            self._em = int(font["head"].unitsPerEm)
            head = font["head"]
            self._box = [head.xMin, head.yMin, head.xMax, head.yMax]
            self._ascent = int(font["hhea"].ascent)
            self._descent = int(font["hhea"].descent)
            self._advances = [font["hmtx"][each][0] for each in font.getGlyphOrder()]
        self._glyphs = {point: numbers[name] for point, name in cmap.items()}
        self._codes = _Codes({point: f"{glyph:04x}" for point, glyph in self._glyphs.items()})
        self._means: dict[int, str] = {}
        for point, glyph in sorted(self._glyphs.items()):
            self._means.setdefault(glyph, meanings.get(chr(point), chr(point)))

    @property
    def drop(self) -> float:
        """How far below the baseline a cell's lower edge lies, in cells."""
        return -self._descent / self._em

    def codes(self, text: str) -> str:
        """Return the codes of a text in hexadecimal."""
        return text.translate(self._codes)

    def width(self, text: str) -> float:
        """Return the width of a text in cells."""
        return sum(self._advances[self._glyphs[ord(char)]] for char in text) / self._em

    def embed(self, pdf: Any) -> None:
        """Add the font to the resources that all pages of a pydyf PDF share."""
        shared = next(
            each
            for each in pdf.objects
            if isinstance(each, pydyf.Dictionary) and "Font" in each and "XObject" in each
        )
        fonts = pdf.objects[int(shared["Font"].split()[0])]

        def add(thing: Any) -> Any:
            pdf.add_object(thing)
            return thing.reference

        scale = 1000 / self._em
        file = pydyf.Stream([self._data], {"Length1": len(self._data)}, compress=True)
        descriptor = pydyf.Dictionary(
            {
                "Type": "/FontDescriptor",
                "FontName": f"/{NAME}",
                "Flags": _SYMBOLIC,
                "FontBBox": pydyf.Array([round(each * scale) for each in self._box]),
                "ItalicAngle": 0,
                "Ascent": round(self._ascent * scale),
                "Descent": round(self._descent * scale),
                "CapHeight": round(self._ascent * scale),
                "StemV": 80,
                "FontFile2": add(file),
            }
        )
        widths = pydyf.Array([round(each * scale, 3) for each in self._advances])
        descendant = pydyf.Dictionary(
            {
                "Type": "/Font",
                "Subtype": "/CIDFontType2",
                "BaseFont": f"/{NAME}",
                "CIDSystemInfo": pydyf.Dictionary(
                    {
                        "Registry": pydyf.String("Adobe"),
                        "Ordering": pydyf.String("Identity"),
                        "Supplement": 0,
                    }
                ),
                "CIDToGIDMap": "/Identity",
                "DW": 1000,
                "W": pydyf.Array([0, widths]),
                "FontDescriptor": add(descriptor),
            }
        )
        meanings = pydyf.Stream([_to_unicode(self._means)], compress=True)
        fonts[NAME] = add(
            pydyf.Dictionary(
                {
                    "Type": "/Font",
                    "Subtype": "/Type0",
                    "BaseFont": f"/{NAME}",
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
