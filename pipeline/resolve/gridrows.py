"""Rows held to the size stated for them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.source import Span
from ..syntax.phrases import Row
from .settings import LARGEST_SIDE

MOST_RAGGED = 5  # rows of a wrong width shown one by one


def check_rows(
    rows: Sequence[Row], size: tuple[int, int], stated: Span, what: str, found: list[Diagnostic]
) -> None:
    """Hold rows to the size stated for them."""
    width, height = size
    widths = Counter(len(row.cells) for row in rows)
    too_long = next((row for row in rows if len(row.cells) > LARGEST_SIDE), None)
    if too_long is not None:
        found.append(
            finding(
                "row-too-long",
                f"This row has {len(too_long.cells):,} crosses; "
                f"a chart is at most {LARGEST_SIDE:,} wide.",
                too_long.span,
                Hint(f"{width} is stated here", stated),
                "divide a larger work into several charts",
            )
        )
        return
    common, times = widths.most_common(1)[0] if widths else (width, 0)
    if common != width and times == len(rows) and times > 1:
        found.append(
            finding(
                "width-differs",
                f"The rows of {what} are {common} wide, but {width} is stated.",
                stated,
                Hint("the first row", rows[0].span),
                f"put the size right: `{common} x {height}`",
            )
        )
    else:
        _check_widths(rows, width, stated, what, found)
    if len(rows) != height:
        rows_word = "row" if len(rows) == 1 else "rows"
        place = [Hint("the last row", rows[-1].span)] if rows else []
        found.append(
            finding(
                "row-count",
                f"The {what} has {len(rows)} {rows_word}, but {height} are stated.",
                stated,
                *place,
                "put the size right, or look for a missing or extra row",
            )
        )


def _check_widths(
    rows: Sequence[Row], width: int, stated: Span, what: str, found: list[Diagnostic]
) -> None:
    ragged = [(index, row) for index, row in enumerate(rows, 1) if len(row.cells) != width]
    for index, row in ragged[:MOST_RAGGED]:
        found.append(
            finding(
                "ragged-row",
                f"Row {index} of {what} is {len(row.cells)} wide, but {width} is stated.",
                row.span,
                Hint(f"{width} is stated here", stated),
                _apart(len(row.cells), width),
            )
        )
    if len(ragged) > MOST_RAGGED:
        more = len(ragged) - MOST_RAGGED
        found.append(
            finding(
                "ragged-row",
                f"{more} more rows of {what} are not {width} wide.",
                ragged[MOST_RAGGED][1].span,
                "put the first ones right, or the size",
            )
        )


def _apart(length: int, width: int) -> str:
    """Return what to do about a row of another length."""
    many = abs(length - width)
    cells = "one cell" if many == 1 else f"{many} cells"
    return f"take {cells} out" if length > width else f"add {cells}; `.` is bare fabric"
