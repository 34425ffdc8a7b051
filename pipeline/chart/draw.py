"""The chart pages: which shapes, rows and marks a page is made of, handed to its template.

The drawing is SVG in mm. Cells are drawn in a group scaled to one unit a cell, so that nearly
all numbers are small integers. The rows of symbols are text in the symbol font.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import Piece, WorkedChart
from ..core.items import Box
from ..core.matter import Note
from ..templates.environment import render
from .badges import USUAL_RING, Badge, Ring, badges
from .counted import FINE, CountedStitches
from .crosses import Crosses, Mask, Palette, box_path, crosses
from .edges import Window, edges, margins, window_of
from .ink import EDGE, VEIL
from .looks import HALO, MARK, RIM, SIGN, LineStyle, PointStyle, Sign, line_styles, point_styles
from .openwork import Gaps
from .options import Ink
from .overdrawn import Lines, dots, line_width, meet, polyline
from .paginate import Page, Pagination
from .signs import RIM as RIM_OF_SIGN
from .signs import Beside

CLEAR_OF_KNOTS = 0.5  # cells from the end of a leader to the middle of a knot or bead
CLEAR = 0.15  # cells between the ring of a sign and that of a note
ARM = 2.4  # mm; of a bracket around what a note means


@dataclass(frozen=True)
class Grid:
    """The weights in mm of the lines between cells, at fives and at tens, and their colours.

    clear: width of the white on which the tens lie.
    """

    thin: float
    five: float
    ten: float
    clear: float
    colour: str
    tens_colour: str


GRID = Grid(0.09, 0.09, 0.25, 0.4, "#a8a8a8", "#262626")
# A copier loses grey and what is thinner; the fives lead the eye where no colour does.
BLACK_GRID = Grid(0.2, 0.26, 0.44, 0.46, "#000000", "#000000")


@dataclass(frozen=True, eq=False)
class Drawing:
    """A chart and how it is printed: what all its pages share.

    notes: the printed number of each note, and the note. tens_from: the grid lines that columns
    and rows are counted from. plain: cells are too small for symbols and show their colour alone,
    a grey where only black is printed. ring: of the numbers of notes. symbol: the smallest square
    in mm whose symbol is printed; signs beside lines are as large.
    """

    worked: WorkedChart
    ink: Ink
    notes: Sequence[tuple[int, Note]] = ()
    tens_from: tuple[int, int] = (0, 0)
    plain: bool = False
    ring: Ring = USUAL_RING
    symbol: float = 0.0

    @cached_property
    def palette(self) -> Palette:
        """How the cells of each key line are printed."""
        return Palette(self.worked.design.key, self.ink, self.plain)

    @cached_property
    def plain_palette(self) -> Palette:
        """How cells are printed that are too small for their symbols."""
        return Palette(self.worked.design.key, self.ink, True)

    @cached_property
    def line_styles(self) -> dict[int, LineStyle]:
        """How the lines of each key line are drawn."""
        return line_styles(self.worked.design, self.ink)

    @cached_property
    def point_styles(self) -> dict[int, PointStyle]:
        """How the knots or beads of each key line are drawn."""
        return point_styles(self.worked.design, self.ink)

    @cached_property
    def counted(self) -> CountedStitches:
        """The counted stitches of the chart, ready to be looked up."""
        return CountedStitches(self.worked, self.ink)

    @cached_property
    def gaps(self) -> Gaps:
        """Where threads are withdrawn, ready to be looked up."""
        return Gaps(self.worked)

    @cached_property
    def beside(self) -> Beside:
        """What the signs of the chart stand beside, ready to be looked up."""
        return Beside(self.worked)

    @cached_property
    def drawn_ends(self) -> NDArray[np.float64]:
        """x0, y0, x1, y1 of all that is drawn as it lies, in crosses, (n, 4)."""
        over = self.worked.design.ground.fabric.over
        strokes = [lot.strokes for lot in self.worked.counted]
        counted = [np.concatenate([each.up, each.down], axis=1) / over for each in strokes]
        return np.concatenate([self.worked.drawn_ends, *counted])

    @cached_property
    def lines(self) -> Lines:
        """The lines of the chart, ready to be looked up."""
        return Lines(self.worked)


@dataclass(frozen=True)
class _Off:
    """A piece off the grid: where it lies in view, its ground, its own grid, its outline."""

    x: float
    y: float
    cell: float
    cells: str
    crosses: Crosses
    outline: str


@dataclass(frozen=True)
class _ShownBadge:
    """A badge in cells of the view."""

    text: str
    x: float
    y: float
    area: str
    leader: str


def draw_page(drawing: Drawing, page: Page, pagination: Pagination) -> str:
    """Return one chart page as SVG; its size is in mm."""
    return _draw(drawing, window_of(page, pagination), pagination.cell, drawing.notes)


def draw_excerpt(
    drawing: Drawing,
    area: tuple[int, int, int, int],
    cell: float,
    notes: Sequence[tuple[int, Note]] | None = None,
) -> str:
    """Return the cells x0, y0, x1, y1 of a chart as SVG, with cells of so many mm.

    notes: those whose numbers are shown; by default all.
    """
    worked = drawing.worked
    window = Window(worked.width, worked.height, *area, own=area)
    return _draw(drawing, window, cell, drawing.notes if notes is None else notes)


def _draw(drawing: Drawing, window: Window, cell: float, notes: Sequence[tuple[int, Note]]) -> str:
    worked = drawing.worked
    view = (float(window.x0), float(window.y0), float(window.x1), float(window.y1))
    grid = worked.grid[window.y0 : window.y1, window.x0 : window.x1]
    veil = _veil(window)
    around = margins(worked.height)
    width, height = (window.x1 - window.x0) * cell, (window.y1 - window.y0) * cell
    pieces = [piece for piece in worked.pieces if meet(_bounds(piece), view)]
    own = None if veil is None else _area(window.own)
    stitches = drawing.counted.drawn(view, cell, own)
    strokes = drawing.lines.strokes(drawing.line_styles, view)
    points = dots(worked.knots, drawing.point_styles, view, HALO)
    knots = {(knot.x, knot.y) for knot in worked.knots}
    half = max(min(MARK, SIGN / cell / 2), drawing.symbol / cell / 2)
    signs = () if drawing.plain else drawing.beside.signs(view, half, own)
    return render(
        "chart_page.svg.j2",
        width=width + 2 * around.side,
        height=height + 2 * around.end,
        left=around.side,
        top=around.end,
        cell=cell,
        plain=drawing.plain,
        mm=1 / cell,
        veil_colour=VEIL,
        veil=_strips(window) if veil is not None else "",
        crosses=crosses(grid, drawing.palette, veil),
        openwork=drawing.gaps.drawn(view),
        grid=BLACK_GRID if drawing.ink.black else GRID,
        edges=edges(window, cell, drawing.tens_from),
        pieces=[_off(piece, drawing, window, view, cell) for piece in pieces],
        stitches=stitches,
        fine=FINE,
        signs=[sign for _, sign in signs],
        sign=half,
        strokes=strokes,
        line_width=line_width(cell),
        halo=HALO,
        rim=RIM,
        rim_colour=EDGE,
        dots=points,
        badges=[
            _shown(badge, view, cell, drawing.ring.radius, knots)
            for badge in badges(
                notes,
                worked.pieces,
                worked.grid,
                view,
                cell,
                drawing.ring.radius,
                np.concatenate([drawing.drawn_ends, _reaches(signs, view, half)]),
            )
        ],
        ring=drawing.ring,
    )


def _reaches(signs: Sequence[tuple[int, Sign]], view: Box, half: float) -> NDArray[np.float64]:
    """Return the rings of signs for those that keep off them: both ends of what each reaches."""
    middles = np.array([(sign.x, sign.y) * 2 for _, sign in signs]).reshape(-1, 4)
    across = (RIM_OF_SIGN * half + CLEAR) * np.array([[-1, 0, 1, 0], [0, -1, 0, 1]])
    return np.asarray(middles[:, None] + np.array(view[:2] * 2) + across).reshape(-1, 4)


def _area(own: tuple[int, int, int, int]) -> Box:
    x0, y0, x1, y1 = own
    return float(x0), float(y0), float(x1), float(y1)


def _veil(window: Window) -> Mask | None:
    x0, y0, x1, y1 = window.own
    if window.own == (window.x0, window.y0, window.x1, window.y1):
        return None
    veil = np.ones((window.y1 - window.y0, window.x1 - window.x0), bool)
    veil[y0 - window.y0 : y1 - window.y0, x0 - window.x0 : x1 - window.x0] = False
    return veil


def _strips(window: Window) -> str:
    """Return the strips that belong to neighbouring pages, in cells of the window."""
    x0, y0, x1, y1 = window.own
    columns, rows = window.x1 - window.x0, window.y1 - window.y0
    top, bottom = y0 - window.y0, y1 - window.y0
    strips = [
        (0, 0, columns, top),
        (0, bottom, columns, rows - bottom),
        (0, top, x0 - window.x0, bottom - top),
        (x1 - window.x0, top, window.x1 - x1, bottom - top),
    ]
    return box_path(np.array([strip for strip in strips if strip[2] and strip[3]]))


def _bounds(piece: Piece) -> Box:
    return piece.x, piece.y, piece.x + piece.width, piece.y + piece.height


def _off(piece: Piece, drawing: Drawing, window: Window, view: Box, cell: float) -> _Off:
    """Return the part of a piece in view, with its outline.

    Crosses too small for their symbols show their colour alone.

    A cross that the edge of the page would cut is left to the neighbour, where the two overlap.
    """
    x0, y0, x1, y1 = view
    own = window.own
    columns = _inside(piece.x, piece.cell, piece.grid.shape[1], (x0, x1), (own[0], own[2]))
    rows = _inside(piece.y, piece.cell, piece.grid.shape[0], (y0, y1), (own[1], own[3]))
    grid = piece.grid[rows, columns]
    left, top = piece.x + columns.start * piece.cell, piece.y + rows.start * piece.cell
    middle_x = left + (np.arange(grid.shape[1]) + 0.5) * piece.cell
    middle_y = top + (np.arange(grid.shape[0]) + 0.5) * piece.cell
    foreign_x = (middle_x < own[0]) | (middle_x >= own[2])
    foreign_y = (middle_y < own[1]) | (middle_y >= own[3])
    palette = drawing.palette
    if piece.cell * cell < drawing.symbol - 1e-6:
        palette = drawing.plain_palette
    y, x = np.nonzero(grid)
    ones = np.ones_like(x)
    return _Off(
        left - x0,
        top - y0,
        piece.cell,
        box_path(np.stack([x, y, ones, ones], axis=1)) if len(x) else "",
        crosses(grid, palette, foreign_y[:, None] | foreign_x) if grid.size else Crosses(),
        _outline(_bounds(piece), view),
    )


def _inside(
    start: float, cell: float, count: int, view: tuple[float, float], own: tuple[int, int]
) -> slice:
    """Return which columns or rows of a piece a page shows.

    Where it shares a strip with its neighbour only whole ones, else those with their middle in
    view.
    """
    whole = 0.0 if own[0] > view[0] else 0.5
    first = max(0, math.ceil((view[0] - start) / cell - whole - 1e-9))
    whole = 0.0 if own[1] < view[1] else 0.5
    last = min(count, math.floor((view[1] - start) / cell + whole + 1e-9))
    return slice(min(first, count), max(first, last))


def _outline(area: Box, view: Box) -> str:
    """Return the outline of an area as far as it is in view; it stays open where it goes on."""
    x0, y0, x1, y1 = area
    return _way([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)], view)


def _brackets(area: Box, view: Box, cell: float) -> str:
    """Return brackets at the corners of an area, as far as they are in view."""
    x0, y0, x1, y1 = area
    across, down = (min(ARM / cell, (end - start) / 3) for start, end in ((x0, x1), (y0, y1)))
    corners = [
        [(x + inward * across, y), (x, y), (x, y + under * down)]
        for x, inward in ((x0, 1), (x1, -1))
        for y, under in ((y0, 1), (y1, -1))
    ]
    return "".join(_way(each, view) for each in corners)


def _way(points: Sequence[tuple[float, float]], view: Box) -> str:
    parts = polyline(points, view)
    return "".join(
        "M" + "L".join(f"{x - view[0]:.6g} {y - view[1]:.6g}" for x, y in part) for part in parts
    )


def _shown(
    badge: Badge, view: Box, cell: float, radius: float, knots: Collection[tuple[float, float]]
) -> _ShownBadge:
    """Return a ring with its leader, which ends beside a knot or bead that it points at."""
    x, y = badge.x - view[0], badge.y - view[1]
    leader = ""
    if badge.tip is not None:
        tip = badge.tip[0] - view[0], badge.tip[1] - view[1]
        away = math.hypot(tip[0] - x, tip[1] - y)
        share = min(1.0, radius / cell / away) if away else 1.0
        start = x + (tip[0] - x) * share, y + (tip[1] - y) * share
        if badge.tip in knots and away:
            share = max(share, 1.0 - CLEAR_OF_KNOTS / away)
            tip = x + (tip[0] - x) * share, y + (tip[1] - y) * share
        leader = f"M{start[0]:.6g} {start[1]:.6g}L{tip[0]:.6g} {tip[1]:.6g}"
    point = badge.area[:2] == badge.area[2:]
    area = "" if point else _brackets(badge.area, view, cell)
    return _ShownBadge(str(badge.number), x, y, area, leader)
