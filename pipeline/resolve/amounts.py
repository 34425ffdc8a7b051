"""Numbers in a chart: whole or not, within sensible bounds."""

from __future__ import annotations

from ..core.diagnostics import Diagnostic, finding
from ..core.model import MM_PER_INCH
from ..syntax.phrases import Measure, Number

_LONGEST = 12  # characters of a number that anybody would write
MM_IN = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH}


def whole(number: Number, what: str, low: int, high: int, found: list[Diagnostic]) -> int | None:
    """Return a whole number from low to high; `what` it counts, for the finding."""
    text = number.text
    if len(text) <= _LONGEST:
        if "." in text:
            found.append(
                finding(
                    "not-whole",
                    f"{what} is a whole number, not `{text}`.",
                    number.span,
                    "write it without a fraction",
                )
            )
            return None
        value = int(text)
        if low <= value <= high:
            return value
    found.append(_absurd(number, what, f"{low:,} to {high:,}"))
    return None


def real(
    number: Number, what: str, low: float, high: float, found: list[Diagnostic]
) -> float | None:
    """Return a number from low to high; `what` it measures, for the finding."""
    if len(number.text) <= _LONGEST:
        value = float(number.text)
        if low <= value <= high:
            return value
    found.append(_absurd(number, what, f"{low:g} to {high:g}"))
    return None


def millimetres(
    measure: Measure, what: str, low: float, high: float, found: list[Diagnostic]
) -> float | None:
    """Return a length in mm; low and high are in mm too."""
    number = measure.number
    if len(number.text) <= _LONGEST:
        value = float(number.text) * MM_IN[measure.unit.text]
        if low <= value <= high:
            return value
    unit = MM_IN[measure.unit.text]
    bounds = f"{low / unit:.3g} to {high / unit:.3g} {measure.unit.text}"
    found.append(_absurd(number, what, bounds))
    return None


def _absurd(number: Number, what: str, bounds: str) -> Diagnostic:
    text = number.text if len(number.text) <= _LONGEST else number.text[:_LONGEST] + "…"
    return finding(
        "absurd-number",
        f"{what} cannot be {text}: {bounds} is possible.",
        number.span,
        "check whether a figure is doubled or a unit is missing",
    )
