"""Which cells go on which page, and how large a cell is printed."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import product

from .breaks import Line, cuts
from .figures import Figures

MORE = 3  # cells of overlap may be added to spare figures
STEP = 0.05  # mm; a cell size is a whole number of these


@dataclass(frozen=True)
class Page:
    """One page of the chart; all cells are given as [x0, x1) and [y0, y1).

    number: in reading order, from 1. column, row: its place among the pages, from 0.
    x0 y0 x1 y1: the cells shown, with the overlap.
    core_x0 core_y0 core_x1 core_y1: the cells that belong to this page alone.
    left right above below: number of the neighbouring page, None where the chart ends.
    """

    number: int
    column: int
    row: int
    x0: int
    y0: int
    x1: int
    y1: int
    core_x0: int
    core_y0: int
    core_x1: int
    core_y1: int
    left: int | None
    right: int | None
    above: int | None
    below: int | None

    @property
    def columns(self) -> int:
        """How many columns are shown."""
        return self.x1 - self.x0

    @property
    def rows(self) -> int:
        """How many rows are shown."""
        return self.y1 - self.y0


@dataclass(frozen=True)
class Pagination:
    """How a chart is cut into pages.

    width, height: the chart in cells. cell: side of a printed cell in mm. overlap: cells that a
    page shows of its neighbour. breaks_x, breaks_y: where the cores meet, with 0 and the end.
    cost: of what is cut there, see `Figures`.
    """

    width: int
    height: int
    cell: float
    overlap: int
    breaks_x: tuple[int, ...]
    breaks_y: tuple[int, ...]
    cost: float = 0.0

    @property
    def worth(self) -> float:
        """The side of a cell, less for what is cut."""
        return self.cell / (1 + self.cost)

    @property
    def across(self) -> int:
        """How many pages lie side by side."""
        return len(self.breaks_x) - 1

    @property
    def down(self) -> int:
        """How many pages lie one below the other."""
        return len(self.breaks_y) - 1

    @cached_property
    def pages(self) -> tuple[Page, ...]:
        """All pages in reading order."""
        return tuple(
            self._page(column, row) for row in range(self.down) for column in range(self.across)
        )

    def _page(self, column: int, row: int) -> Page:
        across, down = self.across, self.down
        number = row * across + column + 1
        core_x0, core_x1 = self.breaks_x[column : column + 2]
        core_y0, core_y1 = self.breaks_y[row : row + 2]
        return Page(
            number=number,
            column=column,
            row=row,
            x0=max(0, core_x0 - self.overlap),
            y0=max(0, core_y0 - self.overlap),
            x1=min(self.width, core_x1 + self.overlap),
            y1=min(self.height, core_y1 + self.overlap),
            core_x0=core_x0,
            core_y0=core_y0,
            core_x1=core_x1,
            core_y1=core_y1,
            left=number - 1 if column else None,
            right=number + 1 if column + 1 < across else None,
            above=number - across if row else None,
            below=number + across if row + 1 < down else None,
        )


@dataclass(frozen=True)
class Wishes:
    """What a designer says of the pages: grid lines at which they break, cells of overlap.

    breaks_x, breaks_y: in order, all inside the chart; pages may break elsewhere too.
    """

    breaks_x: tuple[int, ...] = ()
    breaks_y: tuple[int, ...] = ()
    overlap: int | None = None


NO_WISHES = Wishes()


def paginate(
    width: int,
    height: int,
    *,
    room: tuple[float, float],
    cell: float | None = None,
    least: float = 3.0,
    most: float = 6.0,
    readable: float | None = None,
    overlap: int = 3,
    tens_from: tuple[int, int] = (0, 0),
    wishes: Wishes = NO_WISHES,
    figures: Figures | None = None,
) -> Pagination:
    """Cut a chart into the fewest pages, then print it as large as these pages allow.

    width, height: the chart in cells, at least 1. room: mm across and down for the cells of one
    page. cell: side of a cell in mm; None to choose it between `least` and `most`. readable: how
    small cells may get to spare figures; None for the least.
    overlap: cells shown of each neighbour where none are wished for, less where a page holds too
    few, some more where that spares figures. tens_from: the grid lines that the tens are counted
    from. figures: what a break had better not cut, None where nothing matters.

    Of the ways to the fewest pages that cut no more than plain breaks, see `breaks.cuts`, that is
    taken which is worth most: with the largest cells for what it cuts.

    Raises:
        ValueError: when not a single cell fits, or a size is not positive.
    """
    smallest = least if cell is None else cell
    if width < 1 or height < 1 or smallest <= 0:
        raise ValueError("a chart and its cells must have a size")
    fits = [math.floor(mm / smallest + 1e-9) for mm in room]
    if min(fits) < 1:
        raise ValueError(f"no cell of {smallest:g} mm fits on the page")
    floor = smallest if cell or readable is None else readable
    longest = [math.floor(mm / floor + 1e-9) for mm in room]
    # An overlap on both sides must leave a page more than half its own cells.
    widest = (min(fits) - 1) // 4
    usual = max(0, min(overlap if wishes.overlap is None else wishes.overlap, widest))

    def made(shared: int) -> Iterator[Pagination]:
        """Give the ways to cut with so many cells of overlap that fit the page."""
        lines = [
            Line(bool(way), length, fits[way], usual, longest[way], shared, tens_from[way])
            for way, length in enumerate((width, height))
        ]
        said = wishes.breaks_x, wishes.breaks_y
        for x, y in product(*map(cuts, lines, said, (figures, figures))):
            side = cell
            if side is None:
                side = min(room[0] / x.longest, room[1] / y.longest, most)
                side = max(floor, round(math.floor(side / STEP + 1e-9) * STEP, 4))
            if x.longest <= longest[0] and y.longest <= longest[1]:
                cost = x.cost + y.cost
                yield Pagination(width, height, side, shared, x.breaks, y.breaks, cost)

    plain, *ways = made(usual)
    if plain.cost and wishes.overlap is None:
        for shared in range(usual + 1, min(usual + MORE, widest) + 1):
            ways += made(shared)
    ways = [each for each in ways if each.cost <= plain.cost]
    return max((plain, *ways), key=lambda each: each.worth)
