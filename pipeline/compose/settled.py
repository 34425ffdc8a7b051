"""A chart in which every place is reckoned out: its items moved there, and what is tied to them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import product

from ..core.items import Anchor, Border, Box, Item, Knot, Lettering, Line, Placement
from ..core.matter import Expectation, Note, Showing
from ..core.model import Design, Withdrawal
from ..core.places import Thing, Tie
from ..stitches.turn import Turn
from .extents import cell_of
from .filling import Filled, Stretch

Fillings = Mapping[tuple[int, int], Filled]  # by the number of the thing, and across or down


def settled(
    design: Design,
    own: Sequence[Box],
    boxes: Sequence[Box],
    size: tuple[int, int],
    fillings: Fillings,
) -> Design:
    """Return a design in which everything stands at a position of its own and has its box.

    own, boxes: where each thing lay by its own positions and where it came to lie, in threads.
    size: of the chart, in crosses.
    """
    chart, over = design.chart, design.ground.fabric.over
    items: list[Item] = []
    things = []
    withdrawals = [*chart.withdrawals]
    for at, thing in enumerate(chart.things):
        x0, y0, x1, y1 = boxes[at]
        first = len(items)
        placed = chart.items[thing.first : thing.last]
        x, y = (x0 - own[at][0]) / over, (y0 - own[at][1]) / over
        if thing.ring is not None:
            items += [_round(item, boxes[at], over) for item in placed]
        elif thing.fill is not None:
            runs = fillings.get((at, 0)), fillings.get((at, 1))
            items += _filling(design, placed[0], (x0, y0), runs)
        elif x or y:
            items += [_shifted(item, x, y) for item in placed]
            if thing.withdrawal is not None:
                stated = withdrawals[thing.withdrawal]
                withdrawals[thing.withdrawal] = _shifted_threads(stated, x, y)
        else:
            items += placed
        box = x0 / over, y0 / over, x1 / over, y1 / over
        last = len(items)
        things.append(
            replace(
                thing, first=first, last=last, across=None, down=None, fill=None, ring=None, box=box
            )
        )
    chart = replace(
        chart,
        width=size[0],
        height=size[1],
        items=tuple(items),
        withdrawals=tuple(withdrawals),
        things=tuple(things),
    )
    return replace(
        design,
        chart=chart,
        notes=tuple(_tied_note(note, things) for note in design.notes),
        expectations=tuple(_tied_count(each, things) for each in design.expectations),
        showings=tuple(_tied_part(each, things, size) for each in design.showings),
    )


def _filling(
    design: Design,
    item: Item,
    corner: tuple[float, float],
    filled: tuple[Filled | None, Filled | None],
) -> Iterator[Placement]:
    """Give the copies of a motif that fills something, those of a part of it apart."""
    assert isinstance(item, Placement)  # only motifs fill anything
    cell, over = cell_of(design, item), design.ground.fabric.over
    motif = design.motifs[item.motif]
    turn = Turn.of(item.mirror, item.turns)
    size = tuple(side * cell for side in turn.size(motif.width, motif.height))
    runs = []
    for index, way in enumerate(filled):
        once = Stretch(int(corner[index]), 1, (0, size[index]))
        runs.append(way.runs if way is not None else (once,))
    for x, y in product(*runs):
        part = x.part[0] // cell, y.part[0] // cell, x.part[1] // cell, y.part[1] // cell
        wide, high = x.part[1] - x.part[0], y.part[1] - y.part[0]
        yield replace(
            item,
            x=x.at / over,
            y=y.at / over,
            anchor=Anchor.TOP_LEFT,
            across=x.count,
            down=y.count,
            step=(wide / over if x.count > 1 else 0.0, high / over if y.count > 1 else 0.0),
            part=None if (wide, high) == size else part,
        )


def _round(item: Item, reach: Box, over: int) -> Item:
    """Return a border with the box inside which it runs; reach: its outer edges, in threads."""
    assert isinstance(item, Border)
    inset = item.inset * over
    x0, y0, x1, y1 = reach
    box = (x0 - inset) / over, (y0 - inset) / over, (x1 + inset) / over, (y1 + inset) / over
    return replace(item, box=box)


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


def _tied_part(showing: Showing, things: Sequence[Thing], size: tuple[int, int]) -> Showing:
    if showing.whole:
        return replace(showing, x1=float(size[0]), y1=float(size[1]))
    if showing.tie is None:
        return showing
    area = showing.x0, showing.y0, showing.x1, showing.y1
    x0, y0, x1, y1 = _tied(area, showing.tie, things)
    return replace(showing, x0=x0, y0=y0, x1=x1, y1=y1, tie=None)


def _tied(area: Box, tie: Tie, things: Sequence[Thing]) -> Box:
    box = things[tie.to].box
    assert box is not None  # all were reckoned out
    if tie.whole:
        return box
    return area[0] + box[0], area[1] + box[1], area[2] + box[0], area[3] + box[1]
