"""Which changed cells are explained by something placed: moved, new, gone, turned or redrawn."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedChart
from ..count.forest import Ints
from .canvas import NOBODY, Box, Canvas
from .changes import Sort, Spot
from .matching import Match
from .units import Unit

HALF = 0.5  # of the cells of a thing that came or went have to have changed


@dataclass(frozen=True, eq=False)
class Explained:
    """The changed cells, and what explains them.

    x, y: of each changed cell, on the canvas. by: the number in `matches` of what explains it,
    NOBODY for what nothing does. cells: how many cells each match explains. lined: the matches
    of motifs of lines alone that changed.
    """

    matches: Sequence[Match]
    x: Ints
    y: Ints
    by: Ints
    cells: Ints
    lined: Collection[int]

    def reported(self, number: int) -> bool:
        """Tell whether a match is to be told of: it changed cells or lines, or is off the grid."""
        each = self.matches[number]
        unit = each.new or each.old
        assert unit is not None
        return bool(self.cells[number]) or unit.off_grid or number in self.lined

    def mask(self, canvas: Canvas, numbers: Collection[int]) -> NDArray[np.bool_]:
        """Return the cells that some matches explain, on the canvas."""
        cells = np.zeros(canvas.changed.shape, dtype=bool)
        mine = np.isin(self.by, list(numbers))
        cells[self.y[mine], self.x[mine]] = True
        return cells


def explain(
    old: WorkedChart,
    new: WorkedChart,
    canvas: Canvas,
    matches: Sequence[Match],
    redrawn: Collection[str],
    lined: Collection[int],
) -> Explained:
    """Find out what explains each changed cell.

    redrawn: names of motifs whose drawing differs. lined: see `Explained`.

    A thing that was placed otherwise explains what it covers and what it uncovers, but not what
    changed in the whole-chart grid below it. A new thing counts only if half of what is seen of
    it has changed: else the source was only put together in another way.
    """
    flat = np.flatnonzero(canvas.changed)
    y, x = np.divmod(flat, max(canvas.changed.shape[1], 1))
    fate_old = np.full(len(old.placed) + 1, NOBODY, dtype=np.int64)  # the last is for NOBODY
    fate_new = np.full(len(new.placed) + 1, NOBODY, dtype=np.int64)
    told = [number for number, each in enumerate(matches) if _told(each, redrawn)]
    for number in told:
        for unit, fate in ((matches[number].old, fate_old), (matches[number].new, fate_new)):
            if unit is not None:
                fate[list(unit.numbers)] = number
    by = np.full(len(x), NOBODY, dtype=np.int64)
    if told:
        was = _owners(old, x + canvas.old_left, y + canvas.old_top)
        now = _owners(new, x + canvas.left, y + canvas.top)
        gone = {at: each.old for at, each in enumerate(matches) if each.old and not each.new}
        come = {at: each.new for at, each in enumerate(matches) if each.new and not each.old}
        _only_half_changed(fate_old, was, old, gone)
        _only_half_changed(fate_new, now, new, come)
        by = fate_new[now]
        by = np.where(by == NOBODY, fate_old[was], by)
        by[_grid_changed(canvas, old, new, matches, now, (x, y))] = NOBODY
    cells = np.bincount(by[by != NOBODY], minlength=len(matches))
    return Explained(matches, x, y, by, cells, lined)


def _told(each: Match, redrawn: Collection[str]) -> bool:
    units = [unit for unit in (each.old, each.new) if unit is not None]
    if units[0].sort is Sort.GRID:
        return False
    return not each.plain or units[0].name in redrawn


def _owners(worked: WorkedChart, x: Ints, y: Ints) -> Ints:
    """Return who placed what is seen at some cells; NOBODY off the chart and on bare fabric."""
    inside = (x >= 0) & (y >= 0) & (x < worked.width) & (y < worked.height)
    owners = np.full(len(x), NOBODY, dtype=np.int64)
    owners[inside] = worked.owner[y[inside], x[inside]]
    return owners


def _only_half_changed(
    fate: Ints, owners: Ints, worked: WorkedChart, one_sided: Mapping[int, Unit]
) -> None:
    """Take from `fate` the things that came or went of which less than half has changed.

    one_sided: these things, by the numbers that stand for them in `fate`.
    """
    if not one_sided or not len(owners):
        return
    seen = np.bincount(worked.owner[worked.owner != NOBODY], minlength=len(fate) - 1)
    changed = np.bincount(owners[owners != NOBODY], minlength=len(fate) - 1)
    for number, unit in one_sided.items():
        parts = list(unit.numbers)
        if parts and (fate[parts] == number).all():
            whole = int(seen[parts].sum())
            if int(changed[parts].sum()) < HALF * max(whole, 1):
                fate[parts] = NOBODY


def _grid_changed(
    canvas: Canvas,
    old: WorkedChart,
    new: WorkedChart,
    matches: Sequence[Match],
    now: Ints,
    at: tuple[Ints, Ints],
) -> NDArray[np.bool_]:
    """Tell at which changed cells the whole-chart grid is seen and has itself changed."""
    changed = np.zeros(len(now), dtype=bool)
    for each in matches:
        if each.old is None or each.new is None or each.old.sort is not Sort.GRID:
            continue
        seen = np.flatnonzero(now == each.new.numbers[0])
        x, y = at[0][seen], at[1][seen]
        before, after = old.placed[each.old.numbers[0]].grid, new.placed[each.new.numbers[0]].grid
        left, top = x + canvas.old_left, y + canvas.old_top
        inside = (left >= 0) & (top >= 0) & (left < before.shape[1]) & (top < before.shape[0])
        was = np.zeros(len(seen), dtype=np.int64)
        was[inside] = before[top[inside], left[inside]]
        changed[seen] = canvas.table[was, after[y + canvas.top, x + canvas.left]]
    return changed


def spot(each: Match, cells: int, new: WorkedChart, shift: tuple[int, int]) -> Spot:
    """Return where a match was and is."""
    return Spot(
        None if each.old is None else each.old.box,
        None if each.new is None else each.new.box,
        cells,
        _free(each, new, shift),
    )


def _free(each: Match, new: WorkedChart, shift: tuple[int, int]) -> bool:
    """Tell whether nothing else of the new chart is stitched where a thing was."""
    if each.old is None:
        return True
    own = [] if each.new is None else list(each.new.numbers)
    if each.old.off_grid:
        left, top, right, bottom = _whole(each.old.box, shift)
        view = np.s_[max(top, 0) : max(bottom, 0), max(left, 0) : max(right, 0)]
        stitched, owners = new.grid[view] != 0, new.owner[view]
    else:
        y, x = np.nonzero(each.old.classes)
        x, y = x + round(each.old.x) + shift[0], y + round(each.old.y) + shift[1]
        inside = (x >= 0) & (y >= 0) & (x < new.width) & (y < new.height)
        x, y = x[inside], y[inside]
        stitched, owners = new.grid[y, x] != 0, new.owner[y, x]
    return not bool((stitched & ~np.isin(owners, own)).any())


def _whole(box: Box, shift: tuple[int, int]) -> tuple[int, int, int, int]:
    x0, y0, x1, y1 = box
    return (
        int(np.floor(x0)) + shift[0],
        int(np.floor(y0)) + shift[1],
        int(np.ceil(x1)) + shift[0],
        int(np.ceil(y1)) + shift[1],
    )
