"""Where the parts of a drawing in SVG lie: changes of place, and the boxes that are drawn."""

from __future__ import annotations

import re
from xml.etree.ElementTree import Element

from ..chart.operators import numbers
from ..core.items import Box
from .typecase import SVG

_MOVES = re.compile(r"(translate|rotate)\(([^)]*)\)\s*")
_TURNS = {0: (1, 0, 0, 1), 90: (0, 1, -1, 0), -90: (0, -1, 1, 0)}

Matrix = tuple[float, float, float, float, float, float]
Extent = tuple[float, float, float, float]  # x, y, width, height
STILL: Matrix = (1, 0, 0, 1, 0, 0)


def transform(text: str) -> Matrix:
    """Return the matrix of a `transform` of SVG: translations, and rotations by quarters.

    Raises:
        ValueError: for any other.
    """
    if _MOVES.sub("", text).strip():
        raise ValueError(f"a chart page uses the transform {text!r}")
    matrix = STILL
    for name, given in _MOVES.findall(text):
        values = numbers(given)
        move = (1, 0, 0, 1, *values) if name == "translate" else (*_TURNS[round(values[0])], 0, 0)
        matrix = then(move, matrix)  # type: ignore[arg-type]
    return matrix


def then(one: Matrix, other: Matrix) -> Matrix:
    """Return the matrix of one change of place and then another (ISO 32000-1, 8.3.4)."""
    a, b, c, d, e, f = one
    g, h, i, j, k, m = other
    return (
        a * g + b * i,
        a * h + b * j,
        c * g + d * i,
        c * h + d * j,
        e * g + f * i + k,
        e * h + f * j + m,
    )


def extent(element: Element) -> tuple[Extent, Matrix]:
    """Return the first box that is drawn within an element, and how it is moved there."""
    for child in element:
        if child.tag in (f"{SVG}image", f"{SVG}rect"):
            return box_of(child), STILL
        if child.tag == f"{SVG}g":
            box, move = extent(child)
            return box, then(move, transform(child.get("transform", "")))
    raise ValueError("a link or figure of a chart page has no extent")


def bounds_of(extent: tuple[Extent, Matrix], matrix: Matrix) -> Box:
    """Return the box around another one after a change of place: left, low, right, high."""
    (x, y, width, height), move = extent
    a, b, c, d, e, f = then(move, matrix)
    corners = [(x, y), (x + width, y), (x, y + height), (x + width, y + height)]
    across = [a * one + c * two + e for one, two in corners]
    up = [b * one + d * two + f for one, two in corners]
    return min(across), min(up), max(across), max(up)


def box_of(element: Element) -> Extent:
    """Return left, top, width and height of a rectangle or image."""
    x, y, width, height = (float(element.attrib[name]) for name in ("x", "y", "width", "height"))
    return x, y, width, height
