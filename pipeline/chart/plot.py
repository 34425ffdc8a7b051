"""From a drawing of ours (SVG) straight to PDF operators.

Laying out a chart of a million crosses as SVG text takes a renderer minutes, because it shapes
letter by letter. A chart needs no shaping: each character is one glyph one cell wide. This module
reads exactly the part of SVG that the templates use, and raises on anything else, so that nothing
is dropped unseen. A `Plot` stands in for an image where WeasyPrint 70 asks its image cache.

Elements: svg g path rect line circle polyline polygon text tspan title desc.
"""

from __future__ import annotations

import re
import zlib
from collections import OrderedDict
from collections.abc import Mapping
from hashlib import blake2b
from io import BytesIO
from typing import Any
from xml.etree.ElementTree import Element, fromstring

from fontTools.ttLib import TTFont

from .font import SymbolFont
from .operators import circle, colour, numbers, path, plain, row
from .plotted import EmbeddedFont, Plot

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
        self._symbols = _Codes({ord(char): f"{at:04x}" for char, at in font.written.items()})
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


_SVG = "{http://www.w3.org/2000/svg}"
SYMBOLS, FIGURES = "symbols", "figures"  # what a drawing calls the two halves of the font
_SILENT = {"title", "desc"}
_STYLE = {
    "fill": "#000000",
    "stroke": "none",
    "stroke-width": "1",
    "stroke-dasharray": "none",
    "stroke-dashoffset": "0",
    "stroke-linecap": "butt",
    "stroke-linejoin": "miter",
    "fill-rule": "nonzero",
    "font-size": "1",
    "font-family": SYMBOLS,
    "text-anchor": "start",
}
_IGNORED = {"class", "id", "role"}
_GEOMETRY = {
    "svg": {"viewBox", "width", "height"},
    "g": {"transform"},
    "path": {"d"},
    "rect": {"x", "y", "width", "height"},
    "line": {"x1", "y1", "x2", "y2"},
    "circle": {"cx", "cy", "r"},
    "polyline": {"points"},
    "polygon": {"points"},
    "text": {"x", "y"},
}
MOST_KEPT = 512  # plots; a chart that is built again and again has most of them each time
_CAPS = {"butt": 0, "round": 1, "square": 2}
_ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}

_TRANSFORM = re.compile(r"(translate|scale)\(([^)]*)\)\s*")


class _Pen:
    """Writes operators and remembers the graphics state, so that nothing is set twice."""

    def __init__(self, face: Face) -> None:
        self.face = face
        self.out: list[str] = []
        self._set: dict[str, str] = {}
        self._kept: list[dict[str, str]] = []

    def push(self, matrix: tuple[float, ...]) -> None:
        self._kept.append(self._set.copy())
        self.out.append(f"q {row(*matrix)} cm")

    def pop(self) -> None:
        self._set = self._kept.pop()
        self.out.append("Q")

    def use(self, what: str, operator: str) -> None:
        if self._set.get(what) != operator:
            self._set[what] = operator
            self.out.append(operator)

    def fill(self, fill: str) -> None:
        self.use("fill", colour(fill, ("g", "rg")))

    def stroke(self, style: Mapping[str, str]) -> None:
        self.use("stroke", colour(style["stroke"], ("G", "RG")))
        self.use("width", f"{plain(float(style['stroke-width']))} w")
        self.use("cap", f"{_CAPS[style['stroke-linecap']]} J")
        self.use("join", f"{_JOINS[style['stroke-linejoin']]} j")
        dashes = style["stroke-dasharray"]
        lengths = [] if dashes == "none" else numbers(dashes)
        offset = float(style["stroke-dashoffset"])
        self.use("dash", f"[{row(*lengths)}] {plain(offset)} d")

    def paint(self, shape: str, style: Mapping[str, str]) -> None:
        """Write a path and paint it."""
        filled, stroked = style["fill"] != "none", style["stroke"] != "none"
        if not shape or not (filled or stroked):
            return
        if filled:
            self.fill(style["fill"])
        if stroked:
            self.stroke(style)
        star = "*" if filled and style["fill-rule"] == "evenodd" else ""
        self.out.append(shape)
        self.out.append(("B" if filled and stroked else "f" if filled else "S") + star)


def _shape(kind: str, own: Mapping[str, str]) -> str:
    """Return the path operators of a shape element."""
    if kind == "path":
        return path(own["d"])
    if kind in ("polyline", "polygon"):
        given = numbers(own["points"])
        points = [row(*given[at : at + 2]) for at in range(0, len(given), 2)]
        closed = " h" if kind == "polygon" else ""
        return f"{points[0]} m " + " ".join(f"{point} l" for point in points[1:]) + closed
    values = {name: float(own[name]) for name in _GEOMETRY[kind] & own.keys()}
    if kind == "rect":
        return f"{row(values['x'], values['y'], values['width'], values['height'])} re"
    if kind == "line":
        start, end = (values["x1"], values["y1"]), (values["x2"], values["y2"])
        return f"{row(*start)} m {row(*end)} l"
    return circle(values["cx"], values["cy"], values["r"])


