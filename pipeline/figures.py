"""Figures as people read them: lengths, counts and shares, without their words."""

from __future__ import annotations

from .model import MM_PER_INCH

_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")


def cm(mm: float) -> str:
    """Return a length in mm as cm to the nearest millimetre: `12.7`, `5`."""
    return f"{mm / 10:.1f}".removesuffix(".0")


def inches(mm: float) -> str:
    """Return a length in mm as inches to the nearest eighth: `13¾`, `5`, `⅜`."""
    eighths = round(mm / MM_PER_INCH * 8)
    whole, part = divmod(eighths, 8)
    return f"{whole or ''}{_EIGHTHS[part]}" or "0"


def thread_length(metres: float) -> str:
    """Return a length of thread with its unit: cm below a metre, else m."""
    if metres < 0.995:
        return f"{max(1, round(metres * 100))}\u00a0cm"
    return f"{metres:.1f}\u00a0m" if metres < 9.95 else f"{metres:,.0f}\u00a0m"


def share(value: float) -> str:
    """Return a share of a put-up to the hundredth, nothing less than a hundredth."""
    return f"{max(value, 0.01):.2f}"


def whole(value: float) -> str:
    """Return a whole number with its thousands apart."""
    return f"{value:,.0f}"


def fixed(value: float, places: int) -> str:
    """Return a number with just so many decimal places, for a column of figures."""
    return f"{value:,.{places}f}"


FILTERS = {
    "cm": cm,
    "inches": inches,
    "thread_length": thread_length,
    "share": share,
    "whole": whole,
    "fixed": fixed,
}
