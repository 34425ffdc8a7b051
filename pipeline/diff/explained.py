"""Which changed cells are explained by something placed, or by a figure that moved in one grid.

A figure is what stands out of its surroundings: cells that hang together, straight or slanting,
on bare fabric or in a field of one colour.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import WorkedChart
from ..core.items import Box, Point
from ..count.forest import Ints
from .areas import NEAR, boxes, label
from .canvas import NOBODY, Canvas, Classes, Mask
from .changes import Moved, Sort, Spot, TurnWords
from .matching import Matched, by_votes
from .sewn import Sewn, painted
from .units import Unit

HALF = 0.5  # of the cells of a thing that came or went have to have changed


@dataclass(frozen=True, eq=False)
class Explained:
    """The changed cells, and what explains them.

    x, y: of each changed cell, on the canvas. by: the number in `matches` of what explains it,
    NOBODY for what nothing does. cells: how many cells each match explains. besides: the
    matches of which lines or counted stitches changed, whatever became of their cells.
    """

    matches: Sequence[Matched]
    x: Ints
    y: Ints
    by: Ints
    cells: Ints
    besides: Collection[int]

    def reported(self, number: int) -> bool:
        """Tell whether a match is to be told of: it changed anything, or is off the grid."""
        each = self.matches[number]
        unit = each.new or each.old
        assert unit is not None
        off_grid = unit.off_grid and not unit.bare
        return bool(self.cells[number]) or off_grid or number in self.besides

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
    matches: Sequence[Matched],
    redrawn: Collection[str],
    besides: Collection[int],
) -> Explained:
    """Find out what explains each changed cell.

    redrawn: names of motifs whose drawing differs. besides: see `Explained`.

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
    return Explained(matches, x, y, by, cells, besides)


def _told(each: Matched, redrawn: Collection[str]) -> bool:
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
    matches: Sequence[Matched],
    now: Ints,
    at: tuple[Ints, Ints],
) -> NDArray[np.bool_]:
    """Tell at which changed cells the whole-chart grid is seen and has itself changed."""
    changed = np.zeros(len(now), dtype=bool)
    for pair in matches:
        if pair.old is None or pair.new is None or pair.old.sort is not Sort.GRID:
            continue
        seen = np.flatnonzero(now == pair.new.numbers[0])
        x, y = at[0][seen], at[1][seen]
        before, after = old.placed[pair.old.numbers[0]].grid, new.placed[pair.new.numbers[0]].grid
        left, top = x + canvas.old_left, y + canvas.old_top
        inside = (left >= 0) & (top >= 0) & (left < before.shape[1]) & (top < before.shape[0])
        was = np.zeros(len(seen), dtype=np.int64)
        was[inside] = before[top[inside], left[inside]]
        changed[seen] = canvas.table[was, after[y + canvas.top, x + canvas.left]]
    return changed


def spot(each: Matched, cells: int, new: WorkedChart, sewn: Sewn, shift: tuple[int, int]) -> Spot:
    """Return where a match was and is; sewn: the counted stitches of the new chart."""
    return Spot(
        None if each.old is None else each.old.box,
        None if each.new is None else each.new.box,
        cells,
        _free(each, new, sewn, shift),
    )


def _free(each: Matched, new: WorkedChart, sewn: Sewn, shift: tuple[int, int]) -> bool:
    """Tell whether nothing else of the new chart is stitched where a thing was."""
    if each.old is None:
        return True
    own = [] if each.new is None else list(each.new.numbers)
    if _sewn_over(each.old, sewn.some(~np.isin(sewn.placed, own)), shift):
        return False
    if each.old.off_grid:
        left, top, right, bottom = _whole(each.old.box, shift)
        view = np.s_[max(top, 0) : max(bottom, 0), max(left, 0) : max(right, 0)]
        stitched, owners = new.grid[view] != 0, new.owner[view]
    else:
        y, x = np.nonzero(each.old.seen)
        x, y = x + round(each.old.x) + shift[0], y + round(each.old.y) + shift[1]
        inside = (x >= 0) & (y >= 0) & (x < new.width) & (y < new.height)
        x, y = x[inside], y[inside]
        stitched, owners = new.grid[y, x] != 0, new.owner[y, x]
    return not bool((stitched & ~np.isin(owners, own)).any())


def _sewn_over(unit: Unit, others: Sewn, shift: tuple[int, int]) -> bool:
    """Tell whether one of some counted stitches lies where a thing was."""
    x, y = unit.x + shift[0], unit.y + shift[1]
    bare = np.zeros(unit.seen.shape, dtype=np.int64)
    there = painted(bare, others, x, y, unit.cell) != 0
    return bool((there & (unit.seen != 0)).any())


def _whole(box: Box, shift: tuple[int, int]) -> tuple[int, int, int, int]:
    x0, y0, x1, y1 = box
    return (
        int(np.floor(x0)) + shift[0],
        int(np.floor(y0)) + shift[1],
        int(np.ceil(x1)) + shift[0],
        int(np.ceil(y1)) + shift[1],
    )


FEWEST = 4  # cells of a figure: fewer are alike by chance
LARGEST = 0.25  # of the chart: what is larger is no figure but a ground
MOST = 0.25  # of all cells; where more have changed, figures are not looked for
GROUNDS = 3  # kinds of ground looked at, those most often found where cells changed


@dataclass(frozen=True, eq=False)
class Figure:
    """A figure that moved.

    cells: (many, 2) its columns and rows before. by: how far it went. ground: what it stands on.
    """

    cells: NDArray[np.int64]
    by: tuple[int, int]
    ground: int


@dataclass(frozen=True, eq=False)
class _Seen:
    """A figure of one chart: its cells, what is the same for the same looks, its corner."""

    cells: NDArray[np.int64]
    alike: Hashable
    place: Point


