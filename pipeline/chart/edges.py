"""What stands around the cells of a page: numbers, ends, centre marks, shared strips.

All lengths are mm. A drawing has a margin for it on each side; `margins` says how wide, so that
the pages can be planned before anything is drawn.

Where the chart ends, the edge is a heavy rule with a thin one outside it, closed at the corners.
Where it goes on, there is no rule and the grid runs out a little beyond the last cell, so that a
copy that was cut off is noticed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .breaks import BAND
from .paginate import Page, Pagination

RULE = 0.85  # distance of the outer rule from the edge of the chart
OPEN = 1.1  # how far the grid runs out where the chart goes on
TICK = 1.0, 2.2  # where a tick begins and ends
NUMBER_AT = 2.8  # distance of a number from the grid
FIGURE = 2.7  # size of the numbers; a figure is 0.65 of it high and about half of it wide
FIGURE_HEIGHT, FIGURE_WIDTH = 0.65 * FIGURE, 0.505 * FIGURE
COLUMNS_APART, ROWS_APART = 3.4 * FIGURE_WIDTH, 1.3 * FIGURE_HEIGHT  # numbers, at the least
MARK_HALF, MARK_HIGH = 1.0, 1.5  # half the base and the height of a centre mark
BAR = 1.15, 0.55  # distance and thickness of the bar along a shared strip
STEPS = 1, 2, 5, 10  # tens from one number to the next
HALF_BAND = BAND // 2  # from a ten to the five


@dataclass(frozen=True)
class Window:
    """What a drawing shows: the cells [x0, x1) x [y0, y1) of a chart of so many cells.

    own: x0, y0, x1, y1 of the cells that belong to no other page.
    """

    width: int
    height: int
    x0: int
    y0: int
    x1: int
    y1: int
    own: tuple[int, int, int, int]

    @property
    def ends(self) -> tuple[bool, bool, bool, bool]:
        """Whether the chart truly ends left, above, right and below."""
        return self.x0 == 0, self.y0 == 0, self.x1 == self.width, self.y1 == self.height


@dataclass(frozen=True)
class Margins:
    """Room around the cells: left and right, above and below."""

    side: float
    end: float


@dataclass(frozen=True)
class EdgeNumber:
    """A count of columns or rows at its place; anchor as in SVG."""

    text: str
    x: float
    y: float
    anchor: str


@dataclass(frozen=True)
class Link:
    """Where a page is joined by its neighbour.

    side: `left`, `right`, `above` or `below`. x, y: the middle of that edge in the drawing, in mm
    from its top left corner.
    """

    side: str
    page: int
    x: float
    y: float


@dataclass(frozen=True)
class Edges:
    """Paths and numbers, with the corner of the first cell at 0 0.

    thin, fives, tens: the grid. heavy, rule: where the chart ends. ticks, marks, bars: outside
    the grid.
    """

    thin: str
    fives: str
    tens: str
    heavy: str
    rule: str
    ticks: str
    marks: str
    bars: str
    numbers: tuple[EdgeNumber, ...]


def window_of(page: Page, pagination: Pagination) -> Window:
    """Return what a page shows."""
    own = (page.core_x0, page.core_y0, page.core_x1, page.core_y1)
    return Window(pagination.width, pagination.height, page.x0, page.y0, page.x1, page.y1, own)


def margins(rows: int) -> Margins:
    """Return the room around the cells of each page, for a chart of so many rows."""
    digits = len(str(rows))
    return Margins(
        round(NUMBER_AT + digits * FIGURE_WIDTH + 0.4, 2), round(NUMBER_AT + FIGURE_HEIGHT + 0.4, 2)
    )


def room(paper: tuple[float, float], rows: int) -> tuple[float, float]:
    """Return the mm left for cells in a drawing so many mm wide and high."""
    around = margins(rows)
    return paper[0] - 2 * around.side, paper[1] - 2 * around.end


def numbered_rows(page: Page, pagination: Pagination) -> list[int]:
    """Return the grid lines beside which a page prints the count of rows."""
    tens = _tens(page.y0, page.y1, 0)
    return _numbered(tens, page.y1, pagination.height, pagination.cell, ROWS_APART)


def links(page: Page, pagination: Pagination) -> tuple[Link, ...]:
    """Return where the neighbours of a page join it."""
    around = margins(pagination.height)
    across, down = page.columns * pagination.cell, page.rows * pagination.cell
    middle_x, middle_y = around.side + across / 2, around.end + down / 2
    places = (
        ("left", page.left, around.side, middle_y),
        ("right", page.right, around.side + across, middle_y),
        ("above", page.above, middle_x, around.end),
        ("below", page.below, middle_x, around.end + down),
    )
    return tuple(Link(side, page, x, y) for side, page, x, y in places if page is not None)


def edges(window: Window, cell: float, tens_from: tuple[int, int] = (0, 0)) -> Edges:
    """Return what stands around the cells of a window, and the grid.

    tens_from: the grid lines that columns and rows are counted from.
    """
    across, down = (window.x1 - window.x0) * cell, (window.y1 - window.y0) * cell
    left, above, right, below = window.ends
    tens_x = _tens(window.x0, window.x1, tens_from[0])
    tens_y = _tens(window.y0, window.y1, tens_from[1])
    at_x = [(each - window.x0) * cell for each in tens_x]
    at_y = [(each - window.y0) * cell for each in tens_y]
    # Where the grid lines begin and end: at the rule, or a little out.
    x_from, x_to = -OPEN * (not left), across + OPEN * (not right)
    y_from, y_to = -OPEN * (not above), down + OPEN * (not below)
    heavy_x = _ended(left, right, across)
    heavy_y = _ended(above, below, down)
    thin: list[str] = []
    fives: list[str] = []
    for column in range(window.x0, window.x1 + 1):
        at, counted = (column - window.x0) * cell, (column - tens_from[0]) % BAND
        if counted and at not in heavy_x:
            (fives if counted == HALF_BAND else thin).append(_upright(at, y_from, y_to))
    for row in range(window.y0, window.y1 + 1):
        at, counted = (row - window.y0) * cell, (row - tens_from[1]) % BAND
        if counted and at not in heavy_y:
            (fives if counted == HALF_BAND else thin).append(_level(at, x_from, x_to))
    tens = [_upright(each, y_from, y_to) for each in at_x if each not in heavy_x]
    tens += [_level(each, x_from, x_to) for each in at_y if each not in heavy_y]
    heavy = [_upright(each, y_from, y_to) for each in heavy_x]
    heavy += [_level(each, x_from, x_to) for each in heavy_y]
    out_x = (-RULE if left else x_from, across + RULE if right else x_to)
    out_y = (-RULE if above else y_from, down + RULE if below else y_to)
    rule = [_upright(-RULE, *out_y)] * left + [_upright(across + RULE, *out_y)] * right
    rule += [_level(-RULE, *out_x)] * above + [_level(down + RULE, *out_x)] * below
    columns = _numbered(tens_x, window.x1, window.width, cell, COLUMNS_APART, tens_from[0])
    rows = _numbered(tens_y, window.y1, window.height, cell, ROWS_APART, tens_from[1])
    ticks = [
        _upright((column - window.x0) * cell, *span)
        for column in columns
        for span in (_before(0), _after(down))
    ]
    ticks += [
        _level((row - window.y0) * cell, *span)
        for row in rows
        for span in (_before(0), _after(across))
    ]
    return Edges(
        "".join(thin),
        "".join(fives),
        "".join(tens),
        "".join(heavy),
        "".join(rule),
        "".join(ticks),
        _centre_marks(window, cell, across, down),
        _bars(window, cell, across, down),
        _numbers(window, cell, tens_from, columns, rows),
    )


def _ended(first: bool, last: bool, length: float) -> list[float]:
    return [0.0] * first + [length] * last


def _tens(start: int, end: int, origin: int) -> range:
    """Return the tens from `start` to `end`, both included, counted from `origin`."""
    first = math.ceil((start - origin) / BAND) * BAND + origin
    return range(first, end + 1, BAND)


def _before(edge: float) -> tuple[float, float]:
    return edge - TICK[0], edge - TICK[1]


def _after(edge: float) -> tuple[float, float]:
    return edge + TICK[0], edge + TICK[1]


def _upright(x: float, start: float, end: float) -> str:
    return f"M{x:.6g} {start:.6g}V{end:.6g}"


def _level(y: float, start: float, end: float) -> str:
    return f"M{start:.6g} {y:.6g}H{end:.6g}"


def _centre_marks(window: Window, cell: float, across: float, down: float) -> str:
    """Return triangles that point at the middle of the chart, where this window shows it."""
    marks = []
    x = (window.width / 2 - window.x0) * cell
    y = (window.height / 2 - window.y0) * cell
    half, high = MARK_HALF, MARK_HIGH
    if 0 <= x <= across:
        for tip, way in ((-TICK[0], -1), (down + TICK[0], 1)):
            marks.append(f"M{x:.6g} {tip:.6g}l{half:g} {way * high:g}h{-2 * half:g}z")
    if 0 <= y <= down:
        for tip, way in ((-TICK[0], -1), (across + TICK[0], 1)):
            marks.append(f"M{tip:.6g} {y:.6g}l{way * high:g} {half:g}v{-2 * half:g}z")
    return "".join(marks)


def _bars(window: Window, cell: float, across: float, down: float) -> str:
    """Return bars along the strips that a neighbouring page shows too."""
    x0, y0, x1, y1 = window.own
    gap, thick = BAR
    bars = []
    for start, end in ((window.x0, x0), (x1, window.x1)):
        if start < end:
            x, width = (start - window.x0) * cell, (end - start) * cell
            for y in (-gap - thick, down + gap):
                bars.append(f"M{x:.6g} {y:.6g}h{width:.6g}v{thick:g}h{-width:.6g}z")
    for start, end in ((window.y0, y0), (y1, window.y1)):
        if start < end:
            y, height = (start - window.y0) * cell, (end - start) * cell
            for x in (-gap - thick, across + gap):
                bars.append(f"M{x:.6g} {y:.6g}h{thick:g}v{height:.6g}h{-thick:g}z")
    return "".join(bars)


def _numbers(
    window: Window, cell: float, origin: tuple[int, int], columns: list[int], rows: list[int]
) -> tuple[EdgeNumber, ...]:
    across, down = (window.x1 - window.x0) * cell, (window.y1 - window.y0) * cell
    numbers = []
    for column in columns:
        x, text = (column - window.x0) * cell, str(abs(column - origin[0]))
        numbers.append(EdgeNumber(text, x, -NUMBER_AT, "middle"))
        numbers.append(EdgeNumber(text, x, down + NUMBER_AT + FIGURE_HEIGHT, "middle"))
    for row in rows:
        y, text = (row - window.y0) * cell + FIGURE_HEIGHT / 2, str(abs(row - origin[1]))
        numbers.append(EdgeNumber(text, -NUMBER_AT, y, "end"))
        numbers.append(EdgeNumber(text, across + NUMBER_AT, y, "start"))
    return tuple(numbers)


def _numbered(
    tens: range, end: int, length: int, cell: float, apart: float, origin: int = 0
) -> list[int]:
    """Return the tens, and the end of the chart when it is here, where numbers have room.

    Where not every ten has room, each second, fifth or tenth is taken.
    """
    step = next((each for each in STEPS if each * BAND * cell >= apart), STEPS[-1]) * BAND
    numbers = [each for each in tens if (each - origin) % step == 0]
    if end == length and (not numbers or (end - numbers[-1]) * cell >= apart):
        numbers.append(end)
    return numbers
