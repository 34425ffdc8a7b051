"""Figures as outlines, for pictures that are to look the same without any installed font."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTFont

_FACE = files("font_source_sans_pro") / "files" / "SourceSansPro-Semibold.ttf"
_SHARE = {"start": 0.0, "middle": 0.5, "end": 1.0}


def numeral_path(text: str, x: float, y: float, size: float, anchor: str = "start") -> str:
    """Return figures as SVG path data.

    x, y: where the text is anchored, on its base line. size: of the face, in the units of x and
    y. anchor: `start`, `middle` or `end`, as in SVG.
    """
    face = _face()
    scale = size / face.units
    at = x - _SHARE[anchor] * scale * sum(face.widths[each] for each in text)
    pen = SVGPathPen(face.glyphs, ntos=lambda value: f"{value:.5g}")
    for each in text:
        face.glyphs[face.names[each]].draw(TransformPen(pen, (scale, 0, 0, -scale, at, y)))
        at += scale * face.widths[each]
    return str(pen.getCommands())


class _Figures:
    def __init__(self) -> None:
        with _FACE.open("rb") as opened:
            font = TTFont(opened, lazy=False)
        names = font.getBestCmap()
        self.units = int(font["head"].unitsPerEm)
        self.glyphs = font.getGlyphSet()
        self.names = {each: names[ord(each)] for each in "0123456789"}
        self.widths = {each: int(font["hmtx"][name][0]) for each, name in self.names.items()}


@cache
def _face() -> _Figures:
    return _Figures()
