"""What went wrong in reckoning out where things stand, told in words. Lengths are in threads."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.items import Lettering
from ..core.model import Design
from ..core.places import Bound, Fill, Half, Sort
from ..core.source import Span
from ..resolve.settings import LARGEST_AREA, LARGEST_SIDE
from .filling import fitting
from .lettering import set_text
from .misplaced import item_name, number, sentence
from .positions import threads

OffMiddle = Mapping[int, tuple[Half, str]]  # see `arrange`


def called(design: Design, at: int) -> str:
    """Return how a thing is called in a finding."""
    thing = design.chart.things[at]
    if thing.name:
        return f"`{thing.name}`"
    if thing.sort is Sort.BAND:
        what = "the band"
    elif thing.withdrawal is not None:
        what = "what is withdrawn"
    else:
        what = item_name(design, thing.first)
    return f"{what} on line {thing.span.line}" if thing.span is not None else what


def ring_of_places(
    design: Design, numbers: Sequence[int], bounds: Sequence[Bound | None]
) -> Diagnostic:
    """Tell of things that hang on each other in a ring. bounds: how each thing hangs that way."""

    def place(at: int) -> Span | None:
        bound = bounds[at]
        return design.chart.things[at].span if bound is None else bound.span

    first, *others = numbers
    names = [called(design, at) for at in numbers]
    if others:
        steps = ", and that ".join(f"on {name}" for name in (*names[1:6], names[0]))
        message = f"The place of {names[0]} hangs {steps}"
    else:
        message = f"The place of {names[0]} hangs on itself"
    hints = [Hint(f"{called(design, at)} is placed here", place(at)) for at in others[:5]]
    advice = "give one of them a position of its own, or let it hang on something else"
    return finding("ring-of-places", f"{message}.", place(first), *hints, advice)


def no_room_to_fill(design: Design, way: int, at: int, room: int, length: int) -> Diagnostic:
    """Tell of a motif that does not go once into what it fills. way: across (0) or down (1)."""
    over = design.ground.fabric.over
    which = "wide" if way == 0 else "high"
    room_, length_ = (number(each / over) for each in (max(0, room), length))
    message = (
        f"{called(design, at)} is {length_} {which}; it does not go even once into {room_} crosses"
    )
    thing = design.chart.things[at]
    span = thing.fill.span if thing.fill is not None else thing.span
    advice = "make room for it, or place it once, at a position"
    return finding("no-room-to-fill", sentence(message), span, advice)


def fill_remainder(
    design: Design, way: int, at: int, fill: Fill, room: int, length: int
) -> Diagnostic:
    """Tell of a repeat that does not come out, and of what would."""
    over = design.ground.fabric.over
    which, size = ("across", "wide") if way == 0 else ("down", "high")
    count, left = divmod(room, length)
    message = (
        f"{called(design, at)} does not fill {number(room / over)} crosses {which}: it goes in "
        f"{count} times, {number(length / over)} {size} each, and {number(left / over)} are "
        "left over"
    )
    hints = []
    if not any(each % over for each in (room, length)):
        whole = room // over + 2 * fill.inset
        near = fitting(whole, length // over, fill.inset)
        hints.append(f"a stretch {_either(near.rooms)} {size} would fit")
        if near.insets:
            hints.append(f"so would `inset {_either(near.insets, '` or `inset ')}`")
        if near.lengths:
            hints.append(f"so would a repeat {_either(near.lengths)} {size}")
    begin = "left" if way == 0 else "top"
    hints.append(
        f"or say where it begins and what is left bare, `from middle` or `from {begin}`, or "
        "`cut` for it to end as it falls"
    )
    return finding("fill-remainder", sentence(message), fill.span, *hints)


def _either(numbers: Sequence[int], between: str = " or ") -> str:
    return between.join(map(str, numbers))


def halves(design: Design, across: OffMiddle, down: OffMiddle) -> Iterator[Diagnostic]:
    """Tell of things whose middle fell between two crosses, where no side is stated."""
    words = (across, "to the left", "left", "right"), (down, "up", "up", "down")
    for at, thing in enumerate(design.chart.things):
        sides = [
            (off[at][1], *rest) for off, *rest in words if at in off and off[at][0] is Half.UNSAID
        ]
        if not sides:
            continue
        went = " and ".join(f"half a {unit} {where}" for unit, where, _, _ in sides)
        one, other = (" ".join(side[at] for side in sides) for at in (2, 3))
        bound = thing.across if at in across else thing.down
        message = f"{called(design, at)} cannot stand right in the middle: it went {went}"
        yield finding(
            "off-middle",
            sentence(message),
            bound.span if bound is not None else thing.span,
            f"say which way it is to go: `centred {one}` or `centred {other}`",
        )


def halves_of_lines(design: Design) -> Iterator[Diagnostic]:
    """Tell of lines of text that cannot stand in the middle of their text or position."""
    for thing in design.chart.things:
        hangs = thing.across is not None and not thing.across.edge.counts
        for item in design.chart.items[thing.first : thing.last]:
            if isinstance(item, Lettering) and item.centred and item.half is Half.UNSAID:
                yield from _halves_of(design, item, hangs=hangs)


def _halves_of(design: Design, item: Lettering, *, hangs: bool) -> Iterator[Diagnostic]:
    over = design.ground.fabric.over
    cell = item.over or over
    widths = [line.width for line in set_text(item, design.alphabets)]
    middle = max(widths, default=0) * cell if hangs else threads(item.x, 2 * over)
    if middle is None:
        return
    unit = 2 * cell if hangs or middle % (2 * cell) == 0 else 2
    off = [at for at, width in enumerate(widths) if (middle - width * cell) % unit]
    if not off:
        return
    lines = ", ".join(f"“{item.lines[at]}” is {widths[at]} wide" for at in off[:5])
    yield finding(
        "off-middle",
        f"This stands half a cross to the left of the middle: {lines}.",
        item.line_spans[off[0]] if item.line_spans else item.span,
        "say which way it is to go: `centred left` or `centred right`",
    )


def wrong_size(design: Design) -> Iterator[Diagnostic]:
    """Tell of a chart that holds nothing, or is too large one way, once that is known."""
    chart = design.chart
    if not (0 < chart.width <= LARGEST_SIDE and 0 < chart.height <= LARGEST_SIDE):
        what = "chart" if chart.called == "the chart" else "motif"
        yield finding(
            "chart-size",
            f"{sentence(chart.called)[:-1]} is {chart.width} x {chart.height} crosses; "
            f"it can be at most {LARGEST_SIDE} each way.",
            chart.span,
            f"divide a larger {'work into several charts' if what == 'chart' else 'motif'}",
        )


def too_large(design: Design, width: int, height: int) -> Iterator[Diagnostic]:
    """Tell of a chart that is larger than charts can be, since it holds so much; in crosses."""
    if width * height > LARGEST_AREA:
        message = (
            f"{design.chart.called} comes to {width:,} x {height:,}, {width * height:,} crosses; "
            f"it has at most {LARGEST_AREA:,}"
        )
        advice = "look for a place far out, or divide the work into several charts"
        yield finding("too-many-crosses", sentence(message), design.chart.span, advice)
