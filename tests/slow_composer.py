"""A second composer to hold the first to: plain dictionaries, one stitch at a time.

Written from the notation's rules alone. A stitch is known by the thread crossings it covers.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from linenleaf.core.items import Cover, Mirror, Placement
from linenleaf.core.model import Design

HALF = {"/": "\\", "\\": "/"}


@dataclass
class Slow:
    stitches: dict[int, tuple[int, int, int, str]] = field(default_factory=dict)
    crossing: dict[tuple[int, int], int] = field(default_factory=dict)  # -> stitch number
    copy_of: dict[int, tuple[int, int]] = field(default_factory=dict)  # -> item, copy
    overlaps: dict[tuple[int, int], set[tuple[int, int, int]]] = field(default_factory=dict)
    cut: set[tuple[int, int]] = field(default_factory=set)
    outside: Counter[int] = field(default_factory=Counter)

    def counts(self) -> Counter[str]:
        return Counter(symbol for _, _, _, symbol in self.stitches.values())


def mirrored(rows: list[str]) -> list[str]:
    return ["".join(HALF.get(each, each) for each in reversed(row)) for row in rows]


def turned(rows: list[str]) -> list[str]:
    down = range(len(rows) - 1, -1, -1)
    return ["".join(HALF.get(rows[y][x], rows[y][x]) for y in down) for x in range(len(rows[0]))]


def oriented(rows: list[str], mirror: Mirror | None, turns: int) -> list[str]:
    if mirror in (Mirror.LEFT_RIGHT, Mirror.BOTH):
        rows = mirrored(rows)
    if mirror in (Mirror.TOP_BOTTOM, Mirror.BOTH):
        rows = mirrored(turned(turned(rows)))
    for _ in range(turns):
        rows = turned(rows)
    return rows


def slow_compose(design: Design) -> Slow:
    slow = Slow()
    over = design.ground.fabric.over
    chart = design.chart
    whole = chart.width * over, chart.height * over
    copies = 0
    if chart.rows:
        lay(slow, -1, 0, list(chart.rows), (0, 0, over), Cover.NOTHING, whole, over)
    for number, item in enumerate(chart.items):
        assert isinstance(item, Placement)
        motif = design.motifs[item.motif]
        swap = dict(item.swap)
        rows = ["".join(swap.get(each, each) for each in row) for row in motif.rows]
        rows = oriented(rows, item.mirror, item.turns)
        cell = item.over or motif.over or over
        for down in range(item.down):
            for across in range(item.across):
                copies += 1
                x = round((item.x + across * item.step[0]) * over)
                y = round((item.y + down * item.step[1]) * over)
                lay(slow, number, copies, rows, (x, y, cell), item.cover, whole, over)
    return slow


def remove(slow: Slow, stitch: int) -> None:
    del slow.stitches[stitch]
    for place in [each for each, held in slow.crossing.items() if held == stitch]:
        del slow.crossing[place]


def lay(slow, item, copy, rows, spot, cover, whole, over):
    x0, y0, cell = spot
    if cover is Cover.CLEARING:
        clear(slow, item, (x0, y0, x0 + len(rows[0]) * cell, y0 + len(rows) * cell), over)
    new = []
    piece_leaves = False
    on_grid = cell == over and x0 % over == 0 and y0 % over == 0
    for row, line in enumerate(rows):
        for column, symbol in enumerate(line):
            if symbol == ".":
                continue
            x, y = x0 + column * cell, y0 + row * cell
            if x < 0 or y < 0 or x + cell > whole[0] or y + cell > whole[1]:
                slow.outside[item] += 1
                piece_leaves = True
                continue
            new.append((x, y, symbol))
    if piece_leaves and not on_grid:
        return
    laid = {}
    for x, y, symbol in new:
        number = len(slow.copy_of)
        places = [(x + i, y + j) for i in range(cell) for j in range(cell)]
        for place in places:
            if place not in slow.crossing:
                continue
            below = slow.crossing[place]
            if cover is Cover.REPLACING:
                remove(slow, below)
            else:
                pair = item, slow.copy_of[below][0]
                slow.overlaps.setdefault(pair, set()).add((copy, x, y))
        slow.stitches[number] = (x, y, cell, symbol)
        slow.copy_of[number] = (item, copy)
        laid.update(dict.fromkeys(places, number))
    slow.crossing.update(laid)


def clear(slow, item, box, over):
    x0, y0, x1, y1 = box
    copies: dict[tuple[int, int], list[tuple[int, bool]]] = {}
    for stitch, (x, y, cell, _) in list(slow.stitches.items()):
        touches = x < x1 and x + cell > x0 and y < y1 and y + cell > y0
        if cell == over and x % over == 0 and y % over == 0:
            if touches:
                remove(slow, stitch)
        else:
            inside = x >= x0 and y >= y0 and x + cell <= x1 and y + cell <= y1
            copies.setdefault(slow.copy_of[stitch], []).append((stitch, touches, inside))
    for (other, _), held in copies.items():
        if all(inside for _, _, inside in held):
            for stitch, _, _ in held:
                remove(slow, stitch)
        elif any(touches for _, touches, _ in held):
            slow.cut.add((item, other))