def _matrix(text: str) -> tuple[float, ...]:
    if _TRANSFORM.sub("", text).strip():
        raise ValueError(f"a drawing uses the transform {text!r}")
    a, d, e, f = 1.0, 1.0, 0.0, 0.0
    for name, given in _TRANSFORM.findall(text):
        values = numbers(given)
        first, second = values[0], values[-1]
        if name == "translate":
            e, f = e + a * first, f + d * second
        else:
            a, d = a * first, d * second
    return (a, 0.0, 0.0, d, e, f)


def _run(pen: _Pen, element: Element, inherited: Mapping[str, str]) -> None:
    kind = element.tag.removeprefix(_SVG)
    if kind in _SILENT:
        return
    if kind not in _GEOMETRY:
        raise ValueError(f"a drawing uses the element {kind!r}")
    own = element.attrib
    style = _styled(kind, own, inherited)
    if kind == "text":
        _text(pen, element, style)
    elif kind in ("g", "svg"):
        moved = kind == "g" and "transform" in own
        if moved:
            pen.push(_matrix(own["transform"]))
        for child in element:
            _run(pen, child, style)
        if moved:
            pen.pop()
    else:
        pen.paint(_shape(kind, own), style)


def _styled(kind: str, own: Mapping[str, str], inherited: Mapping[str, str]) -> Mapping[str, str]:
    changed = own.keys() - _GEOMETRY[kind] - _IGNORED
    if not changed:
        return inherited
    if unknown := changed - _STYLE.keys():
        raise ValueError(f"a drawing uses {sorted(unknown)} on {kind!r}")
    return {**inherited, **{name: own[name] for name in changed}}


def _text(pen: _Pen, element: Element, style: Mapping[str, str]) -> None:
    """Write one text element as one text object; a tspan may change the fill.

    Text without fill is not painted, but can be searched and copied.
    """
    own = element.attrib
    figures = style["font-family"] == FIGURES
    size, x, y = float(style["font-size"]), float(own["x"]), float(own["y"])
    if share := _ANCHORS[style["text-anchor"]]:
        x -= share * size * pen.face.width("".join(element.itertext()), figures)
    pen.out.append("BT")
    pen.use("font", f"/{pen.face.name} {plain(size)} Tf")
    pen.out.append(f"1 0 0 -1 {row(x, y)} Tm")
    if element.text:
        _show(pen, element.text, style["fill"], figures)
    for span in element:
        if span.tag != f"{_SVG}tspan" or span.attrib.keys() != {"fill"} or len(span):
            raise ValueError("a drawing has more than runs of another fill within a text")
        _show(pen, span.text or "", span.attrib["fill"], figures)
        if span.tail:
            _show(pen, span.tail, style["fill"], figures)
    pen.out.append("ET")


def _show(pen: _Pen, text: str, fill: str, figures: bool) -> None:
    unseen = fill == "none"
    if unseen:
        pen.use("mode", "3 Tr")
    else:
        pen.use("mode", "0 Tr")
        pen.fill(fill)
    pen.out.append(f"<{pen.face.codes(text, figures, unseen)}> Tj")


_KEPT: OrderedDict[bytes, Plot] = OrderedDict()


class Plotter:
    """Turns drawings to plots that share one symbol font, and puts the font into the PDF."""

    def __init__(self, font: SymbolFont, name: str = NAME) -> None:
        """Take a font; name: how a PDF with several of them tells them apart."""
        self._face = Face(font, name)
        self._name = blake2b(repr((name, font)).encode()).digest()

    def plot(self, svg: str) -> Plot:
        """Return a drawing of ours as a plot. Its viewBox must start at 0 0.

        Raises:
            ValueError: for anything that this module does not know how to draw.
        """
        key = blake2b(self._name + svg.encode()).digest()
        if key not in _KEPT:
            _KEPT[key] = self._plotted(svg)
            if len(_KEPT) > MOST_KEPT:
                _KEPT.popitem(last=False)
        _KEPT.move_to_end(key)
        return _KEPT[key]

    def _plotted(self, svg: str) -> Plot:
        root = fromstring(svg)
        left, top, width, height = numbers(root.attrib["viewBox"])
        if left or top:
            raise ValueError("a drawing does not start at 0 0")
        pen = _Pen(self._face)
        _run(pen, root, _STYLE)
        return Plot(width, height, zlib.compress("\n".join(pen.out).encode("ascii"), 6))

    @property
    def font(self) -> EmbeddedFont:
        """The symbol font as it goes into the PDF."""
        return self._face.embedded

    def finish(self, document: Any, pdf: Any) -> None:
        """Add the symbol font to the fonts that all pages share: a finisher for WeasyPrint."""
        self.font.finish(document, pdf)
