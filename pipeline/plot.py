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
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from hashlib import md5
from typing import Any
from xml.etree.ElementTree import Element, fromstring

import numpy as np
import pydyf

from .face import Face
from .font import SymbolFont

_SVG = "{http://www.w3.org/2000/svg}"
_PX_PER_MM = 96 / 25.4
_ARC = 0.5522847498  # handle of the Bézier curve that stands for a quarter circle of radius 1
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
    "tspan": {"x", "y"},
}
_CAPS = {"butt": 0, "round": 1, "square": 2}
_ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}

_COLOUR = re.compile(r"#[0-9a-f]{6}")
_TRANSFORM = re.compile(r"(translate|scale)\(([^)]*)\)\s*")
_TOKEN = re.compile(r"[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?")
_NOT_LETTERS = {ord(char): None for char in "0123456789.-+ ,\n"}
_LETTERS_TO_BLANKS = {ord(char): " " for char in "Mhvz,\n"}


def plain(value: float) -> str:
    """Return a number as PDF writes it, to four decimal places."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _row(*values: float) -> str:
    return " ".join(map(plain, values))


class _Pen:
    """Writes operators and remembers the graphics state, so that nothing is set twice."""

    def __init__(self, face: Face) -> None:
        self.face = face
        self.out: list[str] = []
        self._set: dict[str, str] = {}
        self._kept: list[dict[str, str]] = []

    def push(self, matrix: tuple[float, ...]) -> None:
        self._kept.append(self._set.copy())
        self.out.append(f"q {_row(*matrix)} cm")

    def pop(self) -> None:
        self._set = self._kept.pop()
        self.out.append("Q")

    def use(self, what: str, operator: str) -> None:
        if self._set.get(what) != operator:
            self._set[what] = operator
            self.out.append(operator)

    def fill(self, colour: str) -> None:
        self.use("fill", _colour(colour, ("g", "rg")))

    def stroke(self, style: Mapping[str, str]) -> None:
        self.use("stroke", _colour(style["stroke"], ("G", "RG")))
        self.use("width", f"{plain(float(style['stroke-width']))} w")
        self.use("cap", f"{_CAPS[style['stroke-linecap']]} J")
        self.use("join", f"{_JOINS[style['stroke-linejoin']]} j")
        dashes = style["stroke-dasharray"]
        lengths = [] if dashes == "none" else _numbers(dashes)
        offset = float(style["stroke-dashoffset"])
        self.use("dash", f"[{_row(*lengths)}] {plain(offset)} d")

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


def _numbers(text: str) -> list[float]:
    return [float(each) for each in text.replace(",", " ").split()]


@lru_cache(maxsize=4096)
def _colour(text: str, operators: tuple[str, str]) -> str:
    if not _COLOUR.fullmatch(text):
        raise ValueError(f"a drawing names the colour {text!r}")
    red, green, blue = (int(text[at : at + 2], 16) / 255 for at in (1, 3, 5))
    if red == green == blue:
        return f"{plain(red)} {operators[0]}"
    return f"{_row(red, green, blue)} {operators[1]}"


def _shape(kind: str, own: Mapping[str, str]) -> str:
    """Return the path operators of a shape element."""
    if kind == "path":
        return path(own["d"])
    if kind in ("polyline", "polygon"):
        numbers = _numbers(own["points"])
        points = [_row(*numbers[at : at + 2]) for at in range(0, len(numbers), 2)]
        closed = " h" if kind == "polygon" else ""
        return f"{points[0]} m " + " ".join(f"{each} l" for each in points[1:]) + closed
    values = {name: float(own[name]) for name in _GEOMETRY[kind] & own.keys()}
    if kind == "rect":
        return f"{_row(values['x'], values['y'], values['width'], values['height'])} re"
    if kind == "line":
        start, end = (values["x1"], values["y1"]), (values["x2"], values["y2"])
        return f"{_row(*start)} m {_row(*end)} l"
    return _circle(values["cx"], values["cy"], values["r"])


def _circle(x: float, y: float, radius: float) -> str:
    handle = radius * _ARC
    right, left, low, high = x + radius, x - radius, y + radius, y - radius
    return "\n".join(
        (
            f"{_row(right, y)} m",
            f"{_row(right, y + handle, x + handle, low, x, low)} c",
            f"{_row(x - handle, low, left, y + handle, left, y)} c",
            f"{_row(left, y - handle, x - handle, high, x, high)} c",
            f"{_row(x + handle, high, right, y - handle, right, y)} c h",
        )
    )


def path(d: str) -> str:
    """Return the path operators of SVG path data: M m L l H h V v C c Q q Z z.

    Fills are one path of many rectangles `Mx yhwvhh-wz`; those are turned all at once.
    """
    letters = d.translate(_NOT_LETTERS)
    count = len(letters) // 5
    if count and letters == "Mhvhz" * count:
        numbers = np.fromstring(d.translate(_LETTERS_TO_BLANKS), sep=" ").reshape(count, 5)
        boxes = numbers[:, :4]
        whole = boxes.astype(np.int64)
        if np.array_equal(whole, boxes):
            return "%d %d %d %d re\n" * (count - 1) % tuple(
                whole[:-1].ravel().tolist()
            ) + "%d %d %d %d re" % tuple(whole[-1].tolist())
        return "\n".join(f"{_row(*box)} re" for box in boxes.tolist())
    return "\n".join(_walk(d))


_TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "Q": 4, "Z": 0}


def _walk(d: str) -> list[str]:
    out: list[str] = []
    tokens = _TOKEN.findall(d)
    at = 0
    x = y = start_x = start_y = 0.0
    command = ""
    while at < len(tokens):
        if tokens[at].isalpha():
            command = tokens[at]
            at += 1
        elif command in "Mm":  # further points after a move are lines
            command = "L" if command == "M" else "l"
        kind = command.upper()
        if kind not in _TAKES:
            raise ValueError(f"a drawing uses the path command {command!r}")
        numbers = [float(each) for each in tokens[at : at + _TAKES[kind]]]
        at += _TAKES[kind]
        if command.islower():
            shift = {"H": (x,), "V": (y,)}.get(kind, (x, y) * 3)
            numbers = [value + by for value, by in zip(numbers, shift, strict=False)]
        if kind == "Z":
            x, y = start_x, start_y
            out.append("h")
            continue
        if kind == "Q":  # PDF knows cubic curves only
            to_x, to_y = numbers[:2]
            numbers = [
                x + (to_x - x) * 2 / 3,
                y + (to_y - y) * 2 / 3,
                numbers[2] + (to_x - numbers[2]) * 2 / 3,
                numbers[3] + (to_y - numbers[3]) * 2 / 3,
                *numbers[2:],
            ]
            kind = "C"
        if kind == "H":
            x = numbers[0]
        elif kind == "V":
            y = numbers[0]
        else:
            x, y = numbers[-2:]
        if kind == "M":
            start_x, start_y = x, y
            out.append(f"{_row(x, y)} m")
        elif kind == "C":
            out.append(f"{_row(*numbers)} c")
        else:
            out.append(f"{_row(x, y)} l")
    return out


def _matrix(text: str) -> tuple[float, ...]:
    if _TRANSFORM.sub("", text).strip():
        raise ValueError(f"a drawing uses the transform {text!r}")
    a, d, e, f = 1.0, 1.0, 0.0, 0.0
    for name, given in _TRANSFORM.findall(text):
        values = _numbers(given)
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
    if kind not in _GEOMETRY or kind == "tspan":
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
    """Write one text element as one text object; a tspan may change fill, size and place."""
    own = element.attrib
    pen.out.append("BT")
    _place(pen, element, style, float(own["x"]), float(own["y"]))
    figures = style["font-family"] == FIGURES
    if element.text:
        _show(pen, element.text, style["fill"], figures)
    home = style["font-size"]
    for span in element:
        if span.tag != f"{_SVG}tspan":
            raise ValueError(f"a drawing has {span.tag!r} within text")
        given = span.attrib
        if given.keys() == {"fill"}:  # nearly all of them
            _show(pen, span.text or "", given["fill"], figures)
        else:
            inner = _styled("tspan", given, style)
            if "x" in given:
                y = float(given.get("y", own["y"]))
                _place(pen, span, inner, float(given["x"]), y)
            elif inner["font-size"] != home:
                raise ValueError("a drawing changes the size of a text without placing it")
            _show(pen, span.text or "", inner["fill"], figures)
            if span.tail and inner["font-size"] != home:
                raise ValueError("a drawing goes on after a text of another size")
        if span.tail:
            _show(pen, span.tail, style["fill"], figures)
    pen.out.append("ET")


def _place(pen: _Pen, element: Element, style: Mapping[str, str], x: float, y: float) -> None:
    """Set the size of a text and where it begins."""
    size = float(style["font-size"])
    share = _ANCHORS[style["text-anchor"]]
    if share:
        figures = style["font-family"] == FIGURES
        x -= share * size * pen.face.width(element.text or "", figures)
    pen.use("font", f"/{pen.face.name} {plain(size)} Tf")
    pen.out.append(f"1 0 0 -1 {_row(x, y)} Tm")


def _show(pen: _Pen, text: str, fill: str, figures: bool) -> None:
    unseen = fill == "none"
    if unseen:
        pen.use("mode", "3 Tr")
    else:
        pen.use("mode", "0 Tr")
        pen.fill(fill)
    pen.out.append(f"<{pen.face.codes(text, figures, unseen)}> Tj")


@dataclass(frozen=True, eq=False)
class Plot:
    """A drawing as PDF operators, in the place of an image.

    width, height: in the drawing's own units, which are mm. data: the operators, compressed.
    """

    width: float
    height: float
    data: bytes = field(repr=False)

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
        return self.width * _PX_PER_MM, self.height * _PX_PER_MM, self.width / self.height

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


class Plotter:
    """Turns drawings to plots that share one symbol font, and puts the font into the PDF."""

    def __init__(self, font: SymbolFont) -> None:
        self._face = Face(font)

    def plot(self, svg: str) -> Plot:
        """Return a drawing of ours as a plot. Its viewBox must start at 0 0.

        Raises:
            ValueError: for anything that this module does not know how to draw.
        """
        root = fromstring(svg)
        left, top, width, height = _numbers(root.attrib["viewBox"])
        if left or top:
            raise ValueError("a drawing does not start at 0 0")
        pen = _Pen(self._face)
        _run(pen, root, _STYLE)
        return Plot(width, height, zlib.compress("\n".join(pen.out).encode("ascii"), 6))

    def finish(self, _document: Any, pdf: Any) -> None:
        """Add the symbol font to the fonts that all pages share: a finisher for WeasyPrint."""
        self._face.embed(pdf)
