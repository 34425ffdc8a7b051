"""Motifs: grids of rows with a stated size, and their own lines and knots."""

from __future__ import annotations

from collections.abc import Sequence

from ..core.diagnostics import Diagnostic, finding
from ..core.model import Knot, Line, Motif
from ..syntax.nodes import Block, Member, MotifHead, ShapeLine
from ..syntax.phrases import Row
from .amounts import whole
from .gridrows import check_rows
from .keylines import check_name
from .placed import strands_of
from .settings import MOST_OVER, number_in, options_by_word, point, size_of, symmetry_in


def shape(line: ShapeLine, found: list[Diagnostic]) -> Line | Knot | None:
    """Return a line or knots through points."""
    points = [point(each, found) for each in line.points]
    kept = tuple(each for each in points if each is not None)
    if len(kept) < len(points):
        return None
    if line.word.text == "line":
        if len(kept) < 2:
            found.append(
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
    members: Sequence[Member], found: list[Diagnostic]
) -> tuple[tuple[Line, ...], tuple[Knot, ...]]:
    """Return the lines and the knots among the lines of a block."""
    made = [shape(member, found) for member in members if isinstance(member, ShapeLine)]
    return (
        tuple(each for each in made if isinstance(each, Line)),
        tuple(each for each in made if isinstance(each, Knot)),
    )


def resolve_motif(block: Block, head: MotifHead, found: list[Diagnostic]) -> Motif:
    """Return the motif of a `motif` block as far as it could be read."""
    check_name(head.name, found)
    options = options_by_word(head.options, found)
    size = size_of(head.size, "a motif", found)
    over_number = number_in(options.get("over"))
    over = whole(over_number, "`over`", 1, MOST_OVER, found) if over_number else None
    strands = strands_of(options, found)
    if strands is not None and over_number is None:
        found.append(
            finding(
                "strands-without-over",
                "The strands of a motif go with the threads that its crosses span, and those are "
                "not stated.",
                options["strands"].span,
                f"add `over 1`, or say `over 1 strands {strands}` where the motif is placed",
            )
        )
    rows = [member for member in block.members if isinstance(member, Row)]
    if size is not None and not block.broken:
        check_rows(rows, size, head.size.span, f"motif `{head.name.text}`", found)
    lines, knots = shapes(block.members, found)
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
