"""Words as outlines, so that pictures look the same without any font; SVG of ours as pixels.

The only module that knows CairoSVG.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any

from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTFont

from ..chart.looks import Sign
from ..chart.shapes import symbol_path
from ..core.system import PIXELS, MissingLibrary

_FACES = files("font_source_sans_pro") / "files"
REGULAR, STRONG = "Regular", "Semibold"
_MISSING = "?"  # stands for a letter that the face lacks
_SHARE = {"start": 0.0, "middle": 0.5, "end": 1.0}


@lru_cache(maxsize=1024)  # a chart that is drawn again has the same numbers at its edge
def text_path(
    text: str, x: float, y: float, size: float, weight: str = REGULAR, anchor: str = "start"
) -> str:
    """Return a line of text as SVG path data, without kerning.

    x, y: where it is anchored, on its base line. size: of the face, in the units of x and y.
    anchor: `start`, `middle` or `end`, as in SVG.
    """
    face = _face(weight)
    scale = size / face.units
    x -= _SHARE[anchor] * text_length(text, size, weight)
    pen = SVGPathPen(face.glyphs, ntos=lambda value: f"{value:.5g}")
    for each in text:
        name = face.name(each)
        face.glyphs[name].draw(TransformPen(pen, (scale, 0, 0, -scale, x, y)))
        x += scale * face.advances[name]
    return str(pen.getCommands())


@dataclass(frozen=True)
class OutlinedSign:
    """The sign of a counted stitch as an outline: its middle, the ring, and how the path lies."""

    x: float
    y: float
    radius: float
    left: float
    top: float
    scale: float
    d: str


def outlined(sign: Sign, half: float, shapes: Mapping[int, str], index: int) -> OutlinedSign:
    """Return a sign beside counted stitches; half: of its side. shapes: printed symbols."""
    if sign.figure or index not in shapes:
        d = text_path(sign.text, 0, 0, 100, STRONG, "middle")
        left, top = sign.x, sign.y + 0.65 * half
    else:
        d, left, top = symbol_path(shapes[index]), sign.x - half, sign.y - half
    return OutlinedSign(sign.x, sign.y, 1.2 * half, left, top, 2 * half / 100, d)


def text_length(text: str, size: float, weight: str = REGULAR) -> float:
    """Return how long a line of text is, in the units of the size."""
    face = _face(weight)
    return size / face.units * sum(face.advances[face.name(each)] for each in text)


def cut_to(text: str, room: float, size: float, weight: str = REGULAR) -> str:
    """Return a line of text cut so that it is no longer than the room."""
    if text_length(text, size, weight) <= room:
        return text
    while text and text_length(text + "…", size, weight) > room:
        text = text[:-1]
    return text.rstrip() + "…"


@dataclass(frozen=True, eq=False)
class _Face:
    units: int
    glyphs: Any
    names: dict[int, str]
    advances: dict[str, int]

    def name(self, letter: str) -> str:
        """Return the name of the glyph of a letter."""
        return self.names.get(ord(letter)) or self.names[ord(_MISSING)]


@cache
def _face(weight: str) -> _Face:
    with (_FACES / f"SourceSansPro-{weight}.ttf").open("rb") as opened:
        font = TTFont(opened, lazy=False)
    advances = {name: metrics[0] for name, metrics in font["hmtx"].metrics.items()}
    return _Face(int(font["head"].unitsPerEm), font.getGlyphSet(), font.getBestCmap(), advances)


def svg_to_png(svg: str, width: int | None = None, height: int | None = None) -> bytes:
    """Return a drawing as PNG, in its own size or in so many pixels.

    Raises:
        MissingLibrary: when cairo is not installed on this computer.
    """
    try:
        import cairosvg  # noqa: PLC0415 - pictures that stay drawings do without
    except OSError as reason:  # cairo could not be loaded
        raise MissingLibrary(
            "The library that paints drawings is not installed on this system; "
            "a picture that ends in .svg can do without it.",
            PIXELS,
        ) from reason
    return bytes(
        cairosvg.svg2png(bytestring=svg.encode(), output_width=width, output_height=height)
    )
