"""Motifs: grids of rows held to the size stated for them, and their own lines and knots."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.model import BARE, Knot, Line, Motif
from ..core.source import Span
from ..syntax.cutting import stated as version_of
from ..syntax.nodes import Block, Member, MotifHead, ShapeLine
from ..syntax.phrases import Row
from .keylines import check_name
from .placed import strands_of
from .settings import (
    LARGEST_SIDE,
    MOST_OVER,
    number_in,
    options_by_word,
    point,
    size_of,
    symmetry_in,
    whole,
)

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
        _check_widths(rows, width, stated, what, findings)
    if len(rows) != height:
        rows_word = "row" if len(rows) == 1 else "rows"
        place = [Hint("the last row", rows[-1].span)] if rows else []
        findings.append(
            finding(
                "row-count",
                f"The {what} has {len(rows)} {rows_word}, but {height} are stated.",
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
    return Knot(line.symbol.text, kept, line.span)


def shapes(
    members: Sequence[Member], findings: list[Diagnostic]
) -> tuple[tuple[Line, ...], tuple[Knot, ...]]:
    """Return the lines and the knots among the lines of a block."""
    made = [shape(member, findings) for member in members if isinstance(member, ShapeLine)]
    return (
        tuple(each for each in made if isinstance(each, Line)),
        tuple(each for each in made if isinstance(each, Knot)),
    )


def resolve_motif(block: Block, head: MotifHead, findings: list[Diagnostic]) -> Motif:
    """Return the motif of a `motif` block as far as it could be read."""
    check_name(head.name, findings)
    options = options_by_word(head.options, findings)
    size = size_of(head.size, "a motif", findings)
    over_number = number_in(options.get("over"))
    over = whole(over_number, "`over`", 1, MOST_OVER, findings) if over_number else None
    strands = strands_of(options, findings)
    if strands is not None and over_number is None:
        findings.append(
            finding(
                "strands-without-over",
                "This motif gives strands, but not how many threads its crosses go over.",
                options["strands"].span,
                f"add `over 1`, or say `over 1 strands {strands}` where the motif is placed",
            )
        )
    rows = [member for member in block.members if isinstance(member, Row)]
    lines, knots = shapes(block.members, findings)
    if size is not None and not rows and (lines or knots) and version_of(head.span.source) > 1:
        rows = bare_rows(*size, head.size.span)
    if size is not None and not block.broken:
        check_rows(rows, size, head.size.span, f"motif `{head.name.text}`", findings)
    return Motif(
        head.name.text,
        *(size or (0, 0)),
        tuple(row.cells for row in rows),
        lines,
        knots,
        over,
        strands,
        symmetry_in(options.get("symmetric")),
        tuple(row.span for row in rows),
        head.name.span,
    )
