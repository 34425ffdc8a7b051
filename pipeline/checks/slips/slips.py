"""Likely slips of the pen: one cell that its mirror image, its repeats, its motif or field lack."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from weakref import WeakKeyDictionary

import numpy as np

from ...compose.worked import WorkedChart
from ...core.diagnostics import Hint
from ...core.model import BARE
from ..checking import Check, Fault
from ..symmetry import TURNS
from .clusters import Cluster, Kind, clusters
from .handdrawn import Drawn, Turner
from .laidout import sheet_of
from .looks import windows
from .moves import LIVELY, moves
from .nearly import Cell, Slip, at, hand_drawn, nearly_motifs, nearly_symmetric
from .odd import odd_cells
from .selfmatch import differing
from .specks import specks

_Spot = tuple[Drawn, Cell]

_LOOKED_OVER: WeakKeyDictionary[WorkedChart, list[Slip]] = WeakKeyDictionary()


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
    found = [*nearly_symmetric(worked, turner), *nearly_motifs(worked, turner)]
    told = {(slip.drawn.name, slip.cell) for slip in found}
    drawings = list(hand_drawn(worked))
    if not drawings:
        return found
    sheet = sheet_of(drawings, turner)
    seen = windows(sheet, LIVELY)
    alone, several = differing(sheet, moves(seen))
    for odd in odd_cells(sheet, seen, alone):
        cell, *twins = (sheet.find(*each) for each in (odd.cell, *odd.twins))
        known = not told.isdisjoint(_names([cell, twins[0]]))
        # What is kept so on purpose says nothing of how the others are to be.
        twins = [each for each in twins if not _excused(each)]
        if twins and not (known or _stated(cell, twins[0])):
            found.append(_odd(cell, twins, odd.sure))
        told.update(_names([cell]))
    for cluster in clusters(sheet, seen, several):
        cells, twins = (
            [sheet.find(*each) for each in one] for one in (cluster.cells, cluster.twins)
        )
        known = not told.isdisjoint(_names(cells + twins))
        excused = any(_excused(each) for each in cells + twins)
        if not (known or excused or _stated(cells[0], twins[0])):
            found.append(_feature(cluster, cells, twins))
        told.update(_names(cells + twins))
    lone = (sheet.find(*each) for each in specks(sheet, worked))
    found.extend(_speck(*each) for each in lone if told.isdisjoint(_names([each])))
    return [slip for slip in found if not _excused((slip.drawn, slip.cell))]


def _names(spots: Sequence[_Spot]) -> list[tuple[str, Cell]]:
    return [(drawn.name, cell) for drawn, cell in spots]


def _excused(spot: _Spot) -> bool:
    drawn, cell = spot
    return drawn.excused is not None and bool(drawn.excused[cell])


def _stated(spot: _Spot, other: _Spot) -> bool:
    """Tell whether a symmetry that is stated, and so has a rule of its own, leads to the other."""
    drawn, cell = spot
    twin_of, twin = other
    if drawn is not twin_of or drawn.motif is None or drawn.motif.symmetry is None:
        return False
    height, width = drawn.codes.shape
    middle = np.array([[cell[1] + 0.5, cell[0] + 0.5]])
    images = (turn.points(middle, width, height)[0] for turn in TURNS[drawn.motif.symmetry])
    return any((int(y), int(x)) == twin for x, y in images)


def _odd(spot: _Spot, twins: Sequence[_Spot], sure: bool) -> Slip:
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
            f"`{symbol}` at {at(cell)} of {drawn.name} stands where {match} at {shown} "
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


def _elsewhere(spot: _Spot, beside: Drawn) -> str:
    drawn, cell = spot
    return at(cell) if drawn is beside else f"{at(cell)} of {drawn.name}"


def _feature(cluster: Cluster, cells: Sequence[_Spot], twins: Sequence[_Spot]) -> Slip:
    drawn, cell = cells[0]
    other, twin = twins[0]
    symbol, wanted = drawn.symbol(*cell), other.symbol(*twin)
    here, like = _area(cells), _area(twins)
    like += "" if other is drawn else f" of {other.name}"
    second = Hint("the matching part", other.cell_span(*twin))
    advice = "unless it is meant"
    if not cluster.sure:
        advice = f"or change the matching part, {advice}"
    if cluster.kind is Kind.THREAD:
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
        (second, f"set it right here, {advice}"),
    )


def _area(spots: Sequence[_Spot]) -> str:
    rows, columns = zip(*(cell for _, cell in spots), strict=True)
    return f"{at((min(rows), min(columns)))} to {at((max(rows) + 1, max(columns) + 1))}"


def _speck(drawn: Drawn, cell: Cell) -> Slip:
    field, symbol = drawn.symbol(cell[0], cell[1] - 1), drawn.symbol(*cell)
    what = "A hole" if symbol == BARE else f"A lone `{symbol}`"
    return Slip(
        "speck",
        drawn,
        cell,
        f"{what} lies in a field of `{field}`, at {at(cell)} of {drawn.name}.",
        (f"type `{field}`, unless it is meant",),
    )


CHECKS = (
    Check("lone-stitch", _found("lone-stitch")),
    Check("odd-repeat", _found("odd-repeat")),
    Check("odd-twin", _found("odd-twin")),
    Check("off-by-one", _found("off-by-one")),
    Check("other-thread", _found("other-thread")),
    Check("nearly-a-motif", _found("nearly-a-motif")),
    Check("nearly-symmetric", _found("nearly-symmetric")),
    Check("speck", _found("speck")),
)
