"""The chart block: its size and rows, and every item placed in it, in order."""

from __future__ import annotations

from collections.abc import Sequence

from ..core.diagnostics import Diagnostic, finding
from ..core.model import (
    Anchor,
    Border,
    Chart,
    Item,
    Knot,
    Line,
    Mirror,
    Placement,
    Threads,
    Withdrawal,
)
from ..syntax.nodes import (
    Block,
    BorderLine,
    ChartHead,
    LetteringLine,
    PlacementLine,
    ShapeLine,
    WithdrawnLine,
)
from ..syntax.phrases import Option, Row, Word
from .inscriptions import lettering
from .motifs import check_rows, shape
from .placed import (
    Names,
    cover_of,
    known_motif,
    options_of,
    over_of,
    place_of,
    repeats_of,
    strands_of,
)
from .settings import (
    LARGEST_SIDE,
    MOST_FINDINGS,
    MOST_POINTS,
    MOST_WITHDRAWN,
    at_most,
    number_in,
    options_by_word,
    point,
    size_of,
    symmetry_in,
    whole,
)

_TURNS = {"right": 1, "half": 2, "left": 3}


def resolve_chart(
    block: Block, head: ChartHead | None, names: Names, findings: list[Diagnostic]
) -> Chart:
    """Return the chart of a `chart` block as far as it could be read."""
    options = options_by_word(head.options, findings) if head else {}
    size = size_of(head.size, "a chart", findings) if head else None
    rows = [member for member in block.members if isinstance(member, Row)]
    if head and size and rows and not block.broken:
        check_rows(rows, size, head.size.span, "chart", findings)
    items: list[Item] = []
    for member in block.members:
        if len(findings) >= MOST_FINDINGS:
            break
        item: Item | None = None
        if isinstance(member, ShapeLine):
            item = shape(member, findings)
        elif isinstance(member, PlacementLine):
            item = _placement(member, names, findings)
        elif isinstance(member, BorderLine):
            item = _border(member, names, findings)
        elif isinstance(member, LetteringLine):
            item = lettering(member, names, findings)
        if item is not None:
            items.append(item)
    return Chart(
        *(size or (0, 0)),
        tuple(row.cells for row in rows),
        tuple(items),
        symmetry_in(options.get("symmetric")),
        tuple(row.span for row in rows),
        block.span,
        _withdrawals(block, findings),
    )


def _withdrawals(block: Block, findings: list[Diagnostic]) -> tuple[Withdrawal, ...]:
    lines = [member for member in block.members if isinstance(member, WithdrawnLine)]
    withdrawals = []
    for line in at_most(MOST_WITHDRAWN, "lines of `withdrawn`", lines, findings):
        start, end = point(line.start, findings), point(line.end, findings)
        if start is not None and end is not None:
            x0, x1 = sorted((start[0], end[0]))
            y0, y1 = sorted((start[1], end[1]))
            threads = Threads(line.threads.text)
            withdrawals.append(Withdrawal(threads, x0, y0, x1, y1, line.span))
    return tuple(withdrawals)


def check_points(shapes: Sequence[Line | Knot], findings: list[Diagnostic]) -> None:
    """Tell of more points than are drawn, in the chart and in its motifs, placed or not."""
    points = 0
    for each in shapes:
        points += len(each.points)
        if points > MOST_POINTS:
            findings.append(
                finding(
                    "too-many-points",
                    f"With this line there are more than {MOST_POINTS:,} points of lines, knots "
                    "and beads.",
                    each.span,
                    "draw fewer outlines, or divide the work into several charts",
                )
            )
            return


def _placement(line: PlacementLine, names: Names, findings: list[Diagnostic]) -> Placement | None:
    before = len(findings)
    known_motif(line.motif, names, findings)
    options, swap = options_of(line.options, findings)
    at = place_of(options, line.motif.span, "at 20,14", findings)
    across, down, step = repeats_of(line, options, findings)
    over = over_of(options, findings)
    strands = strands_of(options, findings)
    if len(findings) > before or at is None:
        return None
    return Placement(
        line.motif.text,
        at[0],
        at[1],
        _anchor(options["at"]),
        _mirror(options.get("mirrored")),
        _turns(options.get("turned")),
        across,
        down,
        step,
        over,
        strands,
        cover_of(options),
        swap,
        line.span,
        line.motif.span,
        at[2],
    )


def _anchor(option: Option) -> Anchor:
    first = option.values[0]
    return Anchor(first.text) if isinstance(first, Word) else Anchor.TOP_LEFT


def _mirror(option: Option | None) -> Mirror | None:
    if option is None:
        return None
    if option.values and isinstance(option.values[0], Word):
        return Mirror(option.values[0].text)
    return Mirror.LEFT_RIGHT


def _turns(option: Option | None) -> int:
    if option is None or not isinstance(option.values[0], Word):
        return 0
    return _TURNS[option.values[0].text]


def _border(line: BorderLine, names: Names, findings: list[Diagnostic]) -> Border | None:
    before = len(findings)
    known_motif(line.repeat, names, findings)
    if line.corner is not None:
        known_motif(line.corner, names, findings)
    options, swap = options_of(line.options, findings)
    number = number_in(options.get("inset"))
    inset = whole(number, "The inset", 0, LARGEST_SIDE, findings) if number else 0
    mirrored = options.get("mirrored")
    if mirrored is not None and mirrored.values:
        findings.append(
            finding(
                "too-many-words",
                "A mirrored border is mirrored both ways; nothing follows `mirrored`.",
                mirrored.span,
                "take what follows out",
            )
        )
    if len(findings) > before or inset is None:
        return None
    corner = line.corner.text if line.corner else None
    return Border(line.repeat.text, corner, inset, mirrored is not None, swap, line.span)
