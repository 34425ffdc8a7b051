"""What the options of a line say: numbers within sensible bounds, sizes, positions, symmetries."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.ground import MM_PER_INCH
from ..core.items import Symmetry
from ..syntax.phrases import Dimensions, Extent, Length, Numeral, Option, Position, Spanned, Word

_LONGEST = 12  # characters of a number that anybody would write
MM_IN = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH}


def whole(
    number: Numeral, what: str, low: int, high: int, findings: list[Diagnostic]
) -> int | None:
    """Return a whole number from low to high; `what` it counts, for the finding."""
    text = number.text
    if len(text) <= _LONGEST:
        if "." in text:
            findings.append(
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
    findings.append(_absurd(number, what, f"{low:,} to {high:,}"))
    return None


def real(
    number: Numeral, what: str, low: float, high: float, findings: list[Diagnostic]
) -> float | None:
    """Return a number from low to high; `what` it measures, for the finding."""
    return _between(number, 1.0, what, (low, high), f"{low:g} to {high:g}", findings)


def millimetres(
    measure: Length, what: str, low: float, high: float, findings: list[Diagnostic]
) -> float | None:
    """Return a length in mm; low and high are in mm too."""
    unit = MM_IN[measure.unit.text]
    ends = (each / unit for each in (low, high))
    words = (f"{end:.3g}" if end < 100 else f"{end:,.0f}" for end in ends)
    bounds = f"{' to '.join(words)} {measure.unit.text}"
    return _between(measure.number, unit, what, (low, high), bounds, findings)


def _between(
    number: Numeral,
    unit: float,
    what: str,
    limits: tuple[float, float],
    bounds: str,
    findings: list[Diagnostic],
) -> float | None:
    """Return a number of units within limits; bounds: these in words."""
    if len(number.text) <= _LONGEST:
        value = float(number.text) * unit
        if limits[0] <= value <= limits[1]:
            return value
    findings.append(_absurd(number, what, bounds))
    return None


def _absurd(number: Numeral, what: str, bounds: str) -> Diagnostic:
    text = number.text if len(number.text) <= _LONGEST else number.text[:_LONGEST] + "…"
    return finding(
        "absurd-number",
        f"{what} cannot be {text}: {bounds} is possible.",
        number.span,
        "check whether a digit was typed twice or a unit is missing",
    )


LARGEST_SIDE = 2_000  # crosses
LARGEST_AREA = 2_000_000  # crosses; a gibibyte of memory holds what every command asks for these
MOST_OVER = 12  # threads one cross may span
MOST_FINDINGS = 100  # of one chart; what follows is seldom a new slip
# Statements of a kind in one chart, so that no source takes longer than its pages are worth.
MOST_WITHDRAWN = 200
MOST_NOTES, MOST_REVISIONS, MOST_EXPECTED, MOST_NEEDS, MOST_COLOURWAYS = 2000, 2000, 500, 200, 20
MOST_POINTS = 50_000  # of lines, knots and beads, as written and as placed
FURTHEST = 10_000.0  # crosses from the corner that anything can be placed


_Line = TypeVar("_Line", bound=Spanned)


def at_most(
    most: int, what: str, lines: Sequence[_Line], findings: list[Diagnostic]
) -> Sequence[_Line]:
    """Return as many lines as a chart may have; one more is told of.

    what: the lines, in the plural.
    """
    if len(lines) > most:
        findings.append(
            finding(
                "too-many-of-a-kind",
                f"There are {len(lines):,} {what}; a chart has at most {most:,}.",
                lines[most].span,
                "a work with so many is better divided into several charts",
            )
        )
    return lines[:most]


def size_of(
    size: Dimensions | Extent, what: str, findings: list[Diagnostic]
) -> tuple[int, int] | None:
    """Return width and height of a stated size; 0 for one that is not stated."""
    width, height = (
        0 if side is None else whole(side, f"The {way} of {what}", 1, LARGEST_SIDE, findings)
        for way, side in (("width", size.width), ("height", size.height))
    )
    if width is None or height is None:
        return None
    if width * height > LARGEST_AREA:
        findings.append(
            finding(
                "too-many-crosses",
                f"{width:,} x {height:,} make {width * height:,} crosses; {what} has at most "
                f"{LARGEST_AREA:,}, such as 1,400 x 1,400 or 2,000 x 1,000.",
                size.span,
                "divide a larger work into several charts that join along a row or column",
            )
        )
        return None
    return width, height


def point(place: Position, findings: list[Diagnostic]) -> tuple[float, float] | None:
    """Return a position as numbers."""
    values = []
    for number in (place.x, place.y):
        value = float(number.text) if len(number.text) <= 12 else FURTHEST + 1
        if abs(value) > FURTHEST:
            findings.append(
                finding(
                    "absurd-number",
                    "This position is far outside any chart.",
                    place.span,
                    "positions count crosses from the top left corner: columns, a comma, rows",
                )
            )
            return None
        values.append(value)
    return values[0], values[1]


_SAID = {"repeat": "How often", "cover": "What lies below", "in": "The alphabet"}


def options_by_word(options: Sequence[Option], findings: list[Diagnostic]) -> dict[str, Option]:
    """Return options by their word, each at most once."""
    result: dict[str, Option] = {}
    for option in options:
        if option.word in result:
            findings.append(
                finding(
                    "repeated-option",
                    f"{_SAID.get(option.word, f'`{option.word}`')} is stated twice.",
                    option.span,
                    Hint("first given here", result[option.word].span),
                    "take one of them out",
                )
            )
        result.setdefault(option.word, option)
    return result


def number_in(option: Option | None, index: int = 0) -> Numeral | None:
    """Return a number that an option holds."""
    if option is None or index >= len(option.values):
        return None
    value = option.values[index]
    return value if isinstance(value, Numeral) else None


def symmetry_in(option: Option | None) -> Symmetry | None:
    """Return the symmetry that an option states."""
    if option is None or not isinstance(option.values[0], Word):
        return None
    return Symmetry(option.values[0].text)
