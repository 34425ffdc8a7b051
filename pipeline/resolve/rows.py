"""Rows held to the size stated for them, and lines and knots: what charts and motifs hold."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.items import BARE, Knot, Line
from ..core.source import Span
from ..syntax.nodes import Member, ShapeLine
from ..syntax.phrases import Extent, Row
from .settings import LARGEST_SIDE, point

MOST_RAGGED = 5  # rows of a wrong width shown one by one


def check_rows(
    rows: Sequence[Row], size: tuple[int, int], stated: Span, what: str, findings: list[Diagnostic]
) -> None:
    """Hold rows to the size stated for them."""
    width, height = size
    widths = Counter(len(row.cells) for row in rows)
    too_long = next((row for row in rows if len(row.cells) > LARGEST_SIDE), None)
    if too_long is not None:
        findings.append(
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
        findings.append(
            finding(
                "width-differs",
                f"The rows of {what} are {common} wide, but {width} is stated.",
                stated,
                Hint("the first row", rows[0].span),
                f"correct the size: `{common} x {height}`",
            )
        )
    else:
        _check_widths(rows[:height], width, stated, what, findings)
    if len(rows) != height:
        rows_word = "row" if len(rows) == 1 else "rows"
        stated_word = "is" if height == 1 else "are"
        place = [Hint("the last row", rows[-1].span)] if rows else []
        beyond = {len(row.cells) for row in rows[height:]}
        if len(beyond) == 1 and width not in beyond:
            drawn = f"{beyond.pop()} x {len(rows) - height}"
            missing = f"a line such as `motif leaf {drawn}` may be missing above this row"
            place = [Hint(missing, rows[height].span)]
        findings.append(
            finding(
                "row-count",
                f"The {what} has {len(rows)} {rows_word}, but {height} {stated_word} stated.",
                stated,
                *place,
                "correct the size, or look for a missing or extra row",
            )
        )


def _check_widths(
    rows: Sequence[Row], width: int, stated: Span, what: str, findings: list[Diagnostic]
) -> None:
    ragged = [(index, row) for index, row in enumerate(rows, 1) if len(row.cells) != width]
    for index, row in ragged[:MOST_RAGGED]:
        findings.append(
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
        findings.append(
            finding(
                "ragged-row",
                f"{more} more rows of {what} are not {width} wide.",
                ragged[MOST_RAGGED][1].span,
                "correct the first ones, or the size",
            )
        )


def _apart(length: int, width: int) -> str:
    """Return what to do about a row of another length."""
    many = abs(length - width)
    cells = "one cell" if many == 1 else f"{many} cells"
    return f"take {cells} out" if length > width else f"add {cells}; `.` is bare fabric"


def bare_rows(width: int, height: int, span: Span) -> list[Row]:
    """Return the rows of what is made of lines and points alone; span: where its size stands."""
    return [Row(BARE * width, span=span)] * height


def shapes(
    members: Sequence[Member], findings: list[Diagnostic]
) -> tuple[tuple[Line, ...], tuple[Knot, ...]]:
    """Return the lines and the knots among the lines of a block."""
    made = [shape(member, findings) for member in members if isinstance(member, ShapeLine)]
    return (
        tuple(each for each in made if isinstance(each, Line)),
        tuple(each for each in made if isinstance(each, Knot)),
    )


def shape(line: ShapeLine, findings: list[Diagnostic]) -> Line | Knot | None:
    """Return a line or knots through points."""
    points = [point(each, findings) for each in line.points]
    kept = tuple(each for each in points if each is not None)
    if len(kept) < len(points):
        return None
    if line.word.text == "line":
        if len(kept) < 2:
            findings.append(
                finding(
                    "too-few-points",
                    "A line needs two points or more.",
                    line.points[0].span,
                    f"write `line {line.symbol.text} 4,3 4,4`",
                )
            )
            return None
        return Line(line.symbol.text, kept, line.span)
    return Knot(line.symbol.text, kept, line.span, line.word.text)


def check_size(
    rows: Sequence[Row],
    size: tuple[int, int],
    stated: Extent,
    what: tuple[str, str],
    findings: list[Diagnostic],
) -> None:
    """Hold rows to a size, which has to be stated whole.

    what: the word that begins the block, and how it is called.
    """
    if all(size) or not rows:
        check_rows(rows, size, stated.span, what[1], findings)
        return
    findings.append(
        finding(
            "size-of-grid",
            f"A {what[0].partition(' ')[0]} with rows of its own says how wide and how high it is.",
            stated.span,
            f"write `{what[0]} {len(rows[0].cells)} x {len(rows)}`",
        )
    )
