"""Likely slips of the pen: what a grid or a placement lacks, for one cell, of what it is nearly.

One cell that its mirror image, its repeats, its motif or field lack; a pair about the middle that
stands one cross off.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from ...compose.misplaced import place
from ...compose.worked import Placed, WorkedChart
from ...core.diagnostics import Hint
from ...core.model import BARE, Placement
from ...stitches.turn import Turn
from ..checking import Check, Fault
from ..symmetry import TURNS
from .clusters import Cluster, ClusterKind, clusters
from .handdrawn import BARE_CELL, DrawnSheet, HandDrawn, Turner, sheet_of
from .looks import windows
from .moves import LIVELY, differing, moves
from .nearly import Cell, Slip, at, hand_drawn, nearly_motifs, nearly_symmetric
from .odd import odd_cells
from .repeats import Repeats

MOST_KINDS = 3  # of lone crosses: where there are more, the fields are shaded by them
MOST_DEEP = 6  # lone crosses deep in fields: where there are more, they are stars or rain
MOST_COPIES = 6  # of one motif: of more, no two are a pair
MOST_NEAR = 3  # of its own kind within two cells of a lone cross: more, and it belongs to them

Ints = NDArray[np.int64]
_SheetSpot = tuple[HandDrawn, Cell]
_LOOKED_OVER: WeakKeyDictionary[WorkedChart, list[Slip]] = WeakKeyDictionary()


@dataclass(frozen=True, eq=False)
class _Lone:
    """Cells alone in their field. field: what all eight around each of them hold."""

    row: Ints
    column: Ints
    value: Ints
    field: Ints


def specks(sheet: DrawnSheet, worked: WorkedChart) -> list[tuple[int, int]]:
    """Return the cells (row, column of the sheet) that are alone of their kind in a field.

    What lies so twice, in the whole chart as it is worked, is meant: an eye, a berry, a window.
    """
    lone = _lone(sheet.cells, BARE_CELL)
    if not lone.row.size:
        return []
    once = _kinds_once(worked)
    kinds: set[tuple[str, str]] = set()
    alone: list[tuple[bool, bool, tuple[int, int]]] = []
    places = zip(lone.row.tolist(), lone.column.tolist(), lone.value.tolist(), strict=True)
    for row, column, value in places:
        drawn, cell = sheet.find(row, column)
        kind = drawn.symbol(*cell), drawn.symbol(cell[0], cell[1] - 1)
        if kind not in once:
            continue
        kinds.add(kind)
        around = sheet.cells[row - 2 : row + 3, column - 2 : column + 3]
        # Alone among twenty-four, not among eight only?
        deep = around.size == 25 and len(np.unique(around)) == 2 and _count(around, value) == 1
        clear = value == BARE_CELL or _count(around, value) - 1 <= MOST_NEAR
        if deep or clear:
            alone.append((deep, clear, (row, column)))
    stars = sum(deep for deep, _, _ in alone) > MOST_DEEP
    shaded = len(kinds) > MOST_KINDS
    return [place for deep, clear, place in alone if (clear and not shaded) or (deep and not stars)]


def _count(cells: NDArray[np.uint16], value: int) -> int:
    return int(np.count_nonzero(cells == value))


def _lone(cells: NDArray[np.uint16], bare: int) -> _Lone:
    """Return the cells whose eight neighbours all hold one other stitch."""
    field = cells[:-2, :-2]
    lone = (field > bare) & (cells[1:-1, 1:-1] != field)
    height, width = field.shape
    for down, across in ((0, 1), (0, 2), (1, 0), (1, 2), (2, 0), (2, 1), (2, 2)):
        lone &= cells[down : down + height, across : across + width] == field
    row, column = (each + 1 for each in np.nonzero(lone))
    value = cells[row, column].astype(np.int64)
    return _Lone(row, column, value, cells[row, column - 1].astype(np.int64))


def _kinds_once(worked: WorkedChart) -> set[tuple[str, str]]:
    """Return which symbols lie alone in a field of which other at most once in the whole chart.

    A stitch that comes up nowhere else is an eye, and no slip.
    """
    symbols = [".", *(entry.symbol for entry in worked.design.key)]
    often: dict[tuple[str, str], int] = {}
    used = np.zeros(len(symbols), np.int64)
    for grid in (worked.grid, *(piece.grid for piece in worked.pieces)):
        used += np.bincount(grid.ravel(), minlength=len(symbols))
        if min(grid.shape) < 3:
            continue
        lone = _lone(grid, 0)
        for value, field in zip(lone.value.tolist(), lone.field.tolist(), strict=True):
            kind = symbols[value], symbols[field]
            often[kind] = often.get(kind, 0) + 1
    several = {symbol for symbol, many in zip(symbols, used.tolist(), strict=True) if many > 1}
    several.add(".")
    return {
        (one, other)
        for one in several
        for other in symbols
        if one != other and often.get((one, other), 0) <= 1
    }


def _found(name: str) -> Callable[[WorkedChart], Iterator[Fault]]:
    """Return what tells the slips that one rule found; the chart is looked over once for all."""

    def look(worked: WorkedChart) -> Iterator[Fault]:
        if worked not in _LOOKED_OVER:
            _LOOKED_OVER[worked] = _look_over(worked)
        yield from (slip.fault for slip in _LOOKED_OVER[worked] if slip.name == name)

    return look


def _look_over(worked: WorkedChart) -> list[Slip]:
    """Return all slips; no cell is told of twice by different rules."""
    turner = Turner(worked.design.key)
    slips = [*nearly_symmetric(worked, turner), *nearly_motifs(worked, turner)]
    told = {(slip.drawn.name, slip.cell) for slip in slips}
    drawings = list(hand_drawn(worked))
    if not drawings:
        return slips
    sheet = sheet_of(drawings, turner)
    seen = windows(sheet, LIVELY)
    alone, several = differing(sheet, moves(seen))
    repeats = Repeats(sheet, seen)
    for odd in odd_cells(sheet, repeats, alone):
        cell, *twins = (sheet.find(*each) for each in (odd.cell, *odd.twins))
        known = not told.isdisjoint(_names([cell, twins[0]]))
        # What is kept so on purpose says nothing of how the others are to be.
        twins = [twin for twin in twins if not _excused(twin)]
        if twins and not (known or _stated(cell, twins[0])):
            slips.append(_odd(cell, twins, odd.sure))
        told.update(_names([cell]))
    for cluster in clusters(sheet, repeats, several):
        cells, twins = (
            [sheet.find(*each) for each in one] for one in (cluster.cells, cluster.twins)
        )
        known = not told.isdisjoint(_names(cells + twins))
        excused = any(_excused(each) for each in cells + twins)
        if not (known or excused or _stated(cells[0], twins[0])):
            slips.append(_feature(cluster, cells, twins))
        told.update(_names(cells + twins))
    lone = (sheet.find(*each) for each in specks(sheet, worked))
    slips.extend(_speck(*each) for each in lone if told.isdisjoint(_names([each])))
    return [slip for slip in slips if not _excused((slip.drawn, slip.cell))]


def _names(spots: Sequence[_SheetSpot]) -> list[tuple[str, Cell]]:
    return [(drawn.name, cell) for drawn, cell in spots]


def _excused(spot: _SheetSpot) -> bool:
    drawn, cell = spot
    return drawn.excused is not None and bool(drawn.excused[cell])


def _stated(spot: _SheetSpot, other: _SheetSpot) -> bool:
    """Tell whether a symmetry that is stated, and so has a rule of its own, leads to the other."""
    drawn, cell = spot
    twin_of, twin = other
    if drawn is not twin_of or drawn.motif is None or drawn.motif.symmetry is None:
        return False
    height, width = drawn.codes.shape
    middle = np.array([[cell[1] + 0.5, cell[0] + 0.5]])
    images = (turn.points(middle, width, height)[0] for turn in TURNS[drawn.motif.symmetry])
    return any((int(y), int(x)) == twin for x, y in images)


def _odd(spot: _SheetSpot, twins: Sequence[_SheetSpot], sure: bool) -> Slip:
    drawn, cell = spot
    other, twin = twins[0]
    symbol, wanted = drawn.symbol(*cell), other.symbol(*twin)
    if sure:
        shown = " and ".join(_elsewhere(each, drawn) for each in twins[:2])
        match = "the matching cells" if len(twins) > 1 else "the matching cell"
        return Slip(
            "odd-repeat",
            drawn,
            cell,
            f"`{symbol}` at {at(cell)} of {drawn.name} is where {match} at {shown} "
            f"{'have' if len(twins) > 1 else 'has'} `{wanted}`.",
            (
                Hint("the matching cell", other.cell_span(*twin)),
                f"type `{wanted}`, unless it is meant",
            ),
        )
    return Slip(
        "odd-twin",
        drawn,
        cell,
        f"`{symbol}` at {at(cell)} of {drawn.name} and `{wanted}` at {_elsewhere(twins[0], drawn)} "
        "differ, though everything around them matches: one of them is probably a slip.",
        (Hint("the other one", other.cell_span(*twin)), "make them alike, unless it is meant"),
    )


def _elsewhere(spot: _SheetSpot, beside: HandDrawn) -> str:
    drawn, cell = spot
    return at(cell) if drawn is beside else f"{at(cell)} of {drawn.name}"


def _feature(cluster: Cluster, cells: Sequence[_SheetSpot], twins: Sequence[_SheetSpot]) -> Slip:
    drawn, cell = cells[0]
    other, twin = twins[0]
    symbol, wanted = drawn.symbol(*cell), other.symbol(*twin)
    here, like = _area(cells), _area(twins)
    like += "" if other is drawn else f" of {other.name}"
    second = Hint("the matching part", other.cell_span(*twin))
    advice = "unless it is meant"
    if not cluster.sure:
        advice = f"or change the matching part, {advice}"
    if cluster.kind is ClusterKind.THREAD:
        return Slip(
            "other-thread",
            drawn,
            cell,
            f"`{symbol}` is used for {len(cells)} cells at {here} of {drawn.name}, where the "
            f"matching part at {like} has `{wanted}`.",
            (second, f"type `{wanted}` here, {advice}"),
        )
    return Slip(
        "off-by-one",
        drawn,
        cell,
        f"At {here} {drawn.name} is {cluster.kind.value} than the matching part at {like}.",
        (second, f"correct it here, {advice}"),
    )


def _area(spots: Sequence[_SheetSpot]) -> str:
    rows, columns = zip(*(cell for _, cell in spots), strict=True)
    return f"{at((min(rows), min(columns)))} to {at((max(rows) + 1, max(columns) + 1))}"


def _speck(drawn: HandDrawn, cell: Cell) -> Slip:
    field, symbol = drawn.symbol(cell[0], cell[1] - 1), drawn.symbol(*cell)
    what = "A hole" if symbol == BARE else f"A lone `{symbol}`"
    return Slip(
        "speck",
        drawn,
        cell,
        f"{what} is in a field of `{field}`, at {at(cell)} of {drawn.name}.",
        (f"type `{field}`, unless it is meant",),
    )


def _off_centre(worked: WorkedChart) -> Iterator[Fault]:
    single = {
        id(item.span): item
        for item in worked.design.chart.items
        if isinstance(item, Placement) and item.across * item.down == 1 and item.span is not None
    }
    motifs: dict[tuple[str, float], list[tuple[Placement, Placed]]] = {}
    for placed in worked.placed:
        item = single.get(id(placed.span))
        if item is not None:
            motifs.setdefault((item.motif, placed.cell), []).append((item, placed))
    for copies in motifs.values():
        if len(copies) <= MOST_COPIES:
            for (one, first), (other, second) in combinations(copies, 2):
                if _mirrored(one, other):
                    yield from _pair(worked, first, second)


def _mirrored(one: Placement, other: Placement) -> bool:
    """Tell whether one is the other seen in a mirror that stands upright between them."""
    lies, image = (Turn.of(each.mirror) for each in (one, other))
    return one.turns == other.turns == 0 and lies.then(Turn(flip=True)) == image


def _pair(worked: WorkedChart, first: Placed, second: Placed) -> Iterator[Fault]:
    aside = first.x + second.x + first.width - worked.width
    lower = second.y - first.y
    if {abs(aside), abs(lower)} != {0.0, 1.0}:
        return
    x = worked.width - first.x - first.width
    yield Fault(
        f"`{second.name}` is at {place((second.x, second.y))}, one cross off the mirror image "
        f"of the other one, which would be at {place((x, first.y))}.",
        second.span,
        (Hint("the other one", first.span), "move one of them, unless it is meant"),
    )


CHECKS = (
    Check("off-centre", _off_centre),
    Check("lone-stitch", _found("lone-stitch")),
    Check("odd-repeat", _found("odd-repeat")),
    Check("odd-twin", _found("odd-twin")),
    Check("off-by-one", _found("off-by-one")),
    Check("other-thread", _found("other-thread")),
    Check("nearly-a-motif", _found("nearly-a-motif")),
    Check("nearly-symmetric", _found("nearly-symmetric")),
    Check("speck", _found("speck")),
)
