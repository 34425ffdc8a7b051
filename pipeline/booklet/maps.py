"""The whole chart as one small picture, and where its pages lie on it."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..chart.ink import grey, mix, needle_colour
from ..chart.options import Ink
from ..chart.paginate import Pagination
from ..colour.colour import channels
from ..compose.worked import WorkedChart
from ..stitches.counted import own
from .layout import Setting
from .textwidth import MM_PER_POINT

MOST_PIXELS = 700_000  # above this a cell of the map is one pixel, below it two by two
POINTS, LEAST_POINTS = 10.0, 5.0  # sizes of the numbers of pages, where nothing else is said
PLATE, DIGIT, HIGH = 0.3, 0.525, 1.1  # ems: the ground of a number is so wide, and so high
BETWEEN = 0.1  # ems from one such ground to the next
HIDDEN = 1 / 3  # of a narrow map: numbers wider than that stand beside it
NARROWEST = 16.0  # mm; a map of one column of pages is larger where it would be narrower than that
PAPER, PALE = "#f8f8f8", 0.45  # where only black is printed; share of it in the fabric else
MAP_HEAD = 3.3  # mm above the page map for each point of the text, without the words about it
MAP_WORDS = 290.0  # ems; those words set in one line, in the language that needs most
LARGE_HEAD, LARGE_WORDS = 4.0, 132.0  # ems; the same in large print, which tells less here
LEADING, LARGE_LEADING = 1.4, 1.3  # ems from line to line
BEFORE_MAP = 1 / 3  # of the page: so much of the part before the map may stand above it


@dataclass(frozen=True)
class PageOnMap:
    """One page on the map, in mm from the map's top left corner.

    named: whether its number is printed; where pages are many, not all numbers have room.
    """

    number: int
    left: float
    top: float
    width: float
    height: float
    named: bool = True


@dataclass(frozen=True)
class PageMap:
    """The whole chart so many mm wide and high, and its pages. points: size of their numbers.

    beside: whether the numbers stand at the right of a map that they would hide. alone: whether it
    needs a page of its own.
    """

    width: float
    height: float
    overlap: int
    tiles: tuple[PageOnMap, ...]
    points: float = POINTS
    beside: bool = False
    alone: bool = False
    address: str = "borders:"

    @property
    def em(self) -> float:
        """The size of the numbers in mm."""
        return self.points * MM_PER_POINT

    def plate(self, tile: PageOnMap) -> tuple[float, float]:
        """Return width and height in mm of the ground on which the number of a page stands."""
        return (PLATE + DIGIT * len(str(tile.number))) * self.em, HIGH * self.em


def page_map(
    pagination: Pagination,
    most: tuple[float, float],
    points: float = POINTS,
    least: float = LEAST_POINTS,
) -> PageMap:
    """Return the map of a chart's pages as large as fits into `most` (mm).

    points: size of the numbers at the most; where pages are many they are smaller, but no
    smaller than the least: then only some pages have theirs. Those of one narrow column of pages
    stand beside it.
    """
    scale = min(most[0] / pagination.width, most[1] / pagination.height, 6.0)
    narrow = scale * min(page.core_x1 - page.core_x0 for page in pagination.pages)
    low = scale * min(page.core_y1 - page.core_y0 for page in pagination.pages)
    wide = (PLATE + BETWEEN + DIGIT * len(str(len(pagination.pages)))) * MM_PER_POINT
    high = (HIGH + BETWEEN) * MM_PER_POINT
    beside = pagination.across == 1 < pagination.down and wide * points > HIDDEN * narrow
    if beside:
        narrow = wide * points
    # Every how many pages a number of the least size has room, and how large it may then be.
    across, down = (math.ceil(least * each - 1e-9) for each in (wide / narrow, high / low))
    points = min(points, across * narrow / wide, down * low / high)
    tiles = tuple(
        PageOnMap(
            page.number,
            page.core_x0 * scale,
            page.core_y0 * scale,
            (page.core_x1 - page.core_x0) * scale,
            (page.core_y1 - page.core_y0) * scale,
            page.column % across == 0 and page.row % down == 0,
        )
        for page in pagination.pages
    )
    overlap = pagination.overlap if len(tiles) > 1 else 0
    return PageMap(
        pagination.width * scale,
        pagination.height * scale,
        overlap,
        tiles,
        points,
        beside,
    )


def map_of_pages(pagination: Pagination, form: Setting) -> PageMap:
    """Return the map of a chart's pages for a booklet.

    In large print it has a page of its own where all numbers have no room below the words.
    """
    heights = [_height(form)] + [form.room[1]] * form.large
    if pagination.across == 1:  # one column of pages need not be as tall as the page
        seen = NARROWEST * pagination.height / pagination.width
        heights = [max(each / 2, min(each, seen)) for each in heights]
    sizes = (form.points, form.points) if form.large else (POINTS, LEAST_POINTS)
    maps = [page_map(pagination, (form.room[0], each), *sizes) for each in heights]
    chosen = next((each for each in maps if all(tile.named for tile in each.tiles)), maps[-1])
    return replace(chosen, alone=form.large and chosen is not maps[0])


def _height(form: Setting) -> float:
    """Return the mm that the page map may be high, for what stands above and below it.

    It leaves room for the end of the part before it, which would else be a page left nearly bare;
    not on small paper, where the numbers of the pages need all there is.
    """
    em = form.points * MM_PER_POINT
    if form.large:
        lines = math.ceil(LARGE_WORDS * em / form.room[0]) + 1
        return form.room[1] - (LARGE_HEAD + lines * LARGE_LEADING) * em
    lines = math.ceil(MAP_WORDS * em / form.room[0]) + 1
    free = form.room[1] - MAP_HEAD * form.points - lines * LEADING * em
    return free if form.narrow else free - BEFORE_MAP * form.room[1] - 2 * LEADING * em


def whole_picture(worked: WorkedChart, ink: Ink) -> bytes:
    """Return the whole chart as PNG, one or two pixels to a cell.

    Printed in black only, colours become greys.
    """
    from PIL import Image  # noqa: PLC0415 - while the pages are laid out

    design = worked.design
    needles = [needle_colour(entry.parts[0].needle) for entry in design.key]
    if ink.black:
        bare, threads = PAPER, [grey(each) for each in needles]
    else:
        bare, threads = mix(design.ground.colour, PAPER, PALE), needles
    colours = np.array([channels(each) for each in (bare, *threads)])
    fine = 2 if worked.grid.size * 4 <= MOST_PIXELS else 1
    cells = np.kron(worked.grid, np.ones((fine, fine), dtype=np.uint16))
    for piece in worked.pieces:
        _lay(cells, piece.grid, piece.x * fine, piece.y * fine, piece.cell * fine)
    for stand in worked.stands:
        rows, columns = np.nonzero(own(stand.stitch))
        crossings = stand.at[:, 1, None] + rows, stand.at[:, 0, None] + columns
        down, across = (each * fine // design.ground.fabric.over for each in crossings)
        cells[down, across] = stand.index
    picture = colours.astype(np.uint8)[cells]
    out = io.BytesIO()
    Image.fromarray(picture).save(out, "PNG", optimize=False)
    return out.getvalue()


def _lay(
    cells: NDArray[np.uint16], grid: NDArray[np.uint16], x: float, y: float, cell: float
) -> None:
    """Lay a piece on the pixels of the map, each pixel taking the cross at its middle."""
    height, width = cells.shape
    rows = np.arange(max(0, round(y)), min(height, round(y + grid.shape[0] * cell)))
    columns = np.arange(max(0, round(x)), min(width, round(x + grid.shape[1] * cell)))
    from_row = np.clip(((rows + 0.5 - y) / cell).astype(int), 0, grid.shape[0] - 1)
    from_column = np.clip(((columns + 0.5 - x) / cell).astype(int), 0, grid.shape[1] - 1)
    laid = grid[np.ix_(from_row, from_column)]
    under = cells[np.ix_(rows, columns)]
    cells[np.ix_(rows, columns)] = np.where(laid, laid, under)
