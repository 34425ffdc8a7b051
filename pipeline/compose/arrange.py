"""Where everything comes to stand: places that hang on other things are reckoned out.

Each way is a graph of its own, since nothing across depends on anything down. What a thing hangs on
is settled before it; things that hang on each other in a ring have no place. All lengths here are
in fabric threads; what has no fraction of a thread stays exact.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import assert_never

from ..core.diagnostics import Diagnostic, Diagnostics, Hint, finding
from ..core.matter import Expectation, Note
from ..core.model import (
    Anchor,
    Border,
    Box,
    Design,
    Item,
    Knot,
    Lettering,
    Line,
    Placement,
    Withdrawal,
)
from ..core.places import CHART, Bound, Edge, Fill, Half, Sort, Thing, Tie
from ..core.source import Span
from ..resolve.settings import LARGEST_AREA
from ..stitches.turn import Turn
from .filling import Filled, Stretch, fill, fitting
from .lettering import line_start, set_text, text_height
from .misplaced import between_threads, item_name, number, sentence
from .positions import corner, threads

Reach = tuple[float, float]  # from, up to; along one way
MOST_RINGS = 20  # told of one chart


def arrange(design: Design) -> tuple[Design, Diagnostics]:
    """Return a design in which everything stands at a position of its own, and findings.

    Its things have their boxes. Where a finding is an error, its places mean nothing.
    """
    return _Arranger(design).run()


@dataclass
class _Way:
    """One way of the chart: across (0) or down (1).

    own: where each thing lies by its own positions. bounds: how each hangs on another. size: of
    the chart, 0 where it follows from what the chart holds. reach: where each thing came to lie.
    off_middle: things whose middle falls between two crosses or threads: which way they were to go,
    and of which of the two it is half a one.
    """

    index: int
    own: list[Reach]
    bounds: list[Bound | None]
    size: float
    reach: list[Reach]
    off_middle: dict[int, tuple[Half, str]]


class _Arranger:
    def __init__(self, design: Design) -> None:
        self.design = design
        self.chart = design.chart
        self.things = design.chart.things
        self.over = design.ground.fabric.over
        self.findings: list[Diagnostic] = []
        self.filled: dict[tuple[int, int], Filled] = {}
        self.rings: set[frozenset[int]] = set()
        bands = [at for at, thing in enumerate(self.things) if thing.sort is Sort.BAND]
        before: list[int | None] = [None, *bands]
        self.band_before = dict(zip(bands, before, strict=False))
        first = bands[0] if bands else 0
        # What the first band stands below.
        self.above = [at for at in range(first) if not self._is_border(self.things[at])]
        self.members: dict[int, list[int]] = {band: [] for band in bands}
        for at, thing in enumerate(self.things):
            if thing.band is not None:
                self.members[thing.band].append(at)

    def run(self) -> tuple[Design, Diagnostics]:
        boxes = [self._own_box(thing) for thing in self.things]
        sizes = (self.chart.width, self.chart.height)
        ways = []
        for index in (0, 1):
            own = [(box[index], box[index + 2]) for box in boxes]
            bounds = [(thing.across, thing.down)[index] for thing in self.things]
            way = _Way(index, own, bounds, sizes[index] * self.over, [*own], {})
            self._settle(way)
            ways.append(way)
        across, down = ways
        self._tell_halves(across, down)
        if self.design.version > 1:
            self._tell_lines()
        if self._is_too_large(across, down):
            return self.design, tuple(self.findings)
        return self._moved(across, down), tuple(self.findings)

    # --- how large things are ---

    def _own_box(self, thing: Thing) -> Box:
        """Return where a thing lies by its own positions."""
        if thing.sort is Sort.BAND:
            return 0.0, 0.0, 0.0, 0.0
        if thing.withdrawal is not None:
            stated = self.chart.withdrawals[thing.withdrawal]
            x0, y0, x1, y1 = (
                each * self.over for each in (stated.x0, stated.y0, stated.x1, stated.y1)
            )
            return x0, y0, x1, y1
        if thing.sort is Sort.PLACE:
            x, y, wide, high = (each * self.over for each in (*thing.at, *thing.size))
            return x, y, x + wide, y + high
        items = self.chart.items[thing.first : thing.last]
        boxes = [self._item_box(item) for item in items]
        if not boxes:
            return 0.0, 0.0, 0.0, 0.0
        lefts, tops, rights, bottoms = zip(*boxes, strict=True)
        return min(lefts), min(tops), max(rights), max(bottoms)

    def _item_box(self, item: Item) -> Box:
        if isinstance(item, Placement):
            return self._placement_box(item)
        if isinstance(item, Lettering):
            return self._text_box(item)
        if isinstance(item, Line | Knot):
            xs, ys = (
                [each * self.over for each in some] for some in zip(*item.points, strict=True)
            )
            return min(xs), min(ys), max(xs), max(ys)
        return 0.0, 0.0, 0.0, 0.0  # a border is as large as what it runs round

    def _placement_box(self, item: Placement) -> Box:
        motif = self.design.motifs[item.motif]
        cell = item.over or motif.over or self.over
        width, height = motif.width * cell, motif.height * cell
        if Turn.of(item.mirror, item.turns).quarters % 2:
            width, height = height, width
        start = corner((item.x, item.y), item.anchor, (width, height), cell, self.over)
        x, y = start if start is not None else (item.x * self.over, item.y * self.over)
        far_x = (item.across - 1) * item.step[0] * self.over
        far_y = (item.down - 1) * item.step[1] * self.over
        return (
            x + min(0.0, far_x),
            y + min(0.0, far_y),
            x + max(0.0, far_x) + width,
            y + max(0.0, far_y) + height,
        )

    def _text_box(self, item: Lettering) -> Box:
        cell = item.over or self.over
        y = item.y * self.over
        if not item.lines:
            return item.x * self.over, y, item.x * self.over, y
        widths = [line.width * cell for line in set_text(item, self.design.alphabets)]
        starts = [line_start(item, width, cell, self.over) for width in widths]
        lefts = [item.x * self.over if start is None else start for start in starts]
        rights = [left + width for left, width in zip(lefts, widths, strict=True)]
        line_height = text_height(item, self.design.alphabets)
        height = (line_height + (line_height + item.leading) * (len(item.lines) - 1)) * cell
        return min(lefts), y, max(rights), y + height

    # --- one way ---

    def _settle(self, way: _Way) -> None:
        """Reckon out where all things lie along one way."""
        many = len(self.things)
        # Nodes: of each thing its beginning (2n) and the whole of it (2n + 1); last, the chart.
        needs: list[list[int]] = []
        for at in range(many):
            needs += self._needs(way, at)
        chart = len(needs)
        needs.append([])
        if not way.size:
            needs[chart] = self._needs_of_chart(needs)
        order, ring = _in_order(needs)
        for _ in range(MOST_RINGS):
            if not ring:
                break
            self._tell_ring(way, ring)
            for node in ring:
                needs[node] = []
            order, ring = _in_order(needs)
        for node in order:
            at, is_whole = divmod(node, 2)
            if node == chart:
                way.size = way.size or self._fitted(way, needs[chart])
            elif self.things[at].sort is Sort.BAND:
                self._settle_band(way, at, is_whole=bool(is_whole))
            elif is_whole:
                self._settle_thing(way, at)

    def _needs(self, way: _Way, at: int) -> tuple[list[int], list[int]]:
        """Return the nodes that the beginning of a thing hangs on, and those of the whole of it."""
        whole = 2 * at + 1
        chart = 2 * len(self.things)
        if self.things[at].sort is Sort.BAND:
            before = self.band_before.get(at)
            if way.index == 0:
                return [], [chart]
            above = self.above if before is None else [before]
            return [2 * each + 1 for each in above], [
                2 * at,
                *(2 * each + 1 for each in self.members[at]),
            ]
        return [whole], self._hangs_on(way, at)

    def _hangs_on(self, way: _Way, at: int) -> list[int]:
        """Return the node that a thing hangs on, if it hangs on any."""
        thing, bound = self.things[at], way.bounds[at]
        needs_end = True
        if self._is_border(thing):
            to = CHART if thing.ring is None else thing.ring.to
        elif thing.fill is not None and thing.fill.ways[way.index]:
            to = thing.fill.to
        elif bound is None:
            return []
        else:
            to, needs_end = bound.to, bound.edge.needs_end
        if to == CHART:
            return [2 * len(self.things)] if needs_end else []
        return [2 * to + needs_end]

    def _needs_of_chart(self, needs: Sequence[Sequence[int]]) -> list[int]:
        """Return the things that a chart has to hold: all that do not hang on its own size."""
        chart = len(needs) - 1
        hanging: list[list[int]] = [[] for _ in needs]
        for node, some in enumerate(needs):
            for each in some:
                hanging[each].append(node)
        on_chart = {chart}
        waiting = [chart]
        while waiting:
            more = [node for node in hanging[waiting.pop()] if node not in on_chart]
            on_chart.update(more)
            waiting += more
        return [
            2 * at + 1
            for at, thing in enumerate(self.things)
            if 2 * at + 1 not in on_chart and not self._is_border(thing)
        ]

    def _is_border(self, thing: Thing) -> bool:
        items = self.chart.items[thing.first : thing.last]
        return any(isinstance(item, Border) for item in items)

    def _fitted(self, way: _Way, held: Sequence[int]) -> float:
        """Return the size of a chart that is as large as what it holds."""
        ends = {node // 2: way.reach[node // 2][1] for node in held}
        for at, (low, high) in enumerate(way.own):
            if at not in ends and not self._is_border(self.things[at]):
                ends[at] = high - low  # it hangs on the chart, and has to fit at the least
        return float(math.ceil(max(ends.values(), default=0.0) / self.over) * self.over)

    def _settle_band(self, way: _Way, at: int, *, is_whole: bool) -> None:
        if way.index == 0:
            way.reach[at] = 0.0, way.size if is_whole else 0.0
            return
        if not is_whole:
            before = self.band_before[at]
            above = self.above if before is None else [before]
            top = max([0.0, *(way.reach[each][1] for each in above)])
            top += self._gap(self.things[at].gap, self.things[at].span)
            way.reach[at] = top, top
            return
        top = way.reach[at][0]
        way.reach[at] = top, max([top, *(way.reach[each][1] for each in self.members[at])])

    def _settle_border(self, way: _Way, at: int) -> None:
        thing = self.things[at]
        item = self.chart.items[thing.first]
        assert isinstance(item, Border)
        start, end = (0.0, way.size) if thing.ring is None else way.reach[thing.ring.to]
        inset = item.inset * self.over
        if thing.ring is not None and item.gap is not None:
            repeat = self.design.motifs[item.repeat]
            depth = repeat.height * (repeat.over or self.over)
            inset = -int(self._gap(thing.ring.gap, thing.ring.span)) - depth
        way.reach[at] = start + inset, end - inset

    def _settle_fill(self, way: _Way, at: int, fill_: Fill) -> None:
        low, high = way.own[at]
        start, end = (0.0, way.size) if fill_.to == CHART else way.reach[fill_.to]
        inset = fill_.inset * self.over
        first = int(start) + inset
        if fill_.to == CHART and (way.index == 0 or self.things[at].band is None):
            first = max(first, int(low))  # a position says where it begins
        last = int(end) - inset
        length = int(high - low)
        on_grid = not any(each % self.over for each in (first, last, length))
        made = fill(
            first,
            last,
            length,
            fill_.origin[way.index],
            cell=self._cell(self.things[at]),
            unit=self.over if on_grid else 1,
            cut=fill_.cut,
            half=fill_.half[way.index],
        )
        if made is None:
            self._tell_no_room(way, at, last - first, length)
            return
        if made.left and fill_.origin[way.index] is None:
            self._tell_remainder(way, at, fill_, last - first, length)
        if made.off:
            unit = "cross" if on_grid else "thread"
            way.off_middle[at] = fill_.half[way.index], unit
        self.filled[at, way.index] = made
        way.reach[at] = made.reach

    def _cell(self, thing: Thing) -> int:
        item = self.chart.items[thing.first]
        assert isinstance(item, Placement)  # only motifs fill anything
        return item.over or self.design.motifs[item.motif].over or self.over

    def _settle_thing(self, way: _Way, at: int) -> None:
        if self._is_border(self.things[at]):
            self._settle_border(way, at)
            return
        fill_ = self.things[at].fill
        if fill_ is not None and fill_.ways[way.index]:
            self._settle_fill(way, at, fill_)
            return
        bound = way.bounds[at]
        if bound is None:
            return
        low, high = way.own[at]
        start, end = (0.0, way.size) if bound.to == CHART else way.reach[bound.to]
        gap = self._gap(bound.gap, bound.span)
        match bound.edge:
            case Edge.FRAME:
                by = start
            case Edge.START:
                by = start + gap - low
            case Edge.END:
                by = end - gap - high
            case Edge.BEFORE:
                by = start - gap - high
            case Edge.AFTER:
                by = end + gap - low
            case Edge.MIDDLE:
                by = self._middle(way, at, (start, end), bound.half) - low
            case _:
                assert_never(bound.edge)
        way.reach[at] = low + by, high + by

    def _middle(self, way: _Way, at: int, room: Reach, half: Half) -> float:
        """Return where a thing begins that has its middle in the middle of some room.

        Where that falls inside a cross it goes to the next whole one; inside a thread, if the two
        lie off the grid of crosses.
        """
        length = way.own[at][1] - way.own[at][0]
        left = room[1] - room[0] - length
        on_grid = not any(each % self.over for each in (*room, length))
        unit = self.over if on_grid else 1
        if left % (2 * unit):
            way.off_middle[at] = half, "cross" if on_grid else "thread"
        units = left / (2 * unit)
        whole = math.ceil(units) if half is Half.LATER else math.floor(units)
        return room[0] + whole * unit

    def _gap(self, gap: float, span: Span | None) -> float:
        whole = threads(gap, self.over)
        if whole is None:
            self.findings.append(between_threads(self.design, "The gap", span))
        return float(whole or 0)

    # --- findings ---

    def _tell_ring(self, way: _Way, ring: Sequence[int]) -> None:
        chart = 2 * len(self.things)
        numbers = list(dict.fromkeys(node // 2 for node in ring if node != chart))
        if frozenset(numbers) in self.rings:  # told of the other way already
            return
        self.rings.add(frozenset(numbers))
        first, *others = numbers
        names = [self._called(at) for at in numbers]
        if others:
            steps = ", and that ".join(f"on {name}" for name in (*names[1:6], names[0]))
            message = f"The place of {names[0]} hangs {steps}"
        else:
            message = f"The place of {names[0]} hangs on itself"
        hints = [
            Hint(f"{self._called(at)} is placed here", self._span(way, at)) for at in others[:5]
        ]
        advice = "give one of them a position of its own, or let it hang on something else"
        self.findings.append(
            finding("ring-of-places", f"{message}.", self._span(way, first), *hints, advice)
        )

    def _called(self, at: int) -> str:
        """Return how a thing is called in a finding."""
        thing = self.things[at]
        if thing.name:
            return f"`{thing.name}`"
        if thing.sort is Sort.BAND:
            what = "the band"
        elif thing.withdrawal is not None:
            what = "what is withdrawn"
        else:
            what = item_name(self.design, thing.first)
        return f"{what} on line {thing.span.line}" if thing.span is not None else what

    def _span(self, way: _Way, at: int) -> Span | None:
        bound = way.bounds[at]
        return self.things[at].span if bound is None else bound.span

    def _tell_no_room(self, way: _Way, at: int, room: int, length: int) -> None:
        which = "wide" if way.index == 0 else "high"
        room_, length_ = (number(each / self.over) for each in (max(0, room), length))
        message = (
            f"{self._called(at)} is {length_} {which}; it does not go even once into {room_} "
            "crosses"
        )
        fill_ = self.things[at].fill
        span = fill_.span if fill_ is not None else self.things[at].span
        advice = "make room for it, or place it once, at a position"
        self.findings.append(finding("no-room-to-fill", sentence(message), span, advice))

    def _tell_remainder(self, way: _Way, at: int, fill_: Fill, room: int, length: int) -> None:
        """Tell of a repeat that does not come out, and of what would."""
        over = self.over
        which, size = ("across", "wide") if way.index == 0 else ("down", "high")
        count, left = divmod(room, length)
        message = (
            f"{self._called(at)} does not fill {number(room / over)} crosses {which}: it goes in "
            f"{count} times, {number(length / over)} {size} each, and {number(left / over)} are "
            "left over"
        )
        hints = []
        if not any(each % over for each in (room, length)):
            whole = room // over + 2 * fill_.inset
            near = fitting(whole, length // over, fill_.inset)
            hints.append(f"a stretch {_either(near.rooms)} {size} would fit")
            if near.insets:
                hints.append(f"so would `inset {_either(near.insets, '` or `inset ')}`")
            if near.lengths:
                hints.append(f"so would a repeat {_either(near.lengths)} {size}")
        begin = "left" if way.index == 0 else "top"
        hints.append(
            f"or say where it begins and what is left bare, `from middle` or `from {begin}`, or "
            "`cut` for it to end as it falls"
        )
        self.findings.append(finding("fill-remainder", sentence(message), fill_.span, *hints))

    def _tell_halves(self, across: _Way, down: _Way) -> None:
        """Tell of things whose middle fell between two crosses, where no side is stated."""
        words = (across, "to the left", "left", "right"), (down, "up", "up", "down")
        for at, thing in enumerate(self.things):
            sides = [
                (way.off_middle[at][1], *rest)
                for way, *rest in words
                if at in way.off_middle and way.off_middle[at][0] is Half.UNSAID
            ]
            if not sides:
                continue
            went = " and ".join(f"half a {unit} {where}" for unit, where, _, _ in sides)
            one, other = (" ".join(side[at] for side in sides) for at in (2, 3))
            bound = thing.across if at in across.off_middle else thing.down
            message = f"{self._called(at)} cannot stand right in the middle: it went {went}"
            self.findings.append(
                finding(
                    "off-middle",
                    sentence(message),
                    bound.span if bound is not None else thing.span,
                    f"say which way it is to go: `centred {one}` or `centred {other}`",
                )
            )

    def _tell_lines(self) -> None:
        """Tell of lines of text that cannot stand in the middle of their text or position."""
        for thing in self.things:
            for item in self.chart.items[thing.first : thing.last]:
                if isinstance(item, Lettering) and item.centred and item.half is Half.UNSAID:
                    hangs = thing.across is not None and not thing.across.edge.counts
                    self._tell_lines_of(item, hangs=hangs)

    def _tell_lines_of(self, item: Lettering, *, hangs: bool) -> None:
        cell = item.over or self.over
        widths = [line.width for line in set_text(item, self.design.alphabets)]
        middle = max(widths, default=0) * cell if hangs else threads(item.x, 2 * self.over)
        if middle is None:
            return
        unit = 2 * cell if hangs or middle % (2 * cell) == 0 else 2
        off = [at for at, width in enumerate(widths) if (middle - width * cell) % unit]
        if not off:
            return
        lines = ", ".join(f"“{item.lines[at]}” is {widths[at]} wide" for at in off[:5])
        span = item.line_spans[off[0]] if item.line_spans else item.span
        self.findings.append(
            finding(
                "off-middle",
                f"This stands half a cross to the left of the middle: {lines}.",
                span,
                "say which way it is to go: `centred left` or `centred right`",
            )
        )

    def _is_too_large(self, across: _Way, down: _Way) -> bool:
        """Tell of a chart that is larger than charts can be, since it holds so much."""
        width, height = (int(way.size) // self.over for way in (across, down))
        if width * height <= LARGEST_AREA:
            return False
        message = (
            f"The chart comes to {width:,} x {height:,}, {width * height:,} crosses; a chart has "
            f"at most {LARGEST_AREA:,}."
        )
        advice = "look for a place far out, or divide the work into several charts"
        self.findings.append(finding("too-many-crosses", message, self.chart.span, advice))
        return True

    # --- what comes of it ---

    def _moved(self, across: _Way, down: _Way) -> Design:
        items: list[Item] = []
        things = []
        withdrawals = [*self.chart.withdrawals]
        for at, thing in enumerate(self.things):
            (x0, x1), (y0, y1) = across.reach[at], down.reach[at]
            by = x0 - across.own[at][0], y0 - down.own[at][0]
            first = len(items)
            placed = self.chart.items[thing.first : thing.last]
            if thing.ring is not None:
                items += [_round(item, (x0, y0, x1, y1), self.over) for item in placed]
            elif thing.fill is not None:
                items += self._filling(at, thing, (x0, y0))
            elif any(by):
                x, y = by[0] / self.over, by[1] / self.over
                items += [_shifted(item, x, y) for item in placed]
                if thing.withdrawal is not None:
                    stated = withdrawals[thing.withdrawal]
                    withdrawals[thing.withdrawal] = _shifted_threads(stated, x, y)
            else:
                items += placed
            box = x0 / self.over, y0 / self.over, x1 / self.over, y1 / self.over
            things.append(
                replace(
                    thing,
                    first=first,
                    last=len(items),
                    across=None,
                    down=None,
                    fill=None,
                    ring=None,
                    box=box,
                )
            )
        chart = replace(
            self.chart,
            width=int(across.size) // self.over,
            height=int(down.size) // self.over,
            items=tuple(items),
            withdrawals=tuple(withdrawals),
            things=tuple(things),
        )
        return replace(
            self.design,
            chart=chart,
            notes=tuple(_tied_note(note, things) for note in self.design.notes),
            expectations=tuple(_tied_count(each, things) for each in self.design.expectations),
        )

    def _filling(self, at: int, thing: Thing, corner_: tuple[float, float]) -> Iterator[Item]:
        """Give the copies of a motif that fills something, those of a part of it apart."""
        item = self.chart.items[thing.first]
        assert isinstance(item, Placement)  # only motifs fill anything
        cell = self._cell(thing)
        motif = self.design.motifs[item.motif]
        turn = Turn.of(item.mirror, item.turns)
        size = tuple(side * cell for side in turn.size(motif.width, motif.height))
        runs = []
        for index in (0, 1):
            filled = self.filled.get((at, index))
            once = Stretch(int(corner_[index]), 1, (0, size[index]))
            runs.append(filled.runs if filled is not None else (once,))
        for x, y in product(*runs):
            part = x.part[0] // cell, y.part[0] // cell, x.part[1] // cell, y.part[1] // cell
            wide, high = x.part[1] - x.part[0], y.part[1] - y.part[0]
            yield replace(
                item,
                x=x.at / self.over,
                y=y.at / self.over,
                anchor=Anchor.TOP_LEFT,
                across=x.count,
                down=y.count,
                step=(
                    wide / self.over if x.count > 1 else 0.0,
                    high / self.over if y.count > 1 else 0.0,
                ),
                part=None if (wide, high) == size else part,
            )


def _round(item: Item, reach: Box, over: int) -> Item:
    """Return a border with the box inside which it runs; reach: its outer edges, in threads."""
    assert isinstance(item, Border)
    inset = item.inset * over
    x0, y0, x1, y1 = reach
    box = (x0 - inset) / over, (y0 - inset) / over, (x1 + inset) / over, (y1 + inset) / over
    return replace(item, box=box)


def _either(numbers: Sequence[int], between: str = " or ") -> str:
    return between.join(map(str, numbers))


def _shifted(item: Item, x: float, y: float) -> Item:
    if isinstance(item, Placement | Lettering):
        return replace(item, x=item.x + x, y=item.y + y)
    if isinstance(item, Line | Knot):
        return replace(item, points=tuple((px + x, py + y) for px, py in item.points))
    return item  # a border says itself what it runs round


def _shifted_threads(stated: Withdrawal, x: float, y: float) -> Withdrawal:
    x0, y0, x1, y1 = stated.x0 + x, stated.y0 + y, stated.x1 + x, stated.y1 + y
    return replace(stated, x0=x0, y0=y0, x1=x1, y1=y1)


def _tied_note(note: Note, things: Sequence[Thing]) -> Note:
    if note.tie is None:
        return note
    x0, y0, x1, y1 = _tied((note.x0, note.y0, note.x1, note.y1), note.tie, things)
    return replace(note, x0=x0, y0=y0, x1=x1, y1=y1, tie=None)


def _tied_count(count: Expectation, things: Sequence[Thing]) -> Expectation:
    if count.tie is None or count.area is None:
        return count
    return replace(count, area=_tied(count.area, count.tie, things), tie=None)


def _tied(area: Box, tie: Tie, things: Sequence[Thing]) -> Box:
    box = things[tie.to].box
    assert box is not None  # all were reckoned out
    if tie.whole:
        return box
    return area[0] + box[0], area[1] + box[1], area[2] + box[0], area[3] + box[1]


def _in_order(needs: Sequence[Sequence[int]]) -> tuple[list[int], list[int]]:
    """Return the nodes, each after those it needs, and one ring where not all can be had."""
    hanging: list[list[int]] = [[] for _ in needs]
    waits = [0] * len(needs)
    for node, some in enumerate(needs):
        waits[node] = len(some)
        for each in some:
            hanging[each].append(node)
    order = [node for node, many in enumerate(waits) if not many]
    for node in order:  # grows as it is gone through
        for each in hanging[node]:
            waits[each] -= 1
            if not waits[each]:
                order.append(each)
    if len(order) == len(needs):
        return order, []
    node = next(node for node, many in enumerate(waits) if many)
    seen: dict[int, None] = {}
    while node not in seen:
        seen[node] = None
        node = next(each for each in needs[node] if waits[each])
    path = list(seen)
    return order, path[path.index(node) :]
