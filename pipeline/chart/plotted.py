"""A drawing in a PDF: operators in the place of an image, and the font they are set in.

Apart from `plot`, which makes both, so that the process that sets the pages need not load all that
drawing needs.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass, field
from hashlib import md5
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
            obj
            for obj in pdf.objects
            if isinstance(obj, pydyf.Dictionary) and isinstance(obj.get("Font"), bytes)
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
        glyphs = b"".join(glyph.to_bytes(2, "big") for glyph in self.glyphs)
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


PX_PER_MM = 96 / 25.4


@dataclass(frozen=True, eq=False)
class Plot:
    """A drawing as PDF operators, in the place of an image.

    width, height: in the drawing's own units, which are mm. data: the operators, compressed.
    scale: how much larger it is shown where nothing else is asked for.
    """

    width: float
    height: float
    data: bytes = field(repr=False)
    scale: float = 1.0

    @property
    def id(self) -> str:
        """A name for this drawing, the same for the same content."""
        return md5(self.data, usedforsecurity=False).hexdigest()

    @property
    def operators(self) -> bytes:
        """The operators as they are before compression."""
        return zlib.decompress(self.data)

    def get_intrinsic_size(
        self, _resolution: float, _font_size: float
    ) -> tuple[float, float, float]:
        """Return width and height in CSS pixels and their ratio, as WeasyPrint asks for them."""
        px = self.scale * PX_PER_MM
        return self.width * px, self.height * px, self.width / self.height

    def draw(self, stream: Any, width: float, height: float, _style: object) -> None:
        """Draw into a WeasyPrint stream, `width` by `height` CSS pixels from the origin."""
        name = stream.add_image(self, False, 1)
        with stream.stacked():
            stream.transform(a=width / self.width, d=height / self.height)
            stream.draw_x_object(name)

    def get_x_object(self, _interpolate: bool, _ratio: float) -> pydyf.Stream:
        """Return the drawing as a form, as WeasyPrint asks for it when it writes the images.

        Compressed here, once and at zlib's usual level: pydyf would do it at the highest, which
        takes four times as long to save two bytes in a hundred.
        """
        # None is replaced by the fonts that all pages share (see Plotter.finish).
        fonts = pydyf.Dictionary({"Font": None})
        return pydyf.Stream(
            [self.data],
            {
                "Type": "/XObject",
                "Subtype": "/Form",
                "BBox": pydyf.Array([0, 0, self.width, self.height]),
                "Resources": fonts,
                "Filter": "/FlateDecode",
            },
        )
