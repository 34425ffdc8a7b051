"""What a chart is put together from: each copy of a motif, each line of text, the one grid."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import IndexGrid, Placed, WorkedChart
from ..core.model import Lettering
from ..core.source import Span
from .alignment import Classes

WHOLE_GRID = "grid"  # what compose calls the whole-chart grid; no motif can have this name

Box = tuple[float, float, float, float]  # x0, y0, x1, y1 on grid lines of one chart


class Sort(StrEnum):
    """What a unit is to the person who charted it."""

    MOTIF = "motif"
    TEXT = "text"
    GRID = "grid"


@dataclass(frozen=True, eq=False)
class Unit:
    """One thing that was placed.

    x, y: its corner on the chart. cell: the side of its crosses in crosses of the chart; over:
    the threads that one spans. classes: what it stitches, by class. numbers: those of its parts
    in `worked.placed`, none for what lies off the grid. content: the same for the same cells.
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

    @property
    def box(self) -> Box:
        """Where it lies."""
        height, width = self.classes.shape
        return self.x, self.y, self.x + width * self.cell, self.y + height * self.cell

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
    contents = _Contents(classes)
    over = worked.design.ground.fabric.over
    texts = _texts(worked)
    found: list[Unit] = []
    on_grid = [(at, each) for at, each in enumerate(worked.placed) if not each.piece]
    for together, group in groupby(on_grid, lambda each: _line_of_text(each[1])):
        members = list(group)
        if together is not None:
            found.extend(_set_lines(members, texts, contents, over))
            continue
        for at, each in members:
            sort = Sort.GRID if each.motif is None else Sort.MOTIF
            made, key = contents.of(each.grid)
            found.append(Unit(sort, each.name, each.x, each.y, each.cell, over, made, (at,), key))
    for piece in worked.pieces:
        text = texts.get(_place(piece.span))
        name = piece.name if text is None else _spaced(piece.name, text)
        sort = Sort.MOTIF if text is None else Sort.TEXT
        made, key = contents.of(piece.grid)
        found.append(Unit(sort, name, piece.x, piece.y, piece.cell, piece.over, made, (), key))
    return found


_Place = tuple[str, int, int] | None


def _place(span: Span | None) -> _Place:
    return None if span is None else (span.path, span.start, span.end)


def _texts(worked: WorkedChart) -> dict[_Place, Lettering]:
    items = worked.design.chart.items
    return {_place(each.span): each for each in items if isinstance(each, Lettering) and each.span}


def _line_of_text(placed: Placed) -> tuple[object, ...] | None:
    """Return what the letters of one line share, None for what is no letter."""
    if placed.motif is not None or placed.name == WHOLE_GRID:
        return None
    return _place(placed.span), placed.y, placed.cell


def _set_lines(
    letters: list[tuple[int, Placed]],
    texts: dict[_Place, Lettering],
    contents: _Contents,
    over: int,
) -> Iterator[Unit]:
    """Give the lines of text that letters in a row make: each begins left of where one ended."""
    line: list[tuple[int, Placed]] = []
    for each in letters:
        if line and each[1].x < line[-1][1].x + line[-1][1].width:
            yield _set_line(line, texts, contents, over)
            line = []
        line.append(each)
    yield _set_line(line, texts, contents, over)


def _set_line(
    letters: list[tuple[int, Placed]],
    texts: dict[_Place, Lettering],
    contents: _Contents,
    over: int,
) -> Unit:
    first, last = letters[0][1], letters[-1][1]
    width = round((last.x + last.width - first.x) / first.cell)
    classes = np.zeros((max(each.grid.shape[0] for _, each in letters), width), dtype=np.int32)
    for _, each in letters:
        made, _ = contents.of(each.grid)
        at = round((each.x - first.x) / first.cell)
        classes[: made.shape[0], at : at + made.shape[1]] = made
    name = "".join(each.name for _, each in letters)
    text = texts.get(_place(first.span))
    return Unit(
        Sort.TEXT,
        name if text is None else _spaced(name, text),
        first.x,
        first.y,
        first.cell,
        over,
        classes,
        tuple(at for at, _ in letters),
        content(classes),
    )


def _spaced(letters: str, text: Lettering) -> str:
    """Return the line of a text that holds these letters, with its blanks."""
    return next((line for line in text.lines if line.replace(" ", "") == letters), letters)
