"""How large the things of a chart are, and where they lie by their own positions.

All lengths are in fabric threads.
"""

from __future__ import annotations

from ..core.items import Border, Box, Item, Knot, Lettering, Line, Placement
from ..core.model import Design
from ..core.places import Sort, Thing
from ..stitches.turn import Turn
from .lettering import line_start, set_text, text_height
from .positions import corner

NOWHERE: Box = (0.0, 0.0, 0.0, 0.0)


def is_border(design: Design, thing: Thing) -> bool:
    """Tell whether a thing is a border, which is as large as what it runs round."""
    items = design.chart.items[thing.first : thing.last]
    return any(isinstance(item, Border) for item in items)


def cell_of(design: Design, item: Placement) -> int:
    """Return how many threads a cross of a placed motif spans."""
    return item.over or design.motifs[item.motif].over or design.ground.fabric.over


def own_box(design: Design, thing: Thing) -> Box:
    """Return where a thing lies by its own positions; of a band and a border nothing is known."""
    over = design.ground.fabric.over
    if thing.sort is Sort.BAND:
        return NOWHERE
    if thing.withdrawal is not None:
        stated = design.chart.withdrawals[thing.withdrawal]
        return stated.x0 * over, stated.y0 * over, stated.x1 * over, stated.y1 * over
    if thing.sort is Sort.PLACE:
        x, y, wide, high = (each * over for each in (*thing.at, *thing.size))
        return x, y, x + wide, y + high
    boxes = [_item_box(design, item) for item in design.chart.items[thing.first : thing.last]]
    if not boxes:
        return NOWHERE
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def _item_box(design: Design, item: Item) -> Box:
    if isinstance(item, Placement):
        return _placement_box(design, item)
    if isinstance(item, Lettering):
        return _text_box(design, item)
    if isinstance(item, Line | Knot):
        over = design.ground.fabric.over
        xs, ys = ([each * over for each in some] for some in zip(*item.points, strict=True))
        return min(xs), min(ys), max(xs), max(ys)
    return NOWHERE


def _placement_box(design: Design, item: Placement) -> Box:
    over, motif, cell = design.ground.fabric.over, design.motifs[item.motif], cell_of(design, item)
    turn = Turn.of(item.mirror, item.turns)
    width, height = turn.size(motif.width * cell, motif.height * cell)
    start = corner((item.x, item.y), item.anchor, (width, height), cell, over)
    x, y = start if start is not None else (item.x * over, item.y * over)
    far_x = (item.across - 1) * item.step[0] * over
    far_y = (item.down - 1) * item.step[1] * over
    return (
        x + min(0.0, far_x),
        y + min(0.0, far_y),
        x + max(0.0, far_x) + width,
        y + max(0.0, far_y) + height,
    )


def _text_box(design: Design, item: Lettering) -> Box:
    over = design.ground.fabric.over
    cell = item.over or over
    y = item.y * over
    if not item.lines:
        return item.x * over, y, item.x * over, y
    widths = [line.width * cell for line in set_text(item, design.alphabets)]
    starts = [line_start(item, width, cell, over) for width in widths]
    lefts = [item.x * over if start is None else start for start in starts]
    rights = [left + width for left, width in zip(lefts, widths, strict=True)]
    line_height = text_height(item, design.alphabets)
    height = (line_height + (line_height + item.leading) * (len(item.lines) - 1)) * cell
    return min(lefts), y, max(rights), y + height
