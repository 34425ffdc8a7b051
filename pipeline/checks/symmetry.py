"""Whether a stated symmetry holds: for cells, pieces, lines and knots."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..compose.misplaced import counted, place, squares
from ..compose.turning import turned_key, written
from ..compose.worked import WorkedChart, WorkedKnot, WorkedLine
from ..core.diagnostics import Hint
from ..core.items import Mirror, Motif, Symmetry
from ..core.key import KeyEntry
from ..core.source import Span
from ..stitches.turn import Turn
from .checking import Check, Fault
from .lines import steps
from .slips.handdrawn import HandDrawn, Turner, drawn_motifs, excused

_ADVICE = "make them alike, or take `symmetric` out"
SHOWN = 3  # broken cells named one by one

TURNS: dict[Symmetry, tuple[Turn, ...]] = {
    Symmetry.LEFT_RIGHT: (Turn.of(Mirror.LEFT_RIGHT),),
    Symmetry.TOP_BOTTOM: (Turn.of(Mirror.TOP_BOTTOM),),
    Symmetry.BOTH: (Turn.of(Mirror.LEFT_RIGHT), Turn.of(Mirror.TOP_BOTTOM)),
    Symmetry.HALF_TURN: (Turn(quarters=2),),
    Symmetry.QUARTER_TURN: (Turn(quarters=1),),
}

Pair = tuple[tuple[int, int], tuple[int, int]]  # (row, column) of a cell and of its image


def broken_pairs(
    broken: NDArray[np.bool_], turn: Turn, shown: int | None = None
) -> tuple[list[Pair], int]:
    """Return the cells that differ from what the turn brings to them, and where that comes from.

    Each pair is named once. The second value is how many there are; at most `shown` are listed.
    """
    height, width = broken.shape
    rows, columns = np.nonzero(broken)
    middles = np.stack([columns + 0.5, rows + 0.5], axis=1)
    # What lies on a cell after the turn came from the place the turn back leads to.
    back = turn if turn.flip else Turn(quarters=(4 - turn.quarters) % 4)
    sources = np.floor(back.points(middles, width, height)).astype(np.int64)
    own = rows * width + columns
    other = sources[:, 1] * width + sources[:, 0]
    involution = turn.flip or turn.quarters == 2
    first = np.flatnonzero(own <= other) if involution else np.arange(len(own))
    pairs = [
        (
            (int(rows[each]), int(columns[each])),
            (int(sources[each, 1]), int(sources[each, 0])),
        )
        for each in first[:shown].tolist()
    ]
    return pairs, len(first)


def _motifs(worked: WorkedChart) -> Iterator[Fault]:
    turner = Turner(written(worked.design.key))
    for drawn in drawn_motifs(worked):
        motif = drawn.motif
        if motif is None or motif.symmetry is None:
            continue
        for turn in TURNS[motif.symmetry]:
            if turn.quarters % 2 and motif.width != motif.height:
                yield _not_square(
                    f"The motif `{motif.name}`", motif.width, motif.height, motif.span
                )
                break
            yield from _motif_cells(drawn, motif, turner, turn)
            yield from _motif_lines(motif, worked.design.key, turn, worked)


def _not_square(name: str, width: int, height: int, span: Span | None) -> Fault:
    return Fault(
        f"{name} is marked symmetric by a quarter turn, but is {width} x {height}, not square.",
        span,
        ("make it square, or state a half turn",),
    )


def _motif_cells(drawn: HandDrawn, motif: Motif, turner: Turner, turn: Turn) -> Iterator[Fault]:
    assert motif.symmetry is not None
    broken = turner.turned(drawn.codes, turn) != drawn.codes
    pairs, count = broken_pairs(broken, turn, SHOWN)
    if not count:
        return
    named = "; ".join(
        f"`{drawn.symbol(*one)}` at {_at(one)} against `{drawn.symbol(*other)}` at {_at(other)}"
        for one, other in pairs
    )
    yield Fault(
        f"The motif `{motif.name}` is marked symmetric {motif.symmetry.value}, but "
        f"{counted(count, 'cell')} {'breaks' if count == 1 else 'break'} it: {named}"
        f"{'; and more' if count > SHOWN else ''}.",
        drawn.cell_span(*pairs[0][0]),
        (Hint("its counterpart", drawn.cell_span(*pairs[0][1])), _ADVICE),
    )


def _at(cell: tuple[int, int]) -> str:
    return place((cell[1], cell[0]))


def _motif_lines(
    motif: Motif, key: Sequence[KeyEntry], turn: Turn, worked: WorkedChart
) -> Iterator[Fault]:
    index = {entry.symbol: number for number, entry in enumerate(key, 1)}
    lines = [
        WorkedLine(index.get(line.symbol, 0), np.array(line.points), 1.0, line.span)
        for line in motif.lines
    ]
    knots = [
        WorkedKnot(index.get(knot.symbol, 0), *point, knot.span)
        for knot in motif.knots
        for point in knot.points
    ]
    over = motif.over or worked.design.ground.fabric.over
    size = motif.width, motif.height
    yield from _marks(f"The motif `{motif.name}`", _Marks(lines, knots, key, over), turn, size)


@dataclass(frozen=True)
class _Marks:
    """Lines and knots to hold to a symmetry; over: threads to a cross."""

    lines: Sequence[WorkedLine]
    knots: Sequence[WorkedKnot]
    key: Sequence[KeyEntry]
    over: int


def _marks(name: str, marks: _Marks, turn: Turn, size: tuple[float, float]) -> Iterator[Fault]:
    cut = steps(marks.lines, marks.over)
    if cut is not None and len(cut.line):
        kind = np.array([line.index for line in marks.lines])[cut.line]
        wide, high = (each * cut.unit for each in size)
        one = np.rint(turn.points(cut.ends[:, :2].astype(np.float64), wide, high))
        two = np.rint(turn.points(cut.ends[:, 2:].astype(np.float64), wide, high))
        swap = (one[:, 0] > two[:, 0]) | ((one[:, 0] == two[:, 0]) & (one[:, 1] > two[:, 1]))
        images = np.where(swap[:, None], np.hstack([two, one]), np.hstack([one, two]))
        there = _rows(kind, cut.ends)
        for number, image in enumerate(_rows(kind, images.astype(np.int64))):
            if image not in there:
                line = marks.lines[cut.line[number]]
                x, y = line.points[0].tolist()
                symbol = marks.key[line.index - 1].symbol
                yield _without_image(name, "line", symbol, (x, y), line.span)
                break
    unit = 2 * marks.over
    points = {
        (knot.index, round(knot.x * unit), round(knot.y * unit)): knot for knot in marks.knots
    }
    for (index, _, _), knot in points.items():
        x, y = turn.points(np.array([[knot.x, knot.y]]), *size)[0].tolist()
        if (index, round(x * unit), round(y * unit)) not in points:
            symbol = marks.key[index - 1].symbol
            yield _without_image(name, "knot", symbol, (knot.x, knot.y), knot.span)
            break


def _rows(kind: NDArray[np.int64], ends: NDArray[np.int64]) -> dict[tuple[int, ...], None]:
    table = np.concatenate([kind[:, None], ends], axis=1).tolist()
    return dict.fromkeys(tuple(row) for row in table)


def _without_image(
    name: str, what: str, symbol: str, at: tuple[float, float], span: Span | None
) -> Fault:
    where = f"{'from' if what == 'line' else 'at'} {place(at)}"
    return Fault(
        f"{name} is marked symmetric, but the {what} `{symbol}` {where} has no counterpart.", span
    )


def _chart(worked: WorkedChart) -> Iterator[Fault]:
    chart = worked.design.chart
    if chart.symmetry is None:
        return
    key = worked.design.key
    for turn in TURNS[chart.symmetry]:
        if turn.quarters % 2 and chart.width != chart.height:
            yield _not_square("The chart", chart.width, chart.height, chart.span)
            return
        yield from _chart_cells(worked, turn)
        yield from _chart_pieces(worked, turn)
        yield from _chart_stands(worked, turn)
        yield from _chart_gaps(worked, turn)
        marks = _Marks(worked.lines, worked.knots, key, worked.design.ground.fabric.over)
        yield from _marks("The chart", marks, turn, (chart.width, chart.height))


def _chart_cells(worked: WorkedChart, turn: Turn) -> Iterator[Fault]:
    key, grid = worked.design.key, worked.grid
    turned = turned_key(key, turn)
    table = turned.table.copy()
    table[list(turned.missing)] = np.uint16(0xFFFF)
    broken = turn.grid(table[grid]) != grid
    excuse = excused(worked)
    if excuse is not None:
        image = np.rot90(excuse[:, ::-1] if turn.flip else excuse, -turn.quarters)
        broken &= ~(excuse | image)
    pairs, count = broken_pairs(broken, turn, SHOWN)
    if not count:
        return

    def cell(at: tuple[int, int]) -> str:
        index = int(grid[at])
        return f"`{key[index - 1].symbol if index else '.'}` at {_at(at)}"

    named = "; ".join(f"{cell(one)} against {cell(other)}" for one, other in pairs)
    hints = tuple(
        Hint(f"{_at(at)} belongs to this", worked.placed[worked.owner[at]].span)
        for at in pairs[0]
        if worked.owner[at] >= 0
    )
    assert worked.design.chart.symmetry is not None
    printed = "; ".join(squares((at[1], at[0], at[1] + 1, at[0] + 1)) for at in pairs[0])
    yield Fault(
        f"The chart is marked symmetric {worked.design.chart.symmetry.value}, but "
        f"{counted(count, 'cell')} {'breaks' if count == 1 else 'break'} it: {named}"
        f"{'; and more' if count > SHOWN else ''}.",
        worked.design.chart.span,
        (*hints, f"in print: {printed}", _ADVICE),
    )


def _chart_stands(worked: WorkedChart, turn: Turn) -> Iterator[Fault]:
    over = worked.design.ground.fabric.over
    size = float(worked.width * over), float(worked.height * over)
    there = {
        (stand.index, *stand.stitch.over, *at)
        for stand in worked.stands
        for at in stand.at.tolist()
    }
    for stand in worked.stands:
        ends = [
            turn.points(each.astype(np.float64), *size)
            for each in (stand.at, stand.at + stand.stitch.over)
        ]
        images = np.rint(np.minimum(*ends)).astype(np.int64).tolist()
        sides = turn.size(*stand.stitch.over)
        for number, image in enumerate(images):
            if (stand.index, *sides, *image) not in there:
                x, y = (stand.at[number] / over).tolist()
                yield Fault(
                    f"The chart is marked symmetric, but the "
                    f"`{worked.entry(stand.index).symbol}` at {place((x, y))} has no counterpart.",
                    worked.placed[int(stand.placed[number])].span,
                    (_ADVICE,),
                )
                return


def _chart_gaps(worked: WorkedChart, turn: Turn) -> Iterator[Fault]:
    over = worked.design.ground.fabric.over
    size = float(worked.width * over), float(worked.height * over)
    there = {(gap.axis, *gap.box) for gap in worked.gaps}
    for gap in worked.gaps:
        corners = np.array([gap.box[:2], gap.box[2:]], dtype=np.float64)
        image = np.rint(turn.points(corners, *size)).astype(np.int64)
        axis = gap.axis ^ turn.quarters % 2
        if (axis, *image.min(axis=0).tolist(), *image.max(axis=0).tolist()) not in there:
            yield Fault(
                "The chart is marked symmetric, but the threads withdrawn from "
                f"{place((gap.x0 / over, gap.y0 / over))} on have no counterpart.",
                gap.span,
                (_ADVICE,),
            )
            return


def _chart_pieces(worked: WorkedChart, turn: Turn) -> Iterator[Fault]:
    size = float(worked.width), float(worked.height)
    turned = turned_key(worked.design.key, turn)
    unit = 2 * worked.design.ground.fabric.over
    there: set[tuple[int, ...]] = set()
    images: list[tuple[tuple[int, ...], int, tuple[float, float]]] = []
    for number, piece in enumerate(worked.pieces):
        rows, columns = np.nonzero(piece.grid)
        cells = np.stack([columns, rows], axis=1).astype(np.float64)
        corner = cells * piece.cell + (piece.x, piece.y)
        middle = corner + piece.cell / 2
        image = turn.points(middle, *size) - piece.cell / 2
        index = piece.grid[rows, columns]
        for one, other, key_index in zip(
            corner.tolist(), image.tolist(), index.tolist(), strict=True
        ):
            there.add(_stitch(key_index, one, piece.over, unit))
            turned_index = int(turned.table[key_index])
            images.append((_stitch(turned_index, other, piece.over, unit), number, tuple(one)))
    for image_key, number, at in images:
        if image_key not in there:
            piece = worked.pieces[number]
            yield Fault(
                f"The chart is marked symmetric, but `{piece.name}` with its stitch at "
                f"{place(at)} has no counterpart.",
                piece.span,
                (_ADVICE,),
            )
            return


def _stitch(index: int, at: Iterable[float], over: int, unit: int) -> tuple[int, ...]:
    return (index, over, *(round(each * unit) for each in at))


CHECKS = (
    Check("motif-not-symmetric", _motifs),
    Check("chart-not-symmetric", _chart),
)
