"""Figures as people read them, and other filters of the templates."""

from __future__ import annotations

import math

from ..model import MM_PER_INCH

_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")
_SLIP = 1e-6  # of a step


def cm(mm: float) -> str:
    """Return a length in mm as cm to the nearest millimetre: `12.7`, `5`."""
    return f"{mm / 10:.1f}".removesuffix(".0")


def inches(mm: float) -> str:
    """Return a length in mm as inches to the nearest eighth: `13¾`, `5`, `⅜`."""
    eighths = round(mm / MM_PER_INCH * 8)
    whole, part = divmod(eighths, 8)
    return f"{whole or ''}{_EIGHTHS[part]}" or "0"


def cut_cm(mm: float) -> str:
    """Return the length of a piece to cut, in mm, as cm, up to the next half: `42`, `59.5`."""
    return cm(_up(mm, 5.0))


def cut_inches(mm: float) -> str:
    """Return the length of a piece to cut, in mm, as inches, up to the next quarter: `16½`."""
    return inches(_up(mm, MM_PER_INCH / 4))


def _up(mm: float, step: float) -> float:
    # A length that is a whole number of steps but for the arithmetic is not a step more.
    return math.ceil(mm / step - _SLIP) * step


def thread_length(metres: float) -> str:
    """Return a length of thread with its unit: cm below a metre, else m."""
    if metres < 0.995:
        return f"{max(1, round(metres * 100))}\u00a0cm"
    return f"{metres:.1f}\u00a0m" if metres < 9.95 else f"{metres:,.0f}\u00a0m"


def share(value: float) -> str:
    """Return a share of a put-up to the hundredth, nothing less than a hundredth."""
    return f"{max(value, 0.01):.2f}"


def tenths(value: float) -> str:
    """Return what is used, of a put-up or in metres, to the tenth, and nothing less."""
    return f"{max(value, 0.1):,.1f}"


def whole(value: float) -> str:
    """Return a whole number with its thousands apart."""
    return f"{value:,.0f}"


def fixed(value: float, places: int) -> str:
    """Return a number with just so many decimal places, for a column of figures."""
    return f"{value:,.{places}f}"


def css_text(text: str) -> str:
    """Return a text for the inside of a CSS string, with all but plain letters escaped.

    CSS Syntax Module Level 3, 4.3.7: a backslash, the code point in hexadecimal, a blank.
    """
    return "".join(
        char if char.isascii() and char.isalnum() else f"\\{ord(char):x} " for char in text
    )


FILTERS = {
    "css_text": css_text,
    "cm": cm,
    "inches": inches,
    "cut_cm": cut_cm,
    "cut_inches": cut_inches,
    "thread_length": thread_length,
    "share": share,
    "tenths": tenths,
    "whole": whole,
    "fixed": fixed,
}
