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


def metres(length: float) -> str:
    """Return metres: to the tenth below ten, whole above."""
    return f"{length:.1f}" if length < 9.95 else f"{length:,.0f}"


def whole(value: float) -> str:
    """Return a whole number with its thousands apart."""
    return f"{value:,.0f}"


def fixed(value: float, places: int) -> str:
    """Return a number with just so many decimal places, for a column of figures."""
    return f"{value:,.{places}f}"


FILTERS = {"cm": cm, "inches": inches, "metres": metres, "whole": whole, "fixed": fixed}
