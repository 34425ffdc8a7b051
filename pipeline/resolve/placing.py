"""The chart block: its size and rows, and every item placed in it, in order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.items import Anchor, Border, Item, Knot, Line, Mirror, Placement
from ..core.model import Chart, Threads, Withdrawal
from ..core.source import Span
from ..syntax.nodes import (
    Block,
    BorderLine,
    ChartHead,
    LetteringLine,
    Member,
    MotifHead,
    PlaceLine,
    PlacementLine,
    ShapeLine,
    WithdrawnLine,
)
from ..syntax.phrases import Option, Position, Row, Word
from .drafts import Draft
from .inscriptions import lettering
from .layout import Layout
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
from .rows import check_size, shape
from .settings import (
    LARGEST_SIDE,
    MOST_FINDINGS,
    MOST_POINTS,
    MOST_WITHDRAWN,
    at_most,
    number_in,
    options_by_word,
    point,
    real,
    size_of,
    symmetry_in,
    whole,
)

_TURNS = {"right": 1, "half": 2, "left": 3}


def resolve_chart(
    block: Block, head: ChartHead | None, names: Names, findings: list[Diagnostic]
) -> tuple[Chart, Layout]:
    """Return the chart of a `chart` block as far as it could be read, and what is placed in it."""
    options = options_by_word(head.options, findings) if head else {}
    size = size_of(head.size, "a chart", findings) if head else None
    rows = [member for member in block.members if isinstance(member, Row)]
    if head and size and rows and not block.broken:
        check_size(rows, size, head.size, ("chart", "chart"), findings)
    items, withdrawals, layout = read_things(block, names, findings)
    chart = Chart(
        *(size or (0, 0)),
        tuple(row.cells for row in rows),
        items,
        symmetry_in(options.get("symmetric")),
        tuple(row.span for row in rows),
        block.span,
        withdrawals,
        layout.things(),
    )
    return chart, layout


def check_cut_short(chart: Block, blocks: Sequence[Block], findings: list[Diagnostic]) -> None:
    """Tell of a chart with nothing on it, where a motif that follows places something."""
    following = blocks[blocks.index(chart) + 1 :][:1]
    if chart.head is None or chart.members or chart.broken:
        return
    for block in following:
        placed = [each for each in block.members if not isinstance(each, Row | ShapeLine)]
        if isinstance(block.head, MotifHead) and placed and placed[0].span is not None:
            findings.append(
                finding(
                    "chart-cut-short",
                    "The chart has nothing on it: this line stands below the motif "
                    f"`{block.head.name.text}`.",
                    placed[0].span,
                    Hint("the chart begins here", chart.span),
                    Hint("and the motif here", block.head.name.span),
                    "draw motifs above `chart`: its lines end where the next block begins",
                )
            )


def read_things(
    block: Block, names: Names, findings: list[Diagnostic]
) -> tuple[tuple[Item, ...], tuple[Withdrawal, ...], Layout]:
    """Return what the lines of a chart or a motif place, in order."""
    items: list[Item] = []
    withdrawals: list[Withdrawal] = []
    withdrawn = [member for member in block.members if isinstance(member, WithdrawnLine)]
    at_most(MOST_WITHDRAWN, "lines of `withdrawn`", withdrawn, findings)
    layout = Layout(findings, [word for broken in block.broken for word in broken.words])
    for member in block.members:
        if len(findings) >= MOST_FINDINGS:
            break
        if isinstance(member, Row):
            continue
        draft = layout.begin(member)
        draft.first = len(items)
        items.extend(_items(member, names, draft, findings))
        draft.last = len(items)
        stated = _withdrawal(member, findings) if isinstance(member, WithdrawnLine) else None
        if stated is not None:
            draft.withdrawal = len(withdrawals)
            withdrawals.append(stated)
    return tuple(items), tuple(withdrawals), layout


def _items(line: Member, names: Names, draft: Draft, findings: list[Diagnostic]) -> Sequence[Item]:
    """Return what a line of the chart places; nothing where it is at fault."""
    item: Item | None = None
    if isinstance(line, ShapeLine):
        item = shape(line, findings)
    elif isinstance(line, PlacementLine):
        return _placements(line, names, draft, findings)
    elif isinstance(line, BorderLine):
        item = _border(line, names, draft, findings)
    elif isinstance(line, LetteringLine):
        item = lettering(line, names, draft, findings)
    elif isinstance(line, PlaceLine):
        _bare_place(line, draft, findings)
    return () if item is None else (item,)


def _bare_place(line: PlaceLine, draft: Draft, findings: list[Diagnostic]) -> None:
    """Read how large a place is, and where it stands if it states a position."""
    if line.size is not None:
        sides = [
            real(side, f"The {way} of a place", 0, LARGEST_SIDE, findings)
            for way, side in (("width", line.size.width), ("height", line.size.height))
        ]
        draft.size = sides[0] or 0.0, sides[1] or 0.0
    if "at" not in draft.options and not draft.needs_at:
        return
    at = place_of(draft.options, line.name.span, "at 20,14", findings)
    if at is not None:
        right, down = _anchor(draft.options["at"]).share
        draft.at = at[0] - right * draft.size[0], at[1] - down * draft.size[1]


def _withdrawal(line: WithdrawnLine, findings: list[Diagnostic]) -> Withdrawal | None:
    start, end = point(line.start, findings), point(line.end, findings)
    if start is None or end is None:
        return None
    x0, x1 = sorted((start[0], end[0]))
    y0, y1 = sorted((start[1], end[1]))
    return Withdrawal(Threads(line.threads.text), x0, y0, x1, y1, line.span)


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


def _placements(
    line: PlacementLine, names: Names, draft: Draft, findings: list[Diagnostic]
) -> Sequence[Placement]:
    """Return a motif at each of its places."""
    before = len(findings)
    known_motif(line.motif, names, findings)
    options, swap = options_of(line.options, findings)
    draft.options = options
    places: list[tuple[float, float, Span | None]] = []
    if "at" in options:
        places += _places(options["at"], findings)
    elif draft.needs_at:
        place_of(options, line.motif.span, "at 20,14", findings)  # tells that there is none
    else:
        places.append((0.0, 0.0, None))
    across, down, step = repeats_of(line, options, findings)
    over = over_of(options, findings)
    strands = strands_of(options, findings)
    if len(findings) > before:
        return ()
    first = Placement(
        line.motif.text,
        places[0][0],
        places[0][1],
        _anchor(options.get("at")),
        _mirror(options.get("mirrored")),
        _turns(options.get("turned")),
        across,
        down,
        step,
        over,
        strands,
        cover_of(options),
        swap,
        span=line.span,
        name_span=line.motif.span,
        at_span=places[0][2],
    )
    return [first, *(replace(first, x=x, y=y, at_span=span) for x, y, span in places[1:])]


def _places(option: Option, findings: list[Diagnostic]) -> list[tuple[float, float, Span | None]]:
    stated = [value for value in option.values if isinstance(value, Position)]
    points = [(point(place, findings), place.span) for place in stated]
    return [(*at, span) for at, span in points if at is not None]


def _anchor(option: Option | None) -> Anchor:
    if option is None:
        return Anchor.TOP_LEFT
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


def _border(
    line: BorderLine, names: Names, draft: Draft, findings: list[Diagnostic]
) -> Border | None:
    before = len(findings)
    known_motif(line.repeat, names, findings)
    if line.corner is not None:
        known_motif(line.corner, names, findings)
    options, swap = options_of(line.options, findings)
    draft.options = options
    others = {word: _name_in(options.get(word)) for word in ("piece", "join")}
    for name in others.values():
        if name is not None:
            known_motif(name, names, findings)
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
    piece, join = others["piece"], others["join"]
    return Border(
        line.repeat.text,
        corner,
        inset,
        mirrored is not None,
        swap,
        line.span,
        centre=piece.text if piece else None,
        join=join.text if join else None,
        from_middle="from" in options,
        gap=int(draft.gap_round) if "round" in options else None,
    )


def _name_in(option: Option | None) -> Word | None:
    value = option.values[0] if option is not None else None
    return value if isinstance(value, Word) else None
