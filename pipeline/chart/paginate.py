"""Which cells go on which page, and how large a cell is printed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

from .figures import Figures, Reaches, cuts

BAND = 10  # rows and columns are counted, and pages preferably broken, by tens
SLACK = 5  # how much longer a page may get to spare figures
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
    """

    width: int
    height: int
    cell: float
    overlap: int
    breaks_x: tuple[int, ...]
    breaks_y: tuple[int, ...]

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
    overlap: int = 3,
    tens_from: tuple[int, int] = (0, 0),
    wishes: Wishes = NO_WISHES,
    figures: Figures | None = None,
) -> Pagination:
    """Cut a chart into the fewest pages, then print it as large as these pages allow.

    width, height: the chart in cells, at least 1. room: mm across and down for the cells of one
    page. cell: side of a cell in mm; None to choose it between `least` and `most`.
    overlap: cells shown of each neighbour where none are wished for, less where a page holds too
    few. tens_from: the grid lines that the tens are counted from. figures: what a break had better
    not cut, None where nothing matters.

    Of the ways to the fewest pages that one is taken which cuts the fewest figures, no break being
    moved more than a band of ten, then one with all breaks at tens, then that whose longest page is
    shortest. Where no figure is to be spared the cells shown on two pages of a row or column
    differ by no more than a band of ten.

    Raises:
        ValueError: when not a single cell fits, or a size is not positive.
    """
    smallest = least if cell is None else cell
    if width < 1 or height < 1 or smallest <= 0:
        raise ValueError("a chart and its cells must have a size")
    fits_x, fits_y = (math.floor(mm / smallest + 1e-9) for mm in room)
    if fits_x < 1 or fits_y < 1:
        raise ValueError(f"no cell of {smallest:g} mm fits on the page")
    # An overlap on both sides must leave a page more than half its own cells.
    wished = overlap if wishes.overlap is None else wishes.overlap
    overlap = max(0, min(wished, (min(fits_x, fits_y) - 1) // 4))
    across, down = (
        _Way(width, fits_x, overlap, tens_from[0]),
        _Way(height, fits_y, overlap, tens_from[1]),
    )
    breaks_x = across.breaks(wishes.breaks_x, None if figures is None else figures.across)
    breaks_y = down.breaks(wishes.breaks_y, None if figures is None else figures.down)
    if cell is None:
        widest, tallest = across.longest(breaks_x), down.longest(breaks_y)
        cell = min(room[0] / widest, room[1] / tallest, most)
        cell = max(least, round(math.floor(cell / STEP + 1e-9) * STEP, 4))
    return Pagination(width, height, cell, overlap, breaks_x, breaks_y)


@dataclass(frozen=True)
class _Way:
    """One way through the chart, across or down.

    length: of the chart in cells. fits: how many cells a page may show, overlap of them of each
    neighbour. tens_from: the grid line that the tens are counted from.
    """

    length: int
    fits: int
    overlap: int
    tens_from: int

    def longest(self, breaks: Sequence[int]) -> int:
        """Return how many cells the page shows that shows most."""
        return max(self._shown(*each) for each in pairwise(breaks))

    def breaks(self, said: Sequence[int], reaches: Reaches | None) -> tuple[int, ...]:
        """Return where pages meet, the fewest that will do, with 0 and the end.

        said: where they break in any case. reaches: of the figures.
        """
        # Of how many figures a break at each line cuts.
        cost = [0] * (self.length + 1)
        if reaches is not None:
            cost = cuts(reaches, self.length, self.overlap, self.fits).tolist()
        breaks = [0]
        for start, end in pairwise(sorted({0, *said, self.length})):
            breaks += [*self._between(start, end, cost), end]
        return tuple(breaks)

    def _shown(self, start: int, end: int) -> int:
        """Return how many cells a page with these cores shows."""
        return end - start + self.overlap * ((start > 0) + (end < self.length))

    def _between(self, start: int, end: int, cost: Sequence[int]) -> tuple[int, ...]:
        """Return where pages meet between two breaks that stand."""
        shown = self._shown(start, end)
        if shown <= self.fits:
            return ()
        # n pages show 2 overlap (n - 1) cells more than one page of all would.
        pages = math.ceil((shown - 2 * self.overlap) / (self.fits - 2 * self.overlap))
        share = (shown + 2 * self.overlap * (pages - 1)) / pages
        first = start - (self.overlap if start else 0)
        ideal = [first + k * (share - 2 * self.overlap) + self.overlap for k in range(1, pages)]
        even = tuple(math.floor(each + 0.5) for each in ideal)
        best = self._at_tens(start, end, ideal) or even
        if any(cost[each] for each in best):
            longest = self.longest((start, *best, end))
            near = replace(self, fits=min(self.fits, longest + SLACK))
            reach = range(-BAND, BAND + 1)
            choices = [[each + by for by in reach] for each in even]
            return near._chosen(start, end, choices, cost) or best
        return best

    def _at_tens(self, start: int, end: int, ideal: Sequence[float]) -> tuple[int, ...] | None:
        """Return breaks at tens next to the ideal ones, or None when a page would not fit."""
        below = [
            math.floor((each - self.tens_from) / BAND) * BAND + self.tens_from for each in ideal
        ]
        way = self._chosen(start, end, [(ten, ten + BAND) for ten in below], None)
        if way is None:
            return None
        shown = [self._shown(*each) for each in pairwise((start, *way, end))]
        return way if max(shown) - min(shown) <= BAND else None

    def _chosen(
        self,
        start: int,
        end: int,
        choices: Sequence[Sequence[int]],
        cost: Sequence[int] | None,
    ) -> tuple[int, ...] | None:
        """Return one of the choices for each break, so that no page is too long.

        The best way is found from the start to the end, keeping for each break the best one there:
        that with the least cost, then with the most breaks at tens, then with the shortest longest
        page.
        """
        ways: dict[int, tuple[tuple[int, int, int, int], tuple[int, ...]]]
        ways = {start: ((0, 0, 0, -self.length), ())}
        for several in [*choices, (end,)]:
            reached: dict[int, tuple[tuple[int, int, int, int], tuple[int, ...]]] = {}
            for at in several:
                if not start < at <= end or (at == end) != (several == (end,)):
                    continue
                cut, off = 0, 0
                if cost is not None and at < end:
                    cut, off = cost[at], int((at - self.tens_from) % BAND != 0)
                for before, ((cuts_, offs, longest, shortest), way) in ways.items():
                    shown = self._shown(before, at)
                    if at <= before or shown > self.fits:
                        continue
                    rank = cuts_ + cut, offs + off, max(longest, shown), max(shortest, -shown)
                    if at not in reached or rank < reached[at][0]:
                        reached[at] = rank, (*way, at)
            ways = reached
        return ways[end][1][:-1] if end in ways else None
