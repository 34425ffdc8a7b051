"""The parts of SVG that become PDF operators one for one: numbers, colours and paths."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

import numpy as np

_ARC = 0.5522847498  # handle of the Bézier curve that stands for a quarter circle of radius 1
_COLOUR = re.compile(r"#[0-9a-f]{6}")
_COMMAND = re.compile(r"([A-DF-Za-df-z])([^A-DF-Za-df-z]*)")  # an e is part of a number
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?")
_NOT_LETTERS = {ord(char): None for char in "0123456789.-+ ,\n"}
_LETTERS_TO_BLANKS = {ord(char): " " for char in "Mhvz,\n"}
_TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "Q": 4, "Z": 0}


def plain(value: float) -> str:
    """Return a number as PDF writes it, to four decimal places."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def row(*values: float) -> str:
    """Return numbers as PDF writes them, with blanks between."""
    return " ".join(map(plain, values))


def numbers(text: str) -> list[float]:
    """Return the numbers of a list with blanks or commas between."""
    return [float(each) for each in text.replace(",", " ").split()]


@lru_cache(maxsize=4096)
def colour(text: str, operators: tuple[str, str]) -> str:
    """Return what sets a colour `#rrggbb`; operators: the one for grey, the one for colours.

    Raises:
        ValueError: for a colour written otherwise.
    """
    if not _COLOUR.fullmatch(text):
        raise ValueError(f"a drawing names the colour {text!r}")
    red, green, blue = (int(text[at : at + 2], 16) / 255 for at in (1, 3, 5))
    if red == green == blue:
        return f"{plain(red)} {operators[0]}"
    return f"{row(red, green, blue)} {operators[1]}"


def circle(x: float, y: float, radius: float) -> str:
    """Return the path operators of a circle."""
    handle = radius * _ARC
    right, left, low, high = x + radius, x - radius, y + radius, y - radius
    return "\n".join(
        (
            f"{row(right, y)} m",
            f"{row(right, y + handle, x + handle, low, x, low)} c",
            f"{row(x - handle, low, left, y + handle, left, y)} c",
            f"{row(left, y - handle, x - handle, high, x, high)} c",
            f"{row(x + handle, high, right, y - handle, right, y)} c h",
        )
    )


def path(d: str) -> str:
    """Return the path operators of SVG path data: M m L l H h V v C c Q q Z z.

    Fills are one path of many rectangles `Mx yhwvhh-wz`; those are turned all at once.

    Raises:
        ValueError: for any other command.
    """
    letters = d.translate(_NOT_LETTERS)
    count = len(letters) // 5
    if not count or letters != "Mhvhz" * count:
        return "\n".join(_walk(d))
    values = np.fromstring(d.translate(_LETTERS_TO_BLANKS), sep=" ").reshape(count, 5)
    boxes = values[:, :4]
    whole = boxes.astype(np.int64)
    if np.array_equal(whole, boxes):
        return ("%d %d %d %d re\n" * count % tuple(whole.ravel().tolist())).rstrip()
    return ("%.4f %.4f %.4f %.4f re\n" * count % tuple(boxes.ravel().tolist())).rstrip()


def _walk(d: str) -> list[str]:
    out: list[str] = []
    x = y = start_x = start_y = 0.0
    for command, given in _steps(d):
        kind = command.upper()
        values = given
        if command != kind:
            shift = {"H": (x,), "V": (y,)}.get(kind, (x, y) * 3)
            values = [value + by for value, by in zip(given, shift, strict=False)]
        if kind == "Z":
            x, y = start_x, start_y
            out.append("h")
        elif kind == "C":
            out.append(f"{row(*values)} c")
            x, y = values[-2:]
        elif kind == "Q":
            out.append(f"{row(*_cubic(x, y, *values))} c")
            x, y = values[-2:]
        else:
            x, y = {"H": (values[0], y), "V": (x, values[-1])}.get(kind, tuple(values))
            if kind == "M":
                start_x, start_y = x, y
            out.append(f"{row(x, y)} {'m' if kind == 'M' else 'l'}")
    return out


def _steps(d: str) -> Iterator[tuple[str, list[float]]]:
    """Yield each command of path data with its numbers; a repeated command is said again."""
    if d and not d[0].isalpha():
        raise ValueError("a drawing has a path that does not begin with a command")
    for command, text in _COMMAND.findall(d):
        given = [float(each) for each in _NUMBER.findall(text)]
        takes = _TAKES.get(command.upper())
        if takes is None or (len(given) % takes if takes else given):
            raise ValueError(f"a drawing uses the path command {command!r}")
        yield command, given[:takes]
        # Further points after a move are lines.
        again = {"M": "L", "m": "l"}.get(command, command)
        for at in range(takes, len(given), takes or 1):
            yield again, given[at : at + takes]


def _cubic(
    x: float, y: float, to_x: float, to_y: float, end_x: float, end_y: float
) -> tuple[float, ...]:
    """Return a quadratic curve as the cubic one that PDF knows (the same curve, exactly)."""
    return (
        x + (to_x - x) * 2 / 3,
        y + (to_y - y) * 2 / 3,
        end_x + (to_x - end_x) * 2 / 3,
        end_y + (to_y - end_y) * 2 / 3,
        end_x,
        end_y,
    )
