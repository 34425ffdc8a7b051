"""A symbol font inside a PDF: a composite font whose codes are glyph numbers.

Apart from `face`, which makes it, so that the process that sets the pages need not load all that
drawing needs.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import pydyf

_SYMBOLIC = 4  # font descriptor flag, ISO 32000-1 table 123


@dataclass(frozen=True)
class EmbeddedFont:
    """What a PDF holds of a font.

    data: the TrueType file. box, ascent, descent, advances: in thousandths of an em. glyphs: the
    glyph of each code; means: the text that it stands for.
    """

    name: str
    data: bytes = field(repr=False)
    box: tuple[int, int, int, int]
    ascent: int
    descent: int
    glyphs: tuple[int, ...]
    advances: tuple[float, ...]
    means: dict[int, str]

    def finish(self, _document: Any, pdf: Any) -> None:
        """Add the font to the resources that all pages share: a finisher for WeasyPrint."""
        shared = next(
            each
            for each in pdf.objects
            if isinstance(each, pydyf.Dictionary) and isinstance(each.get("Font"), bytes)
        )
        fonts = pdf.objects[int(shared["Font"].split()[0])]

        def add(thing: Any) -> Any:
            pdf.add_object(thing)
            return thing.reference

        file = pydyf.Stream([self.data], {"Length1": len(self.data)}, compress=True)
        descriptor = pydyf.Dictionary(
            {
                "Type": "/FontDescriptor",
                "FontName": f"/{self.name}",
                "Flags": _SYMBOLIC,
                "FontBBox": pydyf.Array(self.box),
                "ItalicAngle": 0,
                "Ascent": self.ascent,
                "Descent": self.descent,
                "CapHeight": self.ascent,
                "StemV": 80,
                "FontFile2": add(file),
            }
        )
        glyphs = b"".join(each.to_bytes(2, "big") for each in self.glyphs)
        numbers = pydyf.Stream([glyphs], compress=True)
        widths = pydyf.Array([round(each, 3) for each in self.advances])
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
        meanings = pydyf.Stream([_to_unicode(self.means)], compress=True)
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
