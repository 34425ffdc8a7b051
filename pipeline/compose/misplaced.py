"""What went wrong in placing: noted while laying, then told in words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.items import Alphabet, Border, Item, Knot, Lettering, Line, Placement
from ..core.model import Design
from ..core.source import Span
from .border import Mends, Remainder
from .keytext import free_symbol, key_line, part_text
from .lettering import MissingLetters, set_text
from .stamp import MissingTurn

Mask = NDArray[np.bool_]
Whole = NDArray[np.int64]


@dataclass(frozen=True)
class GridCorner:
    """Where row 0, column 0 of some cells lies, and their side, in crosses of the chart."""

    x: float
    y: float
    cell: float

    def place(self, row: int, column: int) -> tuple[float, float]:
        """Return the top left corner of a cell."""
        return self.x + column * self.cell, self.y + row * self.cell


@dataclass
class Meeting:
    """Stitches of one item on stitches of another: how many of the later one, and the first."""

    first: tuple[float, float]
    count: int


@dataclass
class Beyond:
    """What of one item lies outside the chart, and the first such place."""

    first: tuple[float, float]
    cells: int = 0
    lines: int = 0
    knots: int = 0


@dataclass
class Meetings:
    """All notes of one composition. Items are numbered as the caller likes.

    overlaps: (later item, earlier item) -> where they meet. cut: the same for pieces that a
    cleared rectangle would cut through. severed: item -> counted stitches of a part of a motif that
    reach beyond it. outside: item -> what lies outside the chart.
    """

    overlaps: dict[tuple[int, int], Meeting] = field(default_factory=dict)
    cut: dict[tuple[int, int], Meeting] = field(default_factory=dict)
    severed: dict[int, Meeting] = field(default_factory=dict)
    outside: dict[int, Beyond] = field(default_factory=dict)

    def beyond(self, item: int, place: tuple[float, float]) -> Beyond:
        """Return the note on what of an item lies outside, begun here if it is the first."""
        return self.outside.setdefault(item, Beyond(place))

    def cells_beyond(
        self, item: int, mask: Mask, inside: tuple[slice, slice], frame: GridCorner
    ) -> bool:
        """Note the cells that lie outside a part of a mask, and tell whether there are any."""
        outside = mask.copy()
        outside[inside] = False
        count = int(np.count_nonzero(outside))
        if count:
            row, column = np.argwhere(outside)[0].tolist()
            self.beyond(item, frame.place(row, column)).cells += count
        return bool(count)


def note(
    notes: dict[tuple[int, int], Meeting],
    item: int,
    earlier: Whole,
    cells: tuple[Whole, Whole],
    frame: GridCorner,
) -> None:
    """Enter where an item meets earlier ones.

    earlier: the item met in each of the cells (rows, columns). A cell may be named several
    times for one item and is counted once.
    """
    met = np.unique(np.stack([earlier, *cells], axis=1), axis=0)
    others, starts, counts = np.unique(met[:, 0], return_index=True, return_counts=True)
    for other, start, count in zip(others.tolist(), starts.tolist(), counts.tolist(), strict=True):
        place = frame.place(int(met[start, 1]), int(met[start, 2]))
        meeting = notes.setdefault((item, other), Meeting(place, 0))
        meeting.first = min(meeting.first, place, key=lambda at: at[::-1])
        meeting.count += count


def looked_up(numbers: NDArray[np.int32], items: list[int]) -> Whole:
    """Return the item of each number, without turning the whole list into an array."""
    unique, inverse = np.unique(numbers, return_inverse=True)
    values = np.array([items[number] for number in unique.tolist()], dtype=np.int64)
    return values[inverse]


GRID = -1  # the item number of the whole-chart grid
MOST_LETTERS = 12  # named one by one


def source_of(design: Design, item: int) -> Item | None:
    """Return the item of the chart that has a number, None for the grid, which is none."""
    return None if item == GRID else design.chart.items[item]


def item_name(design: Design, item: int) -> str:
    """Return how an item of the chart is called in a finding."""
    source = source_of(design, item)
    if source is None:
        return f"{design.chart.called}'s own grid"
    if isinstance(source, Placement):
        return f"`{source.motif}`"
    if isinstance(source, Border):
        return f"the border of `{source.repeat}`"
    if isinstance(source, Lettering):
        text = " / ".join(source.lines)
        return f"the text “{text if len(text) <= 24 else text[:23] + '…'}”"
    return f"the {'line' if isinstance(source, Line) else source.word} `{source.symbol}`"


def item_span(design: Design, item: int) -> Span | None:
    """Return the place of an item of the chart."""
    source = source_of(design, item)
    return design.chart.span if source is None else source.span


def overlap(design: Design, item: int, other: int, meeting: Meeting) -> Diagnostic:
    """Tell of stitches on stitches where nothing says that they may."""
    first = place(meeting.first)
    where = (
        f"{counted(meeting.count, 'stitch')}, the first at {first}"
        if meeting.count > 1
        else f"one stitch, at {first}"
    )
    name, span = item_name(design, item), item_span(design, item)
    if item == other:
        message = sentence(f"{name} lies on itself with {where}")
        return finding("overlap", message, span, _apart(source_of(design, item)))
    return finding(
        "overlap",
        sentence(f"{name} lies on {item_name(design, other)} with {where}"),
        span,
        Hint(f"{item_name(design, other)} is placed here", item_span(design, other)),
        *_widths(design, item),
        "move one of them; if it is meant to cover, say `replacing` or `clearing`",
    )


def _apart(source: Item | None) -> str:
    """Return what to do where something lies on itself; source: None for the grid."""
    match source:
        case Border():
            return "give it a larger corner"
        case Placement(across=1, down=1) | None:
            return (
                "one sign is one whole counted stitch, which takes its threads from the sign on: "
                "leave the other cells that they cover bare (`.`)"
            )
        case Placement() | Lettering() | Line() | Knot():
            return "set its copies further apart"


def severed(design: Design, meetings: Mapping[int, Meeting]) -> Iterator[Diagnostic]:
    """Tell of motifs that are cut where their counted stitches take more than their signs."""
    by_line: dict[Span | None, list[tuple[int, Meeting]]] = {}
    for item, meeting in meetings.items():
        by_line.setdefault(item_span(design, item), []).append((item, meeting))
    for span, some in by_line.items():
        count = sum(meeting.count for _, meeting in some)
        first = place(min((meeting.first for _, meeting in some), key=lambda at: at[::-1]))
        where = (
            f"{count} counted stitches, the first at {first}"
            if count > 1
            else f"a counted stitch, at {first}"
        )
        yield finding(
            "overlap",
            sentence(f"{item_name(design, some[0][0])} is cut through {where}"),
            span,
            "a stitch is worked whole or not at all: fill so many crosses that it comes out, begin "
            "at another side, or leave what is left over bare",
        )


MOST_LINES = 6  # of a text whose widths are told


def _widths(design: Design, item: int) -> Iterator[str]:
    """Tell how wide each line of a text is that leaves the chart, and what is too much of it."""
    text = source_of(design, item)
    if not isinstance(text, Lettering):
        return
    cell = (text.over or design.ground.fabric.over) / design.ground.fabric.over
    lines = zip(text.lines, set_text(text, design.alphabets), strict=True)
    for words, line in list(lines)[:MOST_LINES]:
        wide = line.width * cell
        more = wide - design.chart.width
        too_wide = f", {number(more)} too many for {design.chart.called}" if more > 0 else ""
        yield f"“{words}” is {number(wide)} crosses wide{too_wide}"


def cut_piece(design: Design, item: int, other: int, meeting: Meeting) -> Diagnostic:
    """Tell of a cleared rectangle that holds only a part of a piece."""
    other_name = item_name(design, other)
    return finding(
        "cut-piece",
        f"Clearing room for {item_name(design, item)} would cut through {other_name}, "
        f"first at {place(meeting.first)}.",
        item_span(design, item),
        Hint(f"{other_name} is placed here", item_span(design, other)),
        "a piece off the grid can only be cleared whole: move one of them",
    )


def outside(design: Design, item: int, beyond: Beyond) -> Diagnostic:
    """Tell of stitches, lines or knots that leave the chart."""
    chart = design.chart
    source = source_of(design, item)
    dot = source.word if isinstance(source, Knot) else "knot"
    kinds = ((beyond.cells, "stitch"), (beyond.lines, "line"), (beyond.knots, dot))
    what = " and ".join(counted(count, name) for count, name in kinds if count)
    several = beyond.cells + beyond.lines + beyond.knots > 1
    span = source.at_span if isinstance(source, Placement) else None
    return finding(
        "outside",
        sentence(
            f"{item_name(design, item)} leaves {chart.called} with {what}, "
            f"{'the first ' if several else ''}at {place(beyond.first)}"
        ),
        span or item_span(design, item),
        *_widths(design, item),
        Hint(f"{chart.called} is {chart.width} x {chart.height} crosses", chart.span),
        f"move it in, or make {chart.called} larger",
    )


def between_threads(design: Design, what: str, span: Span | None) -> Diagnostic:
    """Tell of a position or step that is not a whole number of fabric threads."""
    fabric = design.ground.fabric
    unit = "block" if fabric.block else "thread"
    advice = (
        f"one cross spans one {unit} here, so it has to be a whole number"
        if fabric.over == 1
        else f"one cross spans {fabric.over} {unit}s, so it has to be a multiple of "
        f"1/{fabric.over} ({number(1 / fabric.over)})"
    )
    return finding("between-threads", f"{what} falls inside a fabric {unit}.", span, advice)


def missing_turns(design: Design, missing: Mapping[int, Iterable[MissingTurn]]) -> list[Diagnostic]:
    """Tell of part stitches whose turned form the key lacks. missing: item -> what it needs."""
    key = design.key
    findings: list[Diagnostic] = []
    offered: dict[tuple[str, ...], str] = {}
    for item, each_missing in missing.items():
        for each in dict.fromkeys(each_missing):
            entry = key[each.index - 1]
            texts = tuple(part_text(part) for part in each.parts)
            if texts not in offered:
                offered[texts] = free_symbol(entry.symbol, key, offered.values())
            findings.append(
                finding(
                    "turned-stitch",
                    f"Turned or mirrored, the `{entry.symbol}` of {item_name(design, item)} "
                    f"becomes `{' + '.join(texts)}`, for which the key has no line.",
                    item_span(design, item),
                    f"add to the key: {key_line(offered[texts], each.parts)}",
                    Hint(f"`{entry.symbol}` is here", entry.span),
                )
            )
    return findings


def remainder(design: Design, border: Border, left_over: Remainder, near: Mends) -> Diagnostic:
    """Tell of a border whose repeat does not divide a side, and of what would make it."""
    over = design.ground.fabric.over
    way, size = ("across", "wide") if left_over.across else ("down", "high")
    if left_over.room < left_over.lone:
        message = f"The corners and the inset of the border leave no room {way}."
    else:
        message = (
            f"The border does not divide {way}: between the corners lie "
            f"{number(left_over.room / over)} crosses, the repeat `{border.repeat}` takes "
            f"{number(left_over.length / over)}, and {number(left_over.left / over)} would be "
            "left over."
        )
    fits = " or ".join(str(each) for each in near.sizes)
    what = "a chart" if border.box is None else "an area"
    none = "of a size near this one would fit: change the repeat or the corner"
    hints = [
        f"{what} {fits} crosses {size} would fit"
        if fits
        else f"no {what.rsplit(maxsplit=1)[-1]} {none}"
    ]
    word = "inset" if border.gap is None else "gap"
    if near.insets:
        hints.append("so would " + " or ".join(f"`{word} {each}`" for each in near.insets))
    if design.version > 1:
        hints += _newer_mends(border, near)
    return finding("border-remainder", message, border.span, *hints)


def _newer_mends(border: Border, near: Mends) -> Iterator[str]:
    """Give the mends that take words of `linen 2`."""
    if near.centre:
        yield f"so would a motif {near.centre} wide, put in the middle with `centre`"
    if near.join:
        yield f"so would a motif {near.join} wide, put at the end of each side with `join`"
    if near.halves and not border.from_middle:
        yield "or mirror each side, `from middle`, and let it end at the corners as it falls"


def missing_letters(
    lettering: Lettering, alphabet: Alphabet, missing: MissingLetters, span: Span | None
) -> Diagnostic:
    """Tell of characters that the alphabet does not hold."""
    lacking = list(dict.fromkeys(missing.characters))
    others = [each.swapcase() for each in lacking if each.swapcase() in alphabet.letters]
    hints: list[Hint | str] = [f"it does have {_listed(others)}"] if others else []
    return finding(
        "missing-letter",
        f"The alphabet `{alphabet.name}` has no letter{'s' * (len(lacking) > 1)} "
        f"{_listed(lacking)}.",
        span or lettering.span,
        *hints,
        Hint("the alphabet", alphabet.span),
        "chart the letter there, or choose another text",
    )


def _listed(letters: list[str]) -> str:
    shown = ", ".join(f"`{letter}`" for letter in letters[:MOST_LETTERS])
    return f"{shown} and more" if len(letters) > MOST_LETTERS else shown


def sentence(text: str) -> str:
    """Return words as a sentence."""
    return f"{text[:1].upper()}{text[1:]}."


def number(value: float) -> str:
    """Return a number of crosses without a needless fraction."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def place(point: tuple[float, float]) -> str:
    """Return a position as it stands in a source."""
    return f"{number(point[0])},{number(point[1])}"


def squares(box: tuple[float, float, float, float]) -> str:
    """Return the columns and rows that an area lies in as the booklet counts them, from 1."""
    stretches = []
    for what, start, end in (("column", box[0], box[2]), ("row", box[1], box[3])):
        first, last = math.floor(start) + 1, max(math.ceil(end), math.floor(start) + 1)
        stretches.append(f"{what} {first}" if first == last else f"{what}s {first} to {last}")
    return ", ".join(stretches)


def counted(count: int, name: str) -> str:
    """Return a count with its noun."""
    plural = f"{name}es" if name.endswith("ch") else f"{name}s"
    return f"{count} {name if count == 1 else plural}"