def moved_figures(old: Classes, new: Classes, changed: Mask) -> tuple[list[Figure], Mask]:
    """Return the figures that moved among changed cells, and the changes that this explains.

    old, new: what is stitched, of one size. changed: the cells to be explained.
    """
    moved: list[Figure] = []
    done = np.zeros_like(changed)
    if np.count_nonzero(changed) > MOST * changed.size:
        return moved, done  # another chart
    rows, columns = (np.flatnonzero(changed.any(axis=axis)).tolist() for axis in (1, 0))
    if not rows:
        return moved, done
    # Of a figure that moved the cells along all its sides have changed, so it lies in between.
    top, left = max(rows[0] - 1, 0), max(columns[0] - 1, 0)
    view = np.s_[top : rows[-1] + 2, left : columns[-1] + 2]
    before, after, wanted = old[view], new[view], changed[view]
    within = columns[0] - left, rows[0] - top, columns[-1] + 1 - left, rows[-1] + 1 - top
    for ground in _grounds(before, after, wanted):
        rest = wanted & ~done[view]
        if not _may_have_moved(before[rest], after[rest], ground):
            continue
        figures, others = (
            _figures(each, ground, rest, within, old.size) for each in (before, after)
        )
        pairs = by_votes(
            [(figure.alike, figure.place) for figure in figures],
            [(other.alike, other.place) for other in others],
        )
        moved += [
            Figure(figures[one].cells + np.array([left, top]), (int(by[0]), int(by[1])), ground)
            for one, _, by in pairs
            if by != (0, 0)
        ]
        if moved:
            done = changed & _explained(old, new, moved)
    return moved, done


def _may_have_moved(old: Classes, new: Classes, ground: int) -> bool:
    """Tell whether enough of the same left the ground and came to lie on it.

    old, new: what changed cells held. A figure of FEWEST cells that moved by one still leaves two
    bare and covers two others.
    """
    left, came = old[new == ground], new[old == ground]
    if not len(left) or not len(came):
        return False
    kinds = int(max(left.max(), came.max())) + 1
    alike = np.minimum(np.bincount(left, minlength=kinds), np.bincount(came, minlength=kinds))
    return int(alike.sum()) >= FEWEST // 2


def _explained(old: Classes, new: Classes, figures: Sequence[Figure]) -> Mask:
    """Return the cells that hold what they should when the figures are moved."""
    played = old.copy()
    for figure in figures:
        x, y = figure.cells.T
        played[y, x] = figure.ground
    for figure in figures:
        x, y = figure.cells.T
        played[y + figure.by[1], x + figure.by[0]] = old[y, x]
    return np.asarray(played == new)


def _grounds(old: Classes, new: Classes, changed: Mask) -> list[int]:
    values = np.concatenate([old[changed], new[changed]])
    kinds, many = np.unique(values, return_counts=True)
    return [int(kinds[at]) for at in np.argsort(-many, kind="stable")[:GROUNDS]]


def _figures(
    grid: Classes, ground: int, changed: Mask, within: tuple[int, int, int, int], whole: int
) -> list[_Seen]:
    """Return the figures on one ground that hold a changed cell, with what they look like."""
    x, y, number = label(grid != ground)
    if not len(number):
        return []
    sizes = np.bincount(number)
    wanted = np.bincount(number, changed[y, x]) > 0
    wanted &= (sizes >= FEWEST) & (sizes <= LARGEST * whole)
    keep = wanted[number]
    if not keep.any():
        return []
    x, y = x[keep], y[keep]
    _, number = np.unique(number[keep], return_inverse=True)
    order = np.argsort(number, kind="stable")
    ends = np.append(np.flatnonzero(np.diff(number[order], prepend=-1)), len(order))
    seen = []
    for at, (left, top, right, bottom) in enumerate(boxes(x, y, number).tolist()):
        if left < within[0] or top < within[1] or right > within[2] or bottom > within[3]:
            continue
        mine = order[ends[at] : ends[at + 1]]
        cells = np.stack([x[mine], y[mine]], axis=1)
        looks = (cells - (left, top)).tobytes(), grid[y[mine], x[mine]].tobytes()
        seen.append(_Seen(cells, looks, (left, top)))
    return seen


def moved_together(figures: Sequence[Figure], canvas: Canvas, after: Classes) -> list[Moved]:
    """Return figures that moved, those that went the same way as one.

    after: what is stitched, as `moved_figures` takes it.
    """
    by_step: dict[tuple[int, int], list[Figure]] = {}
    for figure in figures:
        by_step.setdefault(figure.by, []).append(figure)
    moves = []
    for step, together in by_step.items():
        mask = np.zeros(after.shape, dtype=bool)
        for figure in together:
            mask[figure.cells[:, 1], figure.cells[:, 0]] = True
        arrived = np.roll(mask, (step[1], step[0]), (0, 1))
        bare = (after == 0) | arrived
        x, y, group = label(mask, 2 * NEAR)
        spots = []
        for number, box in enumerate(boxes(x, y, group).tolist()):
            mine = group == number
            old = _moved_box(box, canvas.old_left, canvas.old_top)
            new = _moved_box(box, canvas.left + step[0], canvas.top + step[1])
            free = bool(bare[y[mine], x[mine]].all())
            spots.append(Spot(old, new, int(mine.sum()), free))
        moves.append(Moved(Sort.GRID, "", step, TurnWords.NOT, 0, tuple(spots)))
    return moves


def _moved_box(box: Sequence[int], x: int, y: int) -> tuple[int, int, int, int]:
    return box[0] + x, box[1] + y, box[2] + x, box[3] + y
