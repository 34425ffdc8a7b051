"""Between which amounts the thread of a chart lies, without looking for the best ways."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from ..compose.worked import WorkedChart
from ..core.ground import Fabric, Working
from .beginnings import curve
from .carrying import MOST_CROSSES, USUAL_SIDE, Cloth, Habit
from .forest import Floats, spanning_forest
from .joining import DOOR
from .runs import NeedleCells, areas, runs
from .stints import SheetWork, Stint, cell_stints, sheets, work
from .thread import ThreadUse, grouped, reckon

_TURNS = 3  # curves along which near areas are looked for


def bounds(worked: WorkedChart, fabric: Fabric) -> list[tuple[ThreadUse, ThreadUse]]:
    """Return between which amounts of each thread an estimate lies, in less time than that takes.

    At the least nothing is carried and nothing begun anew. At the most the needle goes out and back
    along a tree of its areas, by ways between cells that follow each other on some curves.
    """
    working = worked.design.working
    most: dict[Stint, Stint] = {}
    for sheet in sheets(worked):
        if found := work(worked, sheet, joined=False):
            ways = _most_carried(working, fabric, found)
            for stint, carried in zip(cell_stints(worked, fabric, found), ways, strict=True):
                each = np.full(len(stint.carry), carried / max(len(stint.carry) - 1, 1))
                most[stint] = replace(stint, carry=each)
    least = grouped(worked, fabric, list(most))
    widest = {needle: [most.get(each, each) for each in some] for needle, some in least.items()}
    amounts = (reckon(worked.design, each, working) for each in (least, widest))
    return list(zip(*amounts, strict=True))


def _most_carried(working: Working, fabric: Fabric, found: SheetWork) -> Iterator[float]:
    """Yield the most that each needle carries and begins anew, in mm, tails and all."""
    size = USUAL_SIDE * found.sheet.cell, USUAL_SIDE * found.sheet.cell
    usual = Habit.of(working, *size)
    here = fabric.cross_width * found.sheet.cell, fabric.cross_height * found.sheet.cell
    tail = max(working.tail, max((way.tail or 0.0 for way in working.own), default=0.0))
    longer = _longer(usual, Habit.of(working, *here)) * max(1, 2 * tail / usual.ends)
    cloth = Cloth.of(found.sheet.covered)
    for numbers, part, _ in found.shares:
        cells = NeedleCells(found.cells.needle[part], found.cells.place[part], found.cells.pitch)
        tree = _tree(cells, cloth, usual)
        yield from (2 * longer * tree[number] for number in numbers)


def _longer(usual: Habit, here: Habit) -> float:
    """Return how many times as much ways take on a fabric as where their order is found."""
    crosses = np.linspace(0.5, MOST_CROSSES, 200)
    nothing = np.zeros(len(crosses))
    side, usual_side = max(here.width, here.height), min(usual.width, usual.height)
    ratio = here.price(crosses * side, nothing) / usual.price(crosses * usual_side, nothing)
    return max(1.0, side / usual_side, float(ratio.max()))


def _tree(cells: NeedleCells, cloth: Cloth, habit: Habit) -> Floats:
    """Return how long a tree of the areas of each needle is, in mm, by number."""
    along = runs(cells)
    area, _, _ = areas(along, cells.pitch, habit.width, habit.height)
    ends = np.concatenate((along.first, along.first + along.count - 1))
    area, needle = np.tile(area, 2), cells.needle[ends].astype(np.int64)
    row, column = np.divmod(cells.place[ends], cells.pitch)
    pairs = []
    for turn in range(_TURNS):
        order = curve(needle, row, column, turn)
        one, two = order[:-1], order[1:]
        joins = (needle[one] == needle[two]) & (area[one] != area[two])
        pairs.append(np.stack([one[joins], two[joins]]))
    one, two = np.concatenate(pairs, axis=1)
    across, down = column[two] - column[one], row[two] - row[one]
    price = habit.price(habit.way(across, down), cloth.bare(cells.place[ends[one]], across, down))
    price += 2 * DOOR * min(habit.width, habit.height)
    cheapest = np.argsort(price, kind="stable")
    one, two, price = one[cheapest], two[cheapest], np.minimum(price[cheapest], habit.ends)
    _, joins = spanning_forest(int(area.max()) + 1, area[one], area[two])
    lengths = np.bincount(needle[one[joins]], price[joins], minlength=int(needle.max()) + 1)
    return lengths.astype(np.float64)
