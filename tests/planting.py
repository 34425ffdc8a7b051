"""Slips of the pen planted in a sound chart, one cross each, and whether the checks name them.

What is planted knows nothing of how the checks look: where a cell ought to be like another is
taken from what the designer placed, not from the grid.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from linenleaf.checks.slips.handdrawn import codes_of
from linenleaf.compose.turning import Turn
from linenleaf.compose.worked import Placed, WorkedChart
from linenleaf.core.diagnostics import Diagnostics
from linenleaf.core.items import Border, Item, Lettering, Placement
from linenleaf.core.matter import NoteKind
from linenleaf.core.source import Source, Span
from numpy.typing import NDArray
from scipy.ndimage import label

CATEGORIES = ("mirrored motif", "repeated band", "border", "letter", "field")
WAYS = tuple(Turn(flip, quarters) for flip in (False, True) for quarters in range(4))
MOST_CELLS = 40  # of a part of a figure
NEAR = 3  # cells around a slip from which the wrong symbol is taken, as a hand takes it


@dataclass(frozen=True)
class Ground:
    """What is known of each cell of a sound chart, all (height, width).

    category: 0 none, else 1 + its place in CATEGORIES. twins: other cells that a motif placed
    twice, a repeat or a symmetry of the motif makes hold the same. field: whether all around it
    is as it is. kept: whether a note says that what is odd there is to stay.
    """

    grid: NDArray[np.uint16]
    category: NDArray[np.uint8]
    twins: NDArray[np.int64]
    field: NDArray[np.bool_]
    kept: NDArray[np.bool_]

    @property
    def evidence(self) -> NDArray[np.bool_]:
        """Whether anything in the chart says what a cell ought to hold."""
        return ((self.twins > 0) | self.field) & ~self.kept


@dataclass(frozen=True)
class Slip:
    """One cell that holds another symbol than it should. A symbol is a key index, 0 bare."""

    category: str
    row: int
    column: int
    symbol: int
    evidence: bool


def ground_of(worked: WorkedChart) -> Ground:
    """What the designer placed, cell by cell."""
    category = np.zeros(worked.grid.shape, np.uint8)
    groups: dict[tuple[str, str], list[Placed]] = {}
    for placed in worked.placed:
        item = item_of(worked, placed)
        if placed.piece or item is None:
            continue
        # A letter in other colours is not taken for a twin.
        kind = f"{item.alphabet} {item.swap}" if isinstance(item, Lettering) else ""
        groups.setdefault((kind, placed.name), []).append(placed)
    twins = np.zeros(worked.grid.shape, np.int64)
    for group in groups.values():
        copies = [copy for each in group for copy in copies_of(each)]
        count_twins(worked, copies, twins)
        for each in group:
            item = item_of(worked, each)
            assert item is not None
            name = category_of(item, len(copies))
            if name:
                paint(category, worked, each, CATEGORIES.index(name) + 1)
    return Ground(worked.grid, category, twins, field_of(worked.grid), kept_in(worked))


def kept_in(worked: WorkedChart) -> NDArray[np.bool_]:
    """The cells that a `kept` note lies over."""
    cells = np.zeros(worked.grid.shape, bool)
    for note in worked.design.notes:
        if note.kind is NoteKind.KEPT:
            top, bottom = math.floor(note.y0), math.ceil(note.y1)
            cells[top:bottom, math.floor(note.x0) : math.ceil(note.x1)] = True
    return cells


def item_of(worked: WorkedChart, placed: Placed) -> Item | None:
    """The item of the source that placed a thing, None for the whole-chart grid."""
    return next((each for each in worked.design.chart.items if each.span is placed.span), None)


def category_of(item: Item, copies: int) -> str:
    """What a person would call it."""
    if isinstance(item, Lettering):
        return "letter"
    if isinstance(item, Border):
        return "border"
    assert isinstance(item, Placement)
    if item.across * item.down > 1:
        return "repeated band"
    return "mirrored motif" if copies > 1 else ""


def field_of(grid: NDArray[np.uint16]) -> NDArray[np.bool_]:
    """Whether a stitched cell and the eight around it hold the same."""
    inner = np.zeros(grid.shape, bool)
    middle = grid[1:-1, 1:-1]
    inner[1:-1, 1:-1] = middle != 0
    height, width = grid.shape
    for down in (0, 1, 2):
        for across in (0, 1, 2):
            there = grid[down : height - 2 + down, across : width - 2 + across]
            inner[1:-1, 1:-1] &= there == middle
    return inner


@dataclass(frozen=True)
class Copy:
    """One way in which a motif lies on a placed thing. at: (rows, columns, 2) row, column."""

    at: NDArray[np.int64]
    values: NDArray[np.uint16]  # what the placed thing holds there


def copies_of(placed: Placed) -> Iterator[Copy]:
    """All ways in which the thing as drawn lies on the thing as placed: several if symmetric."""
    grid = placed.grid
    height, width = grid.shape
    rows, columns = np.mgrid[:height, :width]
    at = np.stack([rows + round(placed.y), columns + round(placed.x)], axis=-1)
    if placed.motif is None:
        yield Copy(at, grid)
        return
    drawn = pattern(codes_of(placed.motif.rows))
    for way in WAYS:
        if way.size(placed.motif.width, placed.motif.height) != (width, height):
            continue
        number = np.arange(drawn.size).reshape(drawn.shape)
        if np.array_equal(pattern(way.grid(drawn)), pattern(grid)):
            there = way.grid(number).ravel()
            back = np.empty_like(there)
            back[there] = np.arange(there.size)
            flat = at.reshape(-1, 2)[back].reshape(*drawn.shape, 2)
            yield Copy(flat, grid.ravel()[back].reshape(drawn.shape))


def pattern(cells: NDArray[np.generic]) -> NDArray[np.int64]:
    """Cells numbered by when their value first comes up: alike where only the colours differ."""
    _, first, inverse = np.unique(cells, return_index=True, return_inverse=True)
    order = np.empty(len(first), np.int64)
    order[np.argsort(first)] = np.arange(len(first))
    return order[inverse].reshape(cells.shape)


def count_twins(worked: WorkedChart, copies: list[Copy], twins: NDArray[np.int64]) -> None:
    """Count for each cell of these copies how many others show what it holds."""
    grid = worked.grid
    places, values = (np.stack([getattr(c, f) for c in copies]) for f in ("at", "values"))
    flat = places[..., 0] * grid.shape[1] + places[..., 1]
    seen = grid.ravel()[flat] == values  # else something else lies over it
    for row, column in np.ndindex(flat.shape[1:]):
        there = flat[:, row, column][seen[:, row, column]]
        same = values[:, row, column][seen[:, row, column]]
        for value in np.unique(same):
            cells = np.unique(there[same == value])
            twins.ravel()[cells] = np.maximum(twins.ravel()[cells], len(cells) - 1)


def paint(category: NDArray[np.uint8], worked: WorkedChart, placed: Placed, number: int) -> None:
    """Mark the stitches of a placed thing and the bare cells that touch them."""
    stitched = placed.grid != 0
    near = np.zeros_like(stitched)
    padded = np.pad(stitched, 1)
    for down in (0, 1, 2):
        for across in (0, 1, 2):
            height, width = stitched.shape
            near |= padded[down : down + height, across : across + width]
    top, left = round(placed.y), round(placed.x)
    area = np.s_[top : top + near.shape[0], left : left + near.shape[1]]
    near &= worked.grid[area] == placed.grid
    category[area][near] = number


def plant(ground: Ground, many: int, seed: int) -> list[Slip]:
    """So many slips of each category, at random; fewer where a chart has fewer cells of it."""
    rng = np.random.default_rng(seed)
    slips = []
    for number, name in enumerate(CATEGORIES, 1):
        where = ground.field if name == "field" else ground.category == number
        cells = np.argwhere(where)
        picked = rng.choice(len(cells), min(many, len(cells)), replace=False)
        for row, column in cells[np.sort(picked)].tolist():
            symbol = wrong(ground.grid, row, column, rng)
            evidence = bool(ground.evidence[row, column])
            slips.append(Slip(name, row, column, symbol, evidence))
    return slips


@dataclass(frozen=True)
class Feature:
    """A part of a figure that is not as it is in its like.

    what: `thread` or `row`. cells: (n, 2) row and column of the cells that hold something else.
    symbols: (n,) what they hold.
    """

    what: str
    cells: NDArray[np.int64]
    symbols: NDArray[np.uint16]


def plant_features(ground: Ground, many: int, seed: int) -> list[Feature]:
    """So many patches of one colour with twins, in another thread or one row off by turns.

    None where the chart has no such patch. What lies between the cells of a patch is moved with it,
    as what an outline runs around is, so that all of it together is no larger than a patch.
    """
    rng = np.random.default_rng(seed)
    found = list(patches(ground))
    small = [each for each in found if np.prod(np.ptp(each, axis=0) + 1) <= MOST_CELLS]
    planted: list[Feature] = []
    while small and len(planted) < many:
        what = ("thread", "row")[len(planted) % 2]
        among = found if what == "thread" else small
        patch = among[rng.integers(len(among))]
        grid = ground.grid.copy()
        if what == "thread":
            row, column = patch[0].tolist()
            grid[tuple(patch.T)] = wrong(ground.grid, row, column, rng, stitched=True)
        else:
            step_off(grid, ground.grid, patch, int(rng.choice([-1, 1])))
        cells = np.argwhere(grid != ground.grid)
        if len(cells) > 1:
            planted.append(Feature(what, cells, grid[tuple(cells.T)]))
    return planted


def patches(ground: Ground) -> Iterator[NDArray[np.int64]]:
    """Patches of 2 to 40 joined cells of one colour, each with a twin, beside other stitches.

    A letter or a figure that is all in one colour is no part of anything.
    """
    stitched = np.pad(ground.grid > 0, 1)
    for symbol in np.unique(ground.grid[ground.grid > 0]):
        joined, count = label(ground.grid == symbol, structure=np.ones((3, 3)))
        for number in range(1, count + 1):
            cells = np.argwhere(joined == number)
            if not (2 <= len(cells) <= MOST_CELLS and (ground.twins[tuple(cells.T)] > 0).all()):
                continue
            around = {(r + d, c + a) for r, c in cells.tolist() for d in range(3) for a in range(3)}
            own = {(r + 1, c + 1) for r, c in cells.tolist()}
            if any(stitched[each] for each in around - own):
                yield cells


def step_off(
    grid: NDArray[np.uint16], sound: NDArray[np.uint16], patch: NDArray[np.int64], step: int
) -> None:
    """Move a patch and what lies between its cells one row up (-1) or down (1)."""
    (top, left), (bottom, right) = patch.min(axis=0), patch.max(axis=0) + 1
    if top == 0 or bottom == len(grid):
        return
    grid[top + step : bottom + step, left:right] = sound[top:bottom, left:right]
    # What is laid bare is as what lies beyond it.
    row = top if step > 0 else bottom - 1
    grid[row, left:right] = sound[row - step, left:right]


def wrong(
    grid: NDArray[np.uint16],
    row: int,
    column: int,
    rng: np.random.Generator,
    *,
    stitched: bool = False,
) -> int:
    """A wrong symbol for a cell: one that stands near it, bare fabric among them if it may be."""
    around = grid[max(0, row - NEAR) : row + NEAR + 1, max(0, column - NEAR) : column + NEAR + 1]
    not_it = {int(grid[row, column])} | ({0} if stitched else set())
    near = (set(np.unique(around).tolist()) | {0}) - not_it
    if not near:
        near = set(np.unique(grid).tolist()) - not_it
    return int(rng.choice(sorted(near)))


def named(findings: Diagnostics, path: str, offset: int) -> str:
    """Whether the findings name a cell: `exact` its place, `pair` it or its image, or nothing."""
    if any(at(each.span, path, offset) for each in findings):
        return "exact"
    hints = (hint.span for each in findings for hint in each.hints)
    return "pair" if any(at(span, path, offset) for span in hints) else ""


def at(span: Span | None, path: str, offset: int) -> bool:
    return span is not None and span.path == path and (span.start, span.length) == (offset, 1)


def put(source: Source, offset: int, symbol: str) -> str:
    """The text with one character changed."""
    return source.text[:offset] + symbol + source.text[offset + 1 :]
