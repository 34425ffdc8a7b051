"""The counted stitches of two charts, so that they can be compared one by one and cell by cell."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import blake2b
from itertools import product

import numpy as np
from numpy.typing import NDArray

from ..compose.stamp import Signs
from ..compose.worked import IndexGrid, WorkedChart, present
from ..core.counted import Counted
from ..core.items import Box
from ..core.key import KeyEntry
from ..stitches.turn import AS_DRAWN
from .canvas import Classes, Mask, Offset
from .keys import KeyPairs, strokes

PARTS = 1000  # of a cross, to which places are compared
_NO_CLASS = 1 << 62  # added to what stands for stitches, so that it is no class of a cell
_SPREAD = np.uint64(0x9E3779B97F4A7C15)  # makes of small numbers unlike ones

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Sewn:
    """Counted stitches as they lie on a chart or in a motif.

    index: the key line of each. look: the same for the same stitch of one key line lying the same
    way. boxes: (n, 4) what each takes, in crosses. placed: the number in `worked.placed` of what
    put it there.
    """

    index: Ints
    look: Ints
    boxes: Floats
    placed: Ints

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self.index)

    def some(self, which: Mask | Ints) -> Sewn:
        """Return some of them."""
        return Sewn(self.index[which], self.look[which], self.boxes[which], self.placed[which])

    def shifted(self, by: Offset) -> Sewn:
        """Return them so far to the right and down."""
        return replace(self, boxes=self.boxes + np.tile(by, 2)) if len(self) else self

    def within(self, box: Box) -> list[Box]:
        """Return the boxes of those that lie in a box, in part or whole."""
        low, high = self.boxes[:, :2], self.boxes[:, 2:]
        meet = (low < np.array(box[2:])).all(axis=1) & (high > np.array(box[:2])).all(axis=1)
        return [(x0, y0, x1, y1) for x0, y0, x1, y1 in self.boxes[meet].tolist()]

    @property
    def corners(self) -> Ints:
        """Return the upper left corner of each (n, 2), in thousandths of a cross."""
        return np.rint(self.boxes[:, :2] * PARTS).astype(np.int64)


NONE_SEWN = Sewn(*(np.empty(0, dtype=np.int64),) * 2, np.empty((0, 4)), np.empty(0, dtype=np.int64))


class Sewing:
    """Finds the counted stitches of both charts, and what is the same of them."""

    def __init__(self, pairs: KeyPairs) -> None:
        """Take how both keys belong together."""
        self._pairs = pairs
        self._looks: dict[Hashable, int] = {}
        self._altered: set[int] = set()  # classes whose stitch was made another: told of the key
        self._by_cells: tuple[set[int], set[int]] = (set(), set())
        for index, partner in pairs.partner.items():
            one, other = pairs.old[index - 1].counted, pairs.new[partner - 1].counted
            if one is not None and other is not None and strokes(one) != strokes(other):
                self._altered.add(int(pairs.new_class[partner]))
            if (one is None) != (other is None):
                # From crosses to counted stitches: told of the key, so that cells are compared.
                self._by_cells[0].add(index)
                self._by_cells[1].add(partner)

    def of(self, worked: WorkedChart, *, new: bool) -> Sewn:
        """Return the counted stitches of a chart that are compared one by one."""
        over = worked.design.ground.fabric.over
        return self._sewn(
            (_Lying(stand.index, stand.stitch, stand.at / over, stand.placed, over), new)
            for stand in worked.stands
            if stand.index not in self._by_cells[new]
        )

    def grids(
        self, old: WorkedChart, new: WorkedChart, shift: Offset
    ) -> tuple[IndexGrid, IndexGrid]:
        """Return both grids, with the counted stitches that are compared cell by cell.

        Such a one stands in the crosses of the same key line that it took the place of, or in the
        cell of its corner. shift: where the old grid's corner comes to lie on the new one.
        """
        x, y = shift
        partner = self._pairs.partner
        back = {other: index for index, other in partner.items()}
        return (
            self._signed(old, new.grid, partner, (x, y), new=False),
            self._signed(new, old.grid, back, (-x, -y), new=True),
        )

    def _signed(
        self,
        worked: WorkedChart,
        others: IndexGrid,
        partner: Mapping[int, int],
        shift: Offset,
        *,
        new: bool,
    ) -> IndexGrid:
        grid = worked.grid
        over = worked.design.ground.fabric.over
        for stand in worked.stands:
            if stand.index not in self._by_cells[new]:
                continue
            grid = grid.copy() if grid is worked.grid else grid
            corner = stand.at // over
            alone = np.ones(len(corner), dtype=np.bool_)
            wide, high = (-(-side // over) for side in stand.stitch.over)
            for step in product(range(wide), range(high)):
                cells = corner + np.array(step)
                alike = looked_at(others, cells + np.array(shift)) == partner[stand.index]
                grid[cells[alike, 1], cells[alike, 0]] = stand.index
                alone &= ~alike
            grid[corner[alone, 1], corner[alone, 0]] = stand.index
        return grid

    def apart(
        self, grid: IndexGrid, key: Sequence[KeyEntry], over: int, *, new: bool
    ) -> tuple[IndexGrid, Sewn]:
        """Return a motif's cells without the signs of counted stitches, and these stitches.

        over: threads to one of its crosses.
        """
        left = grid.copy()
        stands = []
        for index in present(grid):
            stitch = key[index - 1].counted if index else None
            if stitch is None or index in self._by_cells[new]:
                continue
            rows, columns = np.nonzero(grid == index)
            left[rows, columns] = 0
            size = grid.shape[1], grid.shape[0]
            for each, at in Signs(index, stitch, columns, rows, size, AS_DRAWN).standing(over):
                placed = np.zeros(len(at), dtype=np.int64)
                stands.append((_Lying(index, each, at / over, placed, over), new))
        return left, self._sewn(stands)

    def _sewn(self, stands: Iterable[tuple[_Lying, bool]]) -> Sewn:
        parts = []
        for lying, new in stands:
            look = self._look(lying.index, lying.stitch, new=new)
            number = self._looks.setdefault(look, len(self._looks) + 1)
            boxes = np.concatenate(
                [lying.at, lying.at + np.array(lying.stitch.over) / lying.over], axis=1
            )
            alike = (np.full(len(boxes), each, dtype=np.int64) for each in (lying.index, number))
            parts.append((*alike, boxes, lying.placed))
        if not parts:
            return NONE_SEWN
        return Sewn(*(np.concatenate(each) for each in zip(*parts, strict=True)))

    def _look(self, index: int, stitch: Counted, *, new: bool) -> Hashable:
        kind = int((self._pairs.new_class if new else self._pairs.old_class)[index])
        return kind, None if kind in self._altered else strokes(stitch)


@dataclass(frozen=True, eq=False)
class _Lying:
    """Stitches of one key line that lie one way; at: the corner of each, in crosses."""

    index: int
    stitch: Counted
    at: Floats
    placed: Ints
    over: int


# --- where they differ ---------------------------------------------------------------------------


def looked_at(grid: IndexGrid, cells: Ints) -> Ints:
    """Return what is at some cells (n, 2), 0 beyond the grid."""
    x, y = cells.T
    there = (x >= 0) & (y >= 0) & (x < grid.shape[1]) & (y < grid.shape[0])
    held = np.zeros(len(cells), dtype=np.int64)
    held[there] = grid[y[there], x[there]]
    return held


def unmatched(old: Sewn, new: Sewn) -> tuple[Mask, Mask]:
    """Tell of each stitch of both, on one grid, whether the other has none like it there."""
    looks = np.concatenate([old.look, new.look])
    number = _numbered([looks, *np.concatenate([old.corners, new.corners]).T])
    one, other = number[: len(old)], number[len(old) :]
    return ~np.isin(one, other), ~np.isin(other, one)


def _numbered(columns: Iterable[Ints]) -> Ints:
    """Return one number for each row of some columns, the same for the same rows."""
    number = np.zeros(1, dtype=np.int64)
    for column in columns:
        _, rank = np.unique(column, return_inverse=True)
        number = number * (int(rank.max(initial=0)) + 1) + rank.ravel()
    return number


def painted(
    cells: Classes, sewn: Sewn, left: float = 0, top: float = 0, side: float = 1
) -> Classes:
    """Return cells by what is stitched in them, counted stitches among it.

    Cells with a counted stitch hold a number that is the same for the same stitches that lie the
    same way in them. left, top: where the cells begin, in crosses; side: of one of them.
    """
    if not len(sewn):
        return cells
    height, width = cells.shape
    boxes = (sewn.boxes - (left, top, left, top)) / side
    starts = np.floor(boxes[:, :2] + 0.5 / PARTS).astype(np.int64)
    sizes = np.rint((boxes[:, 2:] - boxes[:, :2]) * PARTS).astype(np.int64)
    within = np.rint((boxes[:, :2] - starts) * PARTS).astype(np.int64)
    looks = np.concatenate([sewn.look[:, None], within, sizes], axis=1)
    _, first, kind = np.unique(_numbered(looks.T), return_index=True, return_inverse=True)
    signs = np.zeros(cells.shape, dtype=np.uint64)
    for number, (*look, x, y, wide, high) in enumerate(looks[first].tolist()):
        mine = starts[kind.ravel() == number]
        across, down = (-(-(at + size) // PARTS) for at, size in ((x, wide), (y, high)))
        for dy, dx in product(range(down), range(across)):
            columns, rows = (mine + np.array([dx, dy])).T
            seen = (columns >= 0) & (columns < width) & (rows >= 0) & (rows < height)
            sign = _number((*look, x, y, wide, high, dx, dy))
            np.add.at(signs, (rows[seen], columns[seen]), sign)
    numbers = signs ^ (cells.astype(np.uint64) * _SPREAD)
    return np.where(signs != 0, (numbers >> np.uint64(2)).astype(np.int64) | _NO_CLASS, cells)


def _number(of: tuple[int, ...]) -> np.uint64:
    digest = blake2b(repr(of).encode(), digest_size=8).digest()
    return np.uint64(int.from_bytes(digest, "big") | 1)


def ranked(*grids: Classes) -> tuple[Classes, ...]:
    """Return grids with their numbers made small, the same for the same, 0 as it was."""
    flat = np.concatenate([np.zeros(1, dtype=np.int64), *(each.ravel() for each in grids)])
    _, rank = np.unique(flat, return_inverse=True)
    ends = np.cumsum([1, *(each.size for each in grids)])
    return tuple(
        rank[begin : begin + each.size].reshape(each.shape).astype(np.int32)
        for begin, each in zip(ends.tolist(), grids, strict=False)
    )


def inside(sewn: Sewn, cells: Mask, left: int, top: int) -> Mask:
    """Tell of each stitch whether all cells that it lies in are marked.

    left, top: the column and row where the cells begin; no stitch may lie beyond them.
    """
    summed = np.pad(cells.astype(np.int64).cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))
    boxes = sewn.boxes - (left, top, left, top)
    x0, y0 = np.floor(boxes[:, :2] + 0.5 / PARTS).astype(np.int64).T
    x1, y1 = np.ceil(boxes[:, 2:] - 0.5 / PARTS).astype(np.int64).T
    many = summed[y1, x1] - summed[y0, x1] - summed[y1, x0] + summed[y0, x0]
    return np.asarray(many == (x1 - x0) * (y1 - y0))
