"""Likely slips of the pen: what a grid or a placement lacks, for one cell, of what it is nearly.

One cell that its mirror image, its repeats, its motif or field lack; a pair about the middle that
stands one cross off.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import combinations
from weakref import WeakKeyDictionary

import numpy as np

from ...compose.misplaced import place
from ...compose.turning import written
from ...compose.worked import Placed, WorkedChart
from ...core.diagnostics import Hint
from ...core.items import BARE, Mirror, Placement
from ...stitches.turn import Turn
from ..checking import Check, Fault
from ..symmetry import TURNS
from .clusters import Cluster, ClusterKind, clusters
from .handdrawn import DrawnSheet, HandDrawn, Turner, drawn_letters, sheet_of
from .looks import windows
from .moves import LIVELY, differing, moves
from .nearly import Cell, Slip, at, hand_drawn, nearly_motifs, nearly_symmetric
from .odd import Odd, odd_cells
from .repeats import Repeats
from .specks import specks

HALVES = tuple(Turn.of(mirror) for mirror in Mirror)  # a motif of any size may be like itself so
MOST_COPIES = 6  # of one motif: of more, no two are a pair

_SheetSpot = tuple[HandDrawn, Cell]
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
    turner = Turner(written(worked.design.key))
    drawings = list(hand_drawn(worked))
    slips: list[Slip] = []
    told: set[tuple[str, Cell]] = set()
    sheet = sheet_of(drawings, turner) if drawings else None
    if sheet is not None:
        seen = windows(sheet, LIVELY)
        repeats = Repeats(sheet, seen)
        slips += nearly_symmetric(sheet, repeats, turner)
        slips += nearly_motifs(worked, turner)
        told.update((slip.drawn.name, slip.cell) for slip in slips)
        alone, several = differing(sheet, moves(seen))
        odd, parts = odd_cells(sheet, repeats, alone), clusters(sheet, repeats, several)
        _compare(sheet, (odd, parts), _Symmetric(turner), slips, told)
    # A letter alone is no evidence, but for a hole in its stroke.
    letters = list(drawn_letters(worked))
    whole = sheet_of([*drawings, *letters], turner) if letters else sheet
    if whole is not None:
        lone = [whole.find(*each) for each in specks(whole)]
        slips.extend(_speck(*each) for each in lone if told.isdisjoint(_names([each])))
    return [slip for slip in slips if not _excused((slip.drawn, slip.cell))]


def _compare(
    sheet: DrawnSheet,
    differ: tuple[Sequence[Odd], Sequence[Cluster]],
    sound: _Symmetric,
    slips: list[Slip],
    told: set[tuple[str, Cell]],
) -> None:
    """Add the slips that stand out from their like, and what they tell of to what is told."""
    for odd in differ[0]:
        cell, *twins = (sheet.find(*each) for each in (odd.cell, *odd.twins))
        known = not told.isdisjoint(_names([cell, twins[0]]))
        # What is kept so on purpose says nothing of how the others are to be.
        twins = [twin for twin in twins if not _excused(twin)]
        if not twins or known or _stated(cell, twins[0]):
            pass
        elif not sound.vouches(cell):
            slips.append(_odd(cell, twins, odd.sure))
        elif not (odd.sure or sound.vouches(twins[0])):
            slips.append(_odd(twins[0], [cell], sure=True))
        told.update(_names([cell]))
    for cluster in differ[1]:
        cells, twins = (
            [sheet.find(*each) for each in one] for one in (cluster.cells, cluster.twins)
        )
        known = not told.isdisjoint(_names(cells + twins))
        excused = any(_excused(each) for each in cells + twins)
        vouched = all(map(sound.vouches, cells)) or all(map(sound.vouches, twins))
        if not (known or excused or vouched or _stated(cells[0], twins[0])):
            slips.append(_feature(cluster, cells, twins))
        told.update(_names(cells + twins))


def _names(spots: Sequence[_SheetSpot]) -> list[tuple[str, Cell]]:
    return [(drawn.name, cell) for drawn, cell in spots]


def _excused(spot: _SheetSpot) -> bool:
    drawn, cell = spot
    return drawn.excused is not None and bool(drawn.excused[cell])


class _Symmetric:
    """Knows of which motifs all is as it is in their mirror image, stated or not.

    A slip would have to be there twice.
    """

    def __init__(self, turner: Turner) -> None:
        self._turner = turner
        self._turns: dict[int, list[Turn]] = {}

    def vouches(self, spot: _SheetSpot) -> bool:
        """Tell whether the mirror image of a cell, another cell, holds the same."""
        drawn, cell = spot
        if drawn.motif is None:
            return False
        if id(drawn) not in self._turns:
            self._turns[id(drawn)] = [
                turn
                for turn in HALVES
                if np.array_equal(self._turner.turned(drawn.codes, turn), drawn.codes)
            ]
        return any(_image(drawn, cell, turn) != cell for turn in self._turns[id(drawn)])


def _image(drawn: HandDrawn, cell: Cell, turn: Turn) -> Cell:
    height, width = drawn.codes.shape
    ((x, y),) = turn.points(np.array([[cell[1] + 0.5, cell[0] + 0.5]]), width, height)
    return int(y), int(x)


def _stated(spot: _SheetSpot, other: _SheetSpot) -> bool:
    """Tell whether a symmetry that is stated, and so has a rule of its own, leads to the other."""
    drawn, cell = spot
    twin_of, twin = other
    if drawn is not twin_of or drawn.motif is None or drawn.motif.symmetry is None:
        return False
    return any(_image(drawn, cell, turn) == twin for turn in TURNS[drawn.motif.symmetry])


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
