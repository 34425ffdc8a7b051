"""Where everything comes to stand: places that hang on other things are reckoned out.

Each way is a graph of its own, since nothing across depends on anything down. What a thing hangs on
is settled before it; things that hang on each other in a ring have no place. All lengths here are
in fabric threads; what has no fraction of a thread stays exact.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import assert_never

from ..core.diagnostics import Diagnostic, Diagnostics, has_errors
from ..core.items import Border, Placement
from ..core.model import Design
from ..core.places import CHART, Bound, Edge, Fill, Half, Sort
from ..core.source import Span
from ..resolve.nesting import inner_first
from .extents import cell_of, is_border, own_box
from .filling import Filled, fill
from .misplaced import between_threads
from .nested import as_chart, put_together
from .positions import threads
from .settled import settled
from .unsettled import (
    fill_remainder,
    halves,
    halves_of_lines,
    no_room_to_fill,
    ring_of_places,
    too_large,
    wrong_size,
)

Reach = tuple[float, float]  # from, up to; along one way
MOST_RINGS = 20  # told of one chart


def arrange(design: Design) -> tuple[Design, Diagnostics]:
    """Return a design in which everything stands at a position of its own, and findings.

    Its things have their boxes. Where a finding is an error, its places mean nothing.
    """
    inside: list[Diagnostic] = []
    motifs = dict(design.motifs)
    made_of_others = any(motif.is_put_together for motif in motifs.values())
    for name in inner_first(motifs) if made_of_others else ():
        motif = motifs[name]
        if motif.is_put_together:
            cell = motif.over or design.ground.fabric.over
            whole = as_chart(replace(design, motifs=motifs), motif, cell)
            made, told = _Arranger(whole).run()
            told = told if has_errors(told) else (*told, *wrong_size(made))
            inside += told
            motifs[name] = put_together(motif, made.chart)
            if has_errors(told):
                return design, tuple(inside)
    design = replace(design, motifs=motifs)
    made, told = _Arranger(design).run()
    return made, (*inside, *told)


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
        self.above = [at for at in range(first) if not is_border(self.design, self.things[at])]
        self.members: dict[int, list[int]] = {band: [] for band in bands}
        for at, thing in enumerate(self.things):
            if thing.band is not None:
                self.members[thing.band].append(at)

    def run(self) -> tuple[Design, Diagnostics]:
        own_boxes = [own_box(self.design, thing) for thing in self.things]
        sizes = (self.chart.width, self.chart.height)
        ways = []
        for index in (0, 1):
            own = [(box[index], box[index + 2]) for box in own_boxes]
            bounds = [(thing.across, thing.down)[index] for thing in self.things]
            way = _Way(index, own, bounds, sizes[index] * self.over, [*own], {})
            self._settle(way)
            ways.append(way)
        across, down = ways
        self.findings += halves(self.design, across.off_middle, down.off_middle)
        if self.design.version > 1:
            self.findings += halves_of_lines(self.design)
        size = int(across.size) // self.over, int(down.size) // self.over
        large = [*too_large(self.design, *size)]
        self.findings += large
        if large:
            return self.design, tuple(self.findings)
        boxes = [
            (x0, y0, x1, y1) for (x0, x1), (y0, y1) in zip(across.reach, down.reach, strict=True)
        ]
        made = settled(self.design, own_boxes, boxes, size, self.filled)
        return made, tuple(self.findings)

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
            self._note_ring(way, ring)
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

    def _note_ring(self, way: _Way, ring: Sequence[int]) -> None:
        chart = 2 * len(self.things)
        numbers = list(dict.fromkeys(node // 2 for node in ring if node != chart))
        if frozenset(numbers) not in self.rings:  # else told of the other way already
            self.rings.add(frozenset(numbers))
            self.findings.append(ring_of_places(self.design, numbers, way.bounds))

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
        if is_border(self.design, thing):
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
            if 2 * at + 1 not in on_chart and not is_border(self.design, thing)
        ]

    def _fitted(self, way: _Way, held: Sequence[int]) -> float:
        """Return the size of a chart that is as large as what it holds."""
        ends = {node // 2: way.reach[node // 2][1] for node in held}
        for at, (low, high) in enumerate(way.own):
            if at not in ends and not is_border(self.design, self.things[at]):
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
        item = self.chart.items[self.things[at].first]
        assert isinstance(item, Placement)  # only motifs fill anything
        made = fill(
            first,
            last,
            length,
            fill_.origin[way.index],
            cell=cell_of(self.design, item),
            unit=self.over if on_grid else 1,
            cut=fill_.cut,
            half=fill_.half[way.index],
        )
        if made is None:
            self.findings.append(no_room_to_fill(self.design, way.index, at, last - first, length))
            return
        if made.left and fill_.origin[way.index] is None:
            room = last - first
            self.findings.append(fill_remainder(self.design, way.index, at, fill_, room, length))
        if made.off:
            unit = "cross" if on_grid else "thread"
            way.off_middle[at] = fill_.half[way.index], unit
        self.filled[at, way.index] = made
        way.reach[at] = made.reach

    def _settle_thing(self, way: _Way, at: int) -> None:
        if is_border(self.design, self.things[at]):
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
