"""Figures as people read them, with the marks of a language. Lengths come in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..core.ground import MM_PER_INCH

_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")
_SLIP = 1e-6  # of a step
CUT_CM, CUT_INCHES = 5.0, MM_PER_INCH / 4  # steps of a piece to cut, in mm
NO_BREAK = "\u00a0"


@dataclass(frozen=True)
class Figures:
    """How a language writes figures.

    decimal: what stands before a fraction. group: what parts thousands.
    """

    decimal: str = "."
    group: str = ","

    def marked(self, plain: str) -> str:
        """Return a number written with English marks, with those of the language."""
        if self.decimal == "." and self.group == ",":
            return plain
        return self.decimal.join(part.replace(",", self.group) for part in plain.split("."))

    def figure(self, value: float, places: int = 3) -> str:
        """Return a number as short as it can be written with so many decimal places."""
        short = f"{value:.{places}f}"
        short = short.rstrip("0").rstrip(".") if "." in short else short
        return self.marked("0" if short == "-0" else short)

    def cm(self, mm: float) -> str:
        """Return a length as cm to the nearest millimetre: `12.7`, `5`."""
        return self.marked(f"{mm / 10:.1f}".removesuffix(".0"))

    def in_cm(self, mm: float) -> str:
        """Return a length as cm with the unit."""
        return f"{self.cm(mm)}{NO_BREAK}cm"

    def cut_cm(self, mm: float) -> str:
        """Return the length of a piece to cut as cm, up to the next half: `42`, `59.5`."""
        return self.cm(rounded_up(mm, CUT_CM))

    def thread_length(self, metres: float) -> str:
        """Return a length of thread with its unit: cm below a metre, else m."""
        if metres < 0.995:
            return f"{max(1, round(metres * 100))}{NO_BREAK}cm"
        return self.marked(f"{metres:.1f}" if metres < 9.95 else f"{metres:,.0f}") + f"{NO_BREAK}m"

    def share(self, value: float) -> str:
        """Return a share of a put-up to the hundredth, nothing less than a hundredth."""
        return self.marked(f"{max(value, 0.01):.2f}")

    def tenths(self, value: float) -> str:
        """Return what is used, of a put-up or in metres, to the tenth, and nothing less."""
        return self.fixed(max(value, 0.1), 1)

    def whole(self, value: float) -> str:
        """Return a whole number with its thousands apart."""
        return self.fixed(value, 0)

    def fixed(self, value: float, places: int) -> str:
        """Return a number with just so many decimal places, for a column of figures."""
        return self.marked(f"{value:,.{places}f}")

    def inches(self, mm: float) -> str:
        """Return a length as inches to the nearest eighth: `13¾`, `5`, `⅜`."""
        return inches(mm)

    def cut_inches(self, mm: float) -> str:
        """Return the length of a piece to cut as inches, up to the next quarter: `16½`."""
        return inches(rounded_up(mm, CUT_INCHES))


def inches(mm: float) -> str:
    """Return a length as inches to the nearest eighth; no language writes it otherwise."""
    eighths = round(mm / MM_PER_INCH * 8)
    whole, part = divmod(eighths, 8)
    return f"{whole or ''}{_EIGHTHS[part]}" or "0"


def rounded_up(mm: float, step: float) -> float:
    """Return a length up to the next whole number of steps."""
    # A length that is a whole number of steps but for the arithmetic is not a step more.
    return math.ceil(mm / step - _SLIP) * step


ENGLISH = Figures()
# For what speaks English alone, such as the terminal.
cm, cut_cm, cut_inches = ENGLISH.cm, ENGLISH.cut_cm, ENGLISH.cut_inches
share, tenths, whole, fixed = ENGLISH.share, ENGLISH.tenths, ENGLISH.whole, ENGLISH.fixed
thread_length = ENGLISH.thread_length
