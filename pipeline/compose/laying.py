"""Laying stamps down, one after another, and noticing where they meet."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..core.counted import Counted
from ..core.items import Cover
from ..core.source import Span
from .crossings import Crossings, GridSpot, enlarged, touched
from .misplaced import GridCorner, Mask, Meeting, Meetings, Whole, looked_up, note
from .stamp import Stamp
from .standing import Standing
from .strokework import Stand
from .worked import IndexGrid, Piece, Placed, WorkedKnot, WorkedLine


class Boxes:
    """Rectangles x0, y0, x1, y1, kept in an array that doubles as it fills."""

    def __init__(self) -> None:
        """Begin with none."""
        self._boxes: NDArray[np.float64] = np.empty((16, 4))
        self._count = 0

    def add(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """Add one rectangle."""
        if self._count == len(self._boxes):
            self._boxes = np.concatenate([self._boxes, np.empty_like(self._boxes)])
        self._boxes[self._count] = (x0, y0, x1, y1)
        self._count += 1

    def remove(self, position: int) -> None:
        """Take one out, leaving the positions of the others."""
        self._boxes[position] = np.nan  # compares false with everything

    def inside(self, x0: float, y0: float, x1: float, y1: float) -> list[int]:
        """Return the positions of those wholly inside a rectangle.

        One that lies flat along an edge of the rectangle belongs to its neighbour just as much,
        and is not counted.
        """
        boxes = self._boxes[: self._count]
        if not self._count:
            return []
        left, top, right, bottom = boxes.T
        within = (left >= x0) & (top >= y0) & (right <= x1) & (bottom <= y1)
        along_edge = (right <= x0) | (left >= x1) | (bottom <= y0) | (top >= y1)
        return [int(each) for each in np.flatnonzero(within & ~along_edge)]


class Laying:
    """The chart while it is being put together. Items are numbered as the caller likes."""

    def __init__(self, width: int, height: int, over: int) -> None:
        """Start with bare fabric of so many crosses, each over so many threads."""
        self.width, self.height, self.over = width, height, over
        self.grid: IndexGrid = np.zeros((height, width), dtype=np.uint16)
        self.owner: NDArray[np.int32] = np.full((height, width), -1, dtype=np.int32)
        self.placed: list[Placed] = []
        self.meetings = Meetings()
        self.crossings = Crossings(width, height, over, self.meetings)
        self.standing = Standing(width, height, over, self.meetings)
        self._items: list[int] = []  # the item of each of `placed`
        self._lines: list[WorkedLine | None] = []
        self._line_boxes = Boxes()
        self._knots: list[WorkedKnot | None] = []
        self._knot_boxes = Boxes()

    @property
    def lines(self) -> tuple[WorkedLine, ...]:
        """The lines that were not cleared away."""
        return tuple(line for line in self._lines if line is not None)

    @property
    def knots(self) -> tuple[WorkedKnot, ...]:
        """The knots that were not cleared away."""
        return tuple(knot for knot in self._knots if knot is not None)

    def on_grid(self, spot: GridSpot) -> bool:
        """Tell whether a stamp there falls on the chart's own crosses."""
        over = self.over
        return spot.cell == over and spot.x % over == 0 and spot.y % over == 0

    def lay(self, item: int, stamp: Stamp, spot: GridSpot, cover: Cover, span: Span | None) -> None:
        """Lay a stamp with all it holds."""
        if cover.clears:
            self.clear(item, spot, stamp.width, stamp.height)
        self.record(item, stamp, spot, span)
        self._lay_grid(item, stamp, spot, cover, span)
        for part in stamp.parts:
            at = GridSpot(spot.x + part.x, spot.y + part.y, part.cell, part.strands)
            self._lay_grid(item, part.stamp, at, cover, part.span)
        if stamp.signs:
            self.lay_signs(item, stamp, spot, cover)
        self.lay_drawn(item, stamp, spot)

    def _lay_grid(
        self, item: int, stamp: Stamp, spot: GridSpot, cover: Cover, span: Span | None
    ) -> None:
        if self.on_grid(spot):
            self._lay_cells(item, stamp, spot.x // self.over, spot.y // self.over, cover)
        else:
            self.lay_piece(item, stamp, spot, cover, span)

    def record(self, item: int, stamp: Stamp, spot: GridSpot, span: Span | None) -> None:
        """Note where a copy lies."""
        over = self.over
        x, y, cell = spot.x / over, spot.y / over, spot.cell / over
        piece = not self.on_grid(spot)
        self._items.append(item)
        self.placed.append(
            Placed(
                stamp.name,
                x,
                y,
                cell,
                stamp.grid,
                stamp.motif,
                piece,
                span,
                bool(stamp.signs),
                stamp.drawn,
            )
        )

    def clear(self, item: int, spot: GridSpot, width: int, height: int) -> None:
        """Empty a rectangle of so many crosses.

        Every cross of the chart's grid that it touches goes, and of lines, knots and pieces
        those wholly inside it.
        """
        over = self.over
        x1, y1 = spot.x + width * spot.cell, spot.y + height * spot.cell
        left, top = max(spot.x, 0), max(spot.y, 0)
        right, bottom = min(x1, self.width * over), min(y1, self.height * over)
        if left >= right or top >= bottom:
            return
        cells = np.s_[top // over : -(-bottom // over), left // over : -(-right // over)]
        self.grid[cells] = 0
        self.owner[cells] = -1
        self.crossings.clear(item, left, top, right, bottom)
        self.standing.clear(item, left, top, right, bottom)
        box = (spot.x / over, spot.y / over, x1 / over, y1 / over)
        for each in self._line_boxes.inside(*box):
            self._lines[each] = None
            self._line_boxes.remove(each)
        for each in self._knot_boxes.inside(*box):
            self._knots[each] = None
            self._knot_boxes.remove(each)

    def _lay_cells(self, item: int, stamp: Stamp, x: int, y: int, cover: Cover) -> None:
        grid, mask = stamp.grid, stamp.mask
        if x < 0 or y < 0 or x + stamp.width > self.width or y + stamp.height > self.height:
            inside = np.s_[
                max(-y, 0) : max(self.height - y, 0), max(-x, 0) : max(self.width - x, 0)
            ]
            self.meetings.cells_beyond(item, mask, inside, GridCorner(x, y, 1))
            grid, mask = grid[inside], mask[inside]
            x, y = max(x, 0), max(y, 0)
            if not mask.size:
                return
        there = np.s_[y : y + mask.shape[0], x : x + mask.shape[1]]
        under, owner = self.grid[there], self.owner[there]
        if not cover.replaces:
            both = mask & (under != 0)
            if both.any():
                earlier = looked_up(owner[both], self._items)
                rows, columns = np.nonzero(both)
                note(self.meetings.overlaps, item, earlier, (rows, columns), GridCorner(x, y, 1))
        if not (self.crossings.empty and self.standing.empty):
            footprint = enlarged(mask, self.over)
            spot = GridSpot(x * self.over, y * self.over, self.over)
            self.crossings.meet(item, footprint, spot, cover)
            self.standing.meet(item, footprint, spot.x, spot.y, self.over, cover)
        number = len(self.placed) - 1
        if stamp.full:
            under[...] = grid
            owner[...] = number
        else:
            np.copyto(under, grid, where=mask)
            np.copyto(owner, number, where=mask)

    def lay_piece(
        self, item: int, stamp: Stamp, spot: GridSpot, cover: Cover, span: Span | None
    ) -> None:
        """Lay the cells of a stamp that does not fall on the chart's own crosses."""
        over, cell, x, y = self.over, spot.cell, spot.x, spot.y
        grid, mask = stamp.grid, stamp.mask
        if self.crossings.too_fine or not mask.any():
            return
        wide, high = self.width * over, self.height * over
        if x < 0 or y < 0 or x + stamp.width * cell > wide or y + stamp.height * cell > high:
            # Its bare edge may hang over; its stitches may not.
            inside = np.s_[
                -(min(y, 0) // cell) : max((high - y) // cell, 0),
                -(min(x, 0) // cell) : max((wide - x) // cell, 0),
            ]
            frame = GridCorner(x / over, y / over, cell / over)
            if self.meetings.cells_beyond(item, mask, inside, frame):
                return
            rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
            used = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
            grid, mask = grid[used], mask[used]
            x, y = x + int(columns[0]) * cell, y + int(rows[0]) * cell
        footprint = enlarged(mask, cell)
        self._piece_on_cells(item, footprint, GridSpot(x, y, cell), cover)
        self.standing.meet(item, footprint, x, y, cell, cover)
        piece = Piece(stamp.name, x / over, y / over, cell / over, cell, grid, span, spot.strands)
        self.crossings.add(item, piece, footprint, cover)

    def lay_signs(self, item: int, stamp: Stamp, spot: GridSpot, cover: Cover) -> None:
        """Lay the counted stitches of a stamp."""
        if self.standing.too_fine:
            return
        number, corner = len(self.placed) - 1, (spot.x, spot.y)
        for signs in stamp.signs:
            for stitch, drawn in signs.standing(spot.cell):
                if stamp.cut:
                    self._note_severed(item, stamp, spot, drawn, stitch)
                at = self.standing.inside(item, stitch, drawn + corner)
                if not len(at):
                    continue
                placed = np.full(len(at), number)
                strands = spot.strands if signs.strands is None else signs.strands
                stand = Stand(signs.index, stitch, strands, at, placed)
                taken = self.standing.lay(item, number, stand, cover)
                self._signs_on_own(item, stamp, spot, taken)
                self._signs_on_others(item, stitch, taken, cover)

    def _note_severed(
        self, item: int, stamp: Stamp, spot: GridSpot, drawn: Whole, stitch: Counted
    ) -> None:
        """Note which stitches of a part of a motif reach beyond it; drawn: their corners in it."""
        size = stamp.width * spot.cell, stamp.height * spot.cell
        beyond = drawn[((drawn < 0) | (drawn + stitch.over > size)).any(axis=1)]
        if len(beyond):
            places = (beyond + np.array([spot.x, spot.y])) / self.over
            x, y = min(map(tuple, places.tolist()), key=lambda at: at[::-1])
            self.meetings.severed.setdefault(item, Meeting((x, y), 0)).count += len(beyond)

    def _signs_on_own(
        self, item: int, stamp: Stamp, spot: GridSpot, taken: tuple[Whole, Whole]
    ) -> None:
        """Note where counted stitches lie on cells of their own stamp, whatever it may cover."""
        rows, columns = (taken[0] - spot.y) // spot.cell, (taken[1] - spot.x) // spot.cell
        inside = (rows >= 0) & (columns >= 0) & (rows < stamp.height) & (columns < stamp.width)
        rows, columns = rows[inside], columns[inside]
        both = stamp.mask[rows, columns]
        if both.any():
            frame = GridCorner(spot.x / self.over, spot.y / self.over, spot.cell / self.over)
            earlier = np.full(both.sum(), item)
            note(self.meetings.overlaps, item, earlier, (rows[both], columns[both]), frame)

    def _signs_on_others(
        self, item: int, stitch: Counted, taken: tuple[Whole, Whole], cover: Cover
    ) -> None:
        """Let counted stitches fall on cells and pieces; taken: rows and columns of crossings."""
        rows, columns = (each // self.over for each in taken)
        both = self.grid[rows, columns] != 0
        rows, columns = rows[both], columns[both]
        if len(rows) and cover.replaces:
            self.grid[rows, columns] = 0
            self.owner[rows, columns] = -1
        elif len(rows):
            earlier = looked_up(self.owner[rows, columns], self._items)
            others = earlier != item  # its own are noted already
            cells = rows[others], columns[others]
            if len(cells[0]):
                note(self.meetings.overlaps, item, earlier[others], cells, GridCorner(0, 0, 1))
        if not self.crossings.empty:
            y, x = (int(each.min()) for each in taken)
            high, wide = (int(np.ptp(each)) + 1 for each in taken)
            footprint = np.zeros((high, wide), dtype=np.bool_)
            footprint[taken[0] - y, taken[1] - x] = True
            cell = min(stitch.over)
            self.crossings.meet(item, footprint, GridSpot(x, y, cell), cover)

    def _piece_on_cells(self, item: int, footprint: Mask, spot: GridSpot, cover: Cover) -> None:
        over, x, y = self.over, spot.x, spot.y
        crosses = touched(footprint, x, y, over)
        rows, columns = crosses.shape
        there = np.s_[y // over : y // over + rows, x // over : x // over + columns]
        under, owner = self.grid[there], self.owner[there]
        both = crosses & (under != 0)
        if not both.any():
            return
        if cover.replaces:
            under[both] = 0
            owner[both] = -1
            return
        # Counted in stitches of the piece: each that stands on any part of a cross.
        height, width = footprint.shape
        offset = np.s_[y % over : y % over + height, x % over : x % over + width]
        down, across = np.nonzero(enlarged(both, over)[offset] & footprint)
        owners = owner[(down + y % over) // over, (across + x % over) // over]
        cells = down // spot.cell, across // spot.cell
        frame = GridCorner(x / over, y / over, spot.cell / over)
        note(self.meetings.overlaps, item, looked_up(owners, self._items), cells, frame)

    def lay_drawn(self, item: int, stamp: Stamp, spot: GridSpot) -> None:
        """Lay the lines and knots of a stamp."""
        if not (stamp.lines or stamp.knots):
            return
        scale = spot.cell / self.over
        x, y = spot.x / self.over, spot.y / self.over
        start = np.array([x, y])
        for line in stamp.lines:
            points = start + line.points * scale
            self.add_line(item, WorkedLine(line.index, points, scale * line.scale, line.span))
        for knot in stamp.knots:
            at = x + knot.x * scale, y + knot.y * scale
            self.add_knot(item, WorkedKnot(knot.index, *at, knot.span))

    def add_line(self, item: int, line: WorkedLine) -> None:
        """Add a line, unless it leaves the chart."""
        points = line.points
        low, high = points.min(axis=0), points.max(axis=0)
        if low.min() < 0 or high[0] > self.width or high[1] > self.height:
            outside = ((points < 0) | (points > (self.width, self.height))).any(axis=1)
            x, y = points[outside.argmax()].tolist()
            self.meetings.beyond(item, (x, y)).lines += 1
            return
        self._lines.append(line)
        self._line_boxes.add(low[0], low[1], high[0], high[1])

    def add_knot(self, item: int, knot: WorkedKnot) -> None:
        """Add a knot or bead, unless it lies off the chart."""
        if not (0 <= knot.x <= self.width and 0 <= knot.y <= self.height):
            self.meetings.beyond(item, (knot.x, knot.y)).knots += 1
            return
        self._knots.append(knot)
        self._knot_boxes.add(knot.x, knot.y, knot.x, knot.y)
