"""What a chart is put together from: each copy of a motif, each line of text, the one grid."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import IndexGrid, Piece, Placed, WorkedChart, WorkedKnot, WorkedLine
from ..core.items import Box, Drawn, Lettering, Point
from ..core.source import Span
from .canvas import Classes, Offset
from .changes import Sort
from .sewn import NONE_SEWN, Sewn, painted
from .stretches import Mark, Run, Written, looks

WHOLE_GRID = "grid"  # what compose calls the whole-chart grid; no motif can have this name

NEAR = 1e-3  # crosses


@dataclass(frozen=True, eq=False)
class Unit:
    """One thing that was placed.

    x, y: its corner on the chart. cell: the side of its crosses in crosses of the chart; over:
    the threads that one spans. classes: what it stitches, by class; seen: the same with the counted
    stitches that lie in it, see `painted`. numbers: those of its parts in `worked.placed`, of what
    lies off the grid only of parts with more than crosses. off_grid: whether it does not lie on the
    chart's own crosses. content: the same for the same stitches, and of texts, and of what has no
    stitches, for the same lines and knots. drawn: where its lines and knots are written. counted:
    how many counted stitches it has, by key line. strands: in the
    needle for its crosses, None for those of the key.
    """

    sort: Sort
    name: str
    x: float
    y: float
    cell: float
    over: int
    classes: Classes
    seen: Classes
    numbers: tuple[int, ...]
    off_grid: bool
    content: tuple[object, ...]
    counted: tuple[tuple[int, int], ...] = ()
    strands: int | None = None
    drawn: tuple[Written, ...] = ()

    @property
    def box(self) -> Box:
        """Where it lies."""
        height, width = self.classes.shape
        return self.x, self.y, self.x + width * self.cell, self.y + height * self.cell

    @property
    def bare(self) -> bool:
        """Whether it is made of lines and knots alone."""
        return bool(self.drawn) and not self.seen.any()


class _Contents:
    """Grids by class, each made once however often it was laid."""

    def __init__(self, classes: NDArray[np.int32]) -> None:
        self._classes = classes
        self._made: dict[int, tuple[IndexGrid, Classes, tuple[object, ...]]] = {}

    def of(self, grid: IndexGrid) -> tuple[Classes, tuple[object, ...]]:
        # The grid itself is kept, so that no other can take its place in memory.
        if id(grid) not in self._made:
            made = self._classes[grid]
            self._made[id(grid)] = grid, made, content(made)
        return self._made[id(grid)][1:]


def content(classes: Classes) -> tuple[object, ...]:
    """Return what is the same for the same cells."""
    return classes.shape, classes.tobytes()


class _Parts:
    """The counted stitches of a chart by what put them there."""

    def __init__(self, worked: WorkedChart, sewn: Sewn) -> None:
        self._sewn = sewn
        self._strands = {
            number: stand.strands
            for stand in worked.stands
            if stand.strands is not None
            for number in np.unique(stand.placed).tolist()
        }
        self._order = np.argsort(sewn.placed, kind="stable")
        numbers = np.arange(len(worked.placed) + 1) if len(sewn) else np.zeros(1)
        self._ends = np.searchsorted(sewn.placed[self._order], numbers)

    def of(self, numbers: Iterable[int]) -> Sewn:
        """Return those of some of `worked.placed`."""
        if not len(self._sewn):
            return self._sewn
        mine = [self._order[self._ends[each] : self._ends[each + 1]] for each in numbers]
        return self._sewn.some(np.concatenate(mine)) if mine else NONE_SEWN

    def with_these(self, unit: Unit) -> Unit:
        """Return a thing with the counted stitches of its parts."""
        mine = self.of(unit.numbers)
        if not len(mine):
            return unit
        seen = painted(unit.classes, mine, unit.x, unit.y, unit.cell)
        kinds, many = np.unique(mine.index, return_counts=True)
        counted = tuple(zip(kinds.tolist(), many.tolist(), strict=True))
        alike = *content(seen), *unit.content[2:]
        strands = self._strands.get(unit.numbers[0])
        return replace(unit, seen=seen, content=alike, counted=counted, strands=strands)


def units(worked: WorkedChart, classes: NDArray[np.int32], sewn: Sewn) -> list[Unit]:
    """Return everything that a chart is put together from.

    classes: of each key index. What lies off the grid is taken as it came to lie, after all else
    was placed; what lies on it as it was placed, since the grid tells the rest. sewn: its counted
    stitches, as they came to lie.
    """
    contents, drawn = _Contents(classes), _DrawnStrokes(worked, classes)
    parts = _Parts(worked, sewn)
    over = worked.design.ground.fabric.over
    texts = _texts(worked)
    placed_units: list[Unit] = []
    off_grid = [
        (at, each)
        for at, each in enumerate(worked.placed)
        if each.piece and (each.signs or (each.drawn and not each.grid.any()))
    ]
    in_pieces: dict[Written | None, dict[Written, None]] = {}
    for each in worked.placed:
        if each.piece and each.drawn:
            places = dict.fromkeys(drawn_places(each.drawn))
            in_pieces.setdefault(written_at(each.span), {}).update(places)
    for piece in worked.pieces:
        text = texts.get(written_at(piece.span))
        name = piece.name if text is None else _spaced(piece.name, text)
        sort = Sort.MOTIF if text is None else Sort.TEXT
        made, key = contents.of(piece.grid)
        mine = [at for at, each in off_grid if _lies_in(each, piece)]
        off_grid = [(at, each) for at, each in off_grid if at not in mine]
        where = piece.x, piece.y, piece.cell, piece.over
        unit = Unit(
            sort,
            name,
            *where,
            made,
            made,
            tuple(mine),
            True,
            key,
            strands=piece.strands,
            drawn=tuple(in_pieces.get(written_at(piece.span), ())),
        )
        placed_units.append(unit)
    on_grid = [(at, each) for at, each in enumerate(worked.placed) if not each.piece]
    laid: list[Unit] = []
    for together, group in groupby([*on_grid, *off_grid], lambda each: _line_of_text(each[1])):
        members = list(group)
        if together is not None:
            laid.extend(_set_lines(members, texts, contents, drawn, over))
            continue
        for at, each in members:
            sort = Sort.GRID if each.motif is None else Sort.MOTIF
            made, key = contents.of(each.grid)
            if not made.any():
                key = *key, *drawn.within(each, (each.x, each.y))
            where = each.x, each.y, each.cell, round(each.cell * over)
            strokes = drawn_places(each.drawn)
            unit = Unit(sort, each.name, *where, made, made, (at,), each.piece, key, drawn=strokes)
            laid.append(unit)
    return [parts.with_these(unit) for unit in (*laid, *placed_units)]


def _lies_in(placed: Placed, piece: Piece) -> bool:
    """Tell whether something placed is, or is a letter of, a piece off the grid."""
    meets = (
        placed.x < piece.x + piece.width
        and placed.x + placed.width > piece.x
        and placed.y < piece.y + piece.height
        and placed.y + placed.height > piece.y
    )
    alike = placed.cell == piece.cell
    return meets and alike and written_at(placed.span) == written_at(piece.span)


def written_at(span: Span | None) -> Written | None:
    """Return what tells a place in a source from all others."""
    return None if span is None else (span.path, span.start, span.end)


def drawn_places(drawn: Drawn) -> tuple[Written, ...]:
    """Return where lines and knots are written."""
    return tuple(place for each in drawn if (place := written_at(each.span)) is not None)


def runs_of(
    lines: Iterable[WorkedLine], classes: NDArray[np.int32], shift: Offset = (0, 0)
) -> list[Run]:
    """Return lines by class, so far to the right and down."""
    step = np.array(shift)
    return [
        Run(
            line.index,
            int(classes[line.index]),
            line.points + step,
            line.cell,
            written_at(line.span),
        )
        for line in lines
    ]


def marks_of(
    knots: Iterable[WorkedKnot], classes: NDArray[np.int32], shift: Offset = (0, 0)
) -> list[Mark]:
    """Return knots and beads by class, so far to the right and down."""
    x, y = shift
    return [
        Mark(knot.index, int(classes[knot.index]), knot.x + x, knot.y + y, written_at(knot.span))
        for knot in knots
    ]


class _DrawnStrokes:
    """The lines and knots of a chart by where they are written, made when they are asked for."""

    def __init__(self, worked: WorkedChart, classes: NDArray[np.int32]) -> None:
        self._worked, self._classes = worked, classes

    @cached_property
    def _runs(self) -> dict[Written | None, tuple[list[Run], NDArray[np.float64]]]:
        """Lines, and knots as lines of one point, with the boxes round them."""
        runs = runs_of(self._worked.lines, self._classes)
        runs += [
            Run(each.index, each.kind, np.array([[each.x, each.y]]), 0.0, each.written)
            for each in marks_of(self._worked.knots, self._classes)
        ]
        by_place: dict[Written | None, list[Run]] = {}
        for run in runs:
            by_place.setdefault(run.written, []).append(run)
        return {
            place: (
                together,
                np.array([[*run.points.min(axis=0), *run.points.max(axis=0)] for run in together]),
            )
            for place, together in by_place.items()
        }

    def within(self, placed: Placed, start: Point) -> list[Hashable]:
        """Return what is the same for the same lines and knots of a copy of a motif or a letter.

        start: from where their places count.
        """
        if not placed.drawn:
            return []
        corner, start_at = np.array([placed.x, placed.y]), np.array(start)
        low, high = corner - NEAR, corner + np.array([placed.width, placed.height]) + NEAR
        alike: list[Hashable] = []
        for place in drawn_places(placed.drawn):
            if place not in self._runs:
                continue
            runs, boxes = self._runs[place]
            inside = (boxes[:, :2] >= low).all(axis=1) & (boxes[:, 2:] <= high).all(axis=1)
            for at in np.flatnonzero(inside).tolist():
                alike.append(looks(replace(runs[at], points=runs[at].points - start_at)))
        return sorted(alike, key=repr)


def _texts(worked: WorkedChart) -> dict[Written | None, Lettering]:
    texts = [item for item in worked.design.chart.items if isinstance(item, Lettering)]
    return {written_at(text.span): text for text in texts if text.span}


def _line_of_text(placed: Placed) -> tuple[object, ...] | None:
    """Return what the letters of one line share, None for what is no letter."""
    if placed.motif is not None or placed.name == WHOLE_GRID:
        return None
    # Letters of alphabets of several heights stand on one line.
    return written_at(placed.span), placed.y + placed.height, placed.cell


def _set_lines(
    letters: list[tuple[int, Placed]],
    texts: dict[Written | None, Lettering],
    contents: _Contents,
    drawn: _DrawnStrokes,
    over: int,
) -> Iterator[Unit]:
    """Give the lines of text that letters in a row make: each begins left of where one ended."""
    line: list[tuple[int, Placed]] = []
    for letter in letters:
        if line and letter[1].x < line[-1][1].x + line[-1][1].width:
            yield _set_line(line, texts, contents, drawn, over)
            line = []
        line.append(letter)
    yield _set_line(line, texts, contents, drawn, over)


def _set_line(
    letters: list[tuple[int, Placed]],
    texts: dict[Written | None, Lettering],
    contents: _Contents,
    drawn: _DrawnStrokes,
    over: int,
) -> Unit:
    first, last = letters[0][1], letters[-1][1]
    width = round((last.x + last.width - first.x) / first.cell)
    height = max(each.grid.shape[0] for _, each in letters)
    classes = np.zeros((height, width), dtype=np.int32)
    for _, each in letters:
        made, _ = contents.of(each.grid)
        at = round((each.x - first.x) / first.cell)
        classes[height - made.shape[0] :, at : at + made.shape[1]] = made
    name = "".join(each.name for _, each in letters)
    text = texts.get(written_at(first.span))
    top = first.y + first.height - height * first.cell
    strokes = [alike for _, each in letters for alike in drawn.within(each, (first.x, top))]
    key = *content(classes), *sorted(strokes, key=repr)
    return Unit(
        Sort.TEXT,
        name if text is None else _spaced(name, text),
        first.x,
        top,
        first.cell,
        round(first.cell * over),
        classes,
        classes,
        tuple(at for at, _ in letters),
        first.piece,
        key,
        drawn=tuple(dict.fromkeys(at for _, each in letters for at in drawn_places(each.drawn))),
    )


def _spaced(letters: str, text: Lettering) -> str:
    """Return the line of a text that holds these letters, with its blanks."""
    return next((line for line in text.lines if line.replace(" ", "") == letters), letters)
