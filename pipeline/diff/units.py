"""What a chart is put together from: each copy of a motif, each line of text, the one grid."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import IndexGrid, Placed, WorkedChart, WorkedKnot, WorkedLine
from ..core.model import Box, Knot, Lettering, Line, Motif
from ..core.source import Span
from ..stitches.counted import lying
from .canvas import Classes, Offset
from .changes import Sort
from .stretches import Mark, Run, Written, looks

WHOLE_GRID = "grid"  # what compose calls the whole-chart grid; no motif can have this name

NEAR = 1e-3  # crosses


@dataclass(frozen=True, eq=False)
class Unit:
    """One thing that was placed.

    x, y: its corner on the chart. cell: the side of its crosses in crosses of the chart; over:
    the threads that one spans. classes: what it stitches, by class. numbers: those of its parts
    in `worked.placed`, none for what lies off the grid. content: the same for the same cells,
    and of a motif without any for the same lines and knots. strands: in the needle for its crosses,
    None for those of the key.
    """

    sort: Sort
    name: str
    x: float
    y: float
    cell: float
    over: int
    classes: Classes
    numbers: tuple[int, ...]
    content: tuple[object, ...]
    strands: int | None = None

    @property
    def box(self) -> Box:
        """Where it lies."""
        height, width = self.classes.shape
        return self.x, self.y, self.x + width * self.cell, self.y + height * self.cell

    @property
    def bare(self) -> bool:
        """Whether it stitches no cell: a motif of lines and knots alone."""
        return self.sort is Sort.MOTIF and not self.classes.any()

    @property
    def off_grid(self) -> bool:
        """Whether it does not lie on the chart's own crosses."""
        return not self.numbers


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


def units(worked: WorkedChart, classes: NDArray[np.int32]) -> list[Unit]:
    """Return everything that a chart is put together from.

    classes: of each key index. What lies off the grid is taken as it came to lie, after all else
    was placed; what lies on it as it was placed, since the grid tells the rest.
    """
    contents, strokes = _Contents(classes), _DrawnStrokes(worked, classes)
    over = worked.design.ground.fabric.over
    texts = _texts(worked)
    placed_units: list[Unit] = []
    on_grid = [(at, each) for at, each in enumerate(worked.placed) if not each.piece]
    for together, group in groupby(on_grid, lambda each: _line_of_text(each[1])):
        members = list(group)
        if together is not None:
            placed_units.extend(_set_lines(members, texts, contents, over))
            continue
        for at, each in members:
            sort = Sort.GRID if each.motif is None else Sort.MOTIF
            made, key = contents.of(each.grid)
            if each.motif is not None and not made.any():
                key = *key, *strokes.within(each)
            placed_units.append(
                Unit(sort, each.name, each.x, each.y, each.cell, over, made, (at,), key)
            )
    for piece in worked.pieces:
        text = texts.get(written_at(piece.span))
        name = piece.name if text is None else _spaced(piece.name, text)
        sort = Sort.MOTIF if text is None else Sort.TEXT
        made, key = contents.of(piece.grid)
        placed_units.append(
            Unit(
                sort,
                name,
                piece.x,
                piece.y,
                piece.cell,
                piece.over,
                made,
                (),
                key,
                piece.strands,
            )
        )
    return placed_units


def written_at(span: Span | None) -> Written | None:
    """Return what tells a place in a source from all others."""
    return None if span is None else (span.path, span.start, span.end)


def drawn_places(motif: Motif) -> list[Written]:
    """Return where the lines and knots of a motif are written, and the motif for its signs."""
    drawn: tuple[Line | Knot, ...] = (*motif.lines, *motif.knots)
    places = [written_at(each.span) for each in drawn]
    return [place for place in (*places, written_at(motif.span)) if place is not None]


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


def marks_of_stands(
    worked: WorkedChart, classes: NDArray[np.int32], shift: Offset = (0, 0)
) -> list[Mark]:
    """Return counted stitches by class, so far to the right and down, where their signs begin.

    Those that lie another way, or reach farther, are of another class.
    """
    x, y = shift
    over = worked.design.ground.fabric.over
    marks = []
    for stand in worked.stands:
        drawn = worked.entry(stand.index).counted
        assert drawn is not None
        kind = int(classes[stand.index]) << 32 | lying(drawn, stand.stitch)
        for (left, top), placed in zip(stand.at.tolist(), stand.placed.tolist(), strict=True):
            motif = worked.placed[placed].motif
            written = None if motif is None else written_at(motif.span)
            marks.append(Mark(stand.index, kind, left / over + x, top / over + y, written))
    return marks


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
            for each in (
                *marks_of(self._worked.knots, self._classes),
                *marks_of_stands(self._worked, self._classes),
            )
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

    def within(self, placed: Placed) -> list[Hashable]:
        """Return what is the same for the same lines and knots of a copy of a motif."""
        assert placed.motif is not None
        corner = np.array([placed.x, placed.y])
        low, high = corner - NEAR, corner + np.array([placed.width, placed.height]) + NEAR
        alike: list[Hashable] = []
        for place in drawn_places(placed.motif):
            if place not in self._runs:
                continue
            runs, boxes = self._runs[place]
            inside = (boxes[:, :2] >= low).all(axis=1) & (boxes[:, 2:] <= high).all(axis=1)
            for at in np.flatnonzero(inside).tolist():
                alike.append(looks(replace(runs[at], points=runs[at].points - corner)))
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
    over: int,
) -> Iterator[Unit]:
    """Give the lines of text that letters in a row make: each begins left of where one ended."""
    line: list[tuple[int, Placed]] = []
    for letter in letters:
        if line and letter[1].x < line[-1][1].x + line[-1][1].width:
            yield _set_line(line, texts, contents, over)
            line = []
        line.append(letter)
    yield _set_line(line, texts, contents, over)


def _set_line(
    letters: list[tuple[int, Placed]],
    texts: dict[Written | None, Lettering],
    contents: _Contents,
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
    return Unit(
        Sort.TEXT,
        name if text is None else _spaced(name, text),
        first.x,
        first.y + first.height - height * first.cell,
        first.cell,
        over,
        classes,
        tuple(at for at, _ in letters),
        content(classes),
    )


def _spaced(letters: str, text: Lettering) -> str:
    """Return the line of a text that holds these letters, with its blanks."""
    return next((line for line in text.lines if line.replace(" ", "") == letters), letters)
