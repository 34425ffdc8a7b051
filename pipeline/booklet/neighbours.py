"""The ways from a chart page to its neighbours: where each stands beside the drawing.

Above and below they have a line of their own. At the sides they stand among the numbers of the
rows, turned on end, where two numbers leave room for one: a line of their own would cost columns.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from ..chart.edges import FIGURE_HEIGHT, NUMBER_AT, margins, numbered_rows
from ..chart.paginate import Page, Pagination

JOIN = 4.6  # room above, below and, where need be, beside the drawing
LONG = 20.0  # of a way, in any language
CLEAR = 2.5  # between a way and the numbers before and after it, both together


@dataclass(frozen=True)
class Arrow:
    """The way to a neighbouring page. x, y: the middle of its sign."""

    side: str
    page: int
    x: float
    y: float


def among_numbers(pagination: Pagination) -> bool:
    """Whether the ways to the sides have room among the numbers on all pages."""
    return all(_between_rows(page, pagination) is not None for page in pagination.pages)


def arrows(page: Page, pagination: Pagination, x: float, y: float) -> tuple[Arrow, ...]:
    """Return the ways to the neighbours of a page whose drawing has its corner at x, y."""
    around = margins(pagination.height)
    width = page.columns * pagination.cell + 2 * around.side
    height = page.rows * pagination.cell + 2 * around.end
    middle, out = x + width / 2, JOIN / 2
    inside = _between_rows(page, pagination) if among_numbers(pagination) else None
    if inside is None:
        aside, at_y = -out, y + height / 2
    else:
        aside, at_y = (around.side - NUMBER_AT) / 2, y + around.end + inside
    places = (
        ("left", page.left, x + aside, at_y),
        ("right", page.right, x + width - aside, at_y),
        ("above", page.above, middle, y - out),
        ("below", page.below, middle, y + height + out),
    )
    return tuple(Arrow(side, to, at_x, at) for side, to, at_x, at in places if to is not None)


def _between_rows(page: Page, pagination: Pagination) -> float | None:
    """Return where a way fits between two numbers of rows, in mm below the first row.

    None where no two are far enough apart. The gap nearest to the middle of the page is taken.
    """
    wanted = LONG + FIGURE_HEIGHT + CLEAR
    cell = pagination.cell
    rows = [(each - page.y0) * cell for each in numbered_rows(page, pagination)]
    fitting = [(one + two) / 2 for one, two in pairwise(rows) if two - one >= wanted]
    return min(fitting, key=lambda at: abs(at - page.rows * cell / 2), default=None)
