"""Which cells go on which page, and how large a cell is printed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

BAND = 10  # rows and columns are counted, and pages preferably broken, by tens
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
) -> Pagination:
    """Cut a chart into the fewest pages, then print it as large as these pages allow.

    width, height: the chart in cells, at least 1. room: mm across and down for the cells of one
    page. cell: side of a cell in mm; None to choose it between `least` and `most`.
    overlap: cells shown of each neighbour, less where a page holds too few. tens_from: the grid
    lines that the tens are counted from.

    The cells shown on two pages of a row or column differ by no more than a band of ten. Pages
    break at tens where that takes no further page.

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
    overlap = max(0, min(overlap, (min(fits_x, fits_y) - 1) // 4))
    breaks_x = _breaks(width, fits_x, overlap, tens_from[0])
    breaks_y = _breaks(height, fits_y, overlap, tens_from[1])
    if cell is None:
        widest, tallest = _longest(breaks_x, overlap), _longest(breaks_y, overlap)
        cell = min(room[0] / widest, room[1] / tallest, most)
        cell = max(least, math.floor(cell / STEP + 1e-9) * STEP)
    return Pagination(width, height, round(cell, 4), overlap, breaks_x, breaks_y)


def _shown(breaks: tuple[int, ...], overlap: int) -> list[int]:
    """Return how many cells each page of a row shows."""
    end = breaks[-1]
    return [
        min(end, after + overlap) - max(0, before - overlap) for before, after in pairwise(breaks)
    ]


def _longest(breaks: tuple[int, ...], overlap: int) -> int:
    return max(_shown(breaks, overlap))


def _breaks(length: int, fits: int, overlap: int, tens_from: int) -> tuple[int, ...]:
    """Return where pages of at most `fits` shown cells meet, the fewest that will do."""
    if length <= fits:
        return (0, length)
    # n pages show length + 2 overlap (n - 1) cells altogether.
    pages = math.ceil((length - 2 * overlap) / (fits - 2 * overlap))
    share = (length + 2 * overlap * (pages - 1)) / pages
    ideal = [k * (share - 2 * overlap) + overlap for k in range(1, pages)]
    even = (0, *(math.floor(each + 0.5) for each in ideal), length)
    tens = _at_tens(ideal, length, fits, overlap, tens_from)
    return even if tens is None else tens


def _at_tens(
    ideal: list[float], length: int, fits: int, overlap: int, tens_from: int
) -> tuple[int, ...] | None:
    """Return breaks at tens next to the ideal ones, or None when a page would not fit.

    Each break has two tens to choose from; the best choice for all is found from left to right,
    keeping for each ten the way there whose longest page is shortest.
    """
    ways: dict[int, tuple[int, int, tuple[int, ...]]] = {0: (0, length, (0,))}
    for place, each in enumerate([*ideal, None]):
        if each is None:
            choices = [length]
        else:
            below = math.floor((each - tens_from) / BAND) * BAND + tens_from
            choices = [ten for ten in (below, below + BAND) if 0 < ten < length]
        reached: dict[int, tuple[int, int, tuple[int, ...]]] = {}
        for ten in choices:
            for before, (longest, shortest, way) in ways.items():
                if ten <= before:
                    continue
                shown = ten - before + overlap * ((place > 0) + (each is not None))
                if shown > fits:
                    continue
                reach = (max(longest, shown), min(shortest, shown), (*way, ten))
                if ten not in reached or _spread(reach) < _spread(reached[ten]):
                    reached[ten] = reach
        ways = reached
    if length not in ways:
        return None
    longest, shortest, way = ways[length]
    return way if longest - shortest <= BAND else None


def _spread(way: tuple[int, int, tuple[int, ...]]) -> tuple[int, int]:
    longest, shortest, _ = way
    return longest, -shortest
