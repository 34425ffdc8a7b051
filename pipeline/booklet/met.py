"""Which key lines are met where on the chart: what the short key of a page has to tell."""

from __future__ import annotations

import math

import numpy as np

from ..chart.overdrawn import polyline
from ..chart.paginate import Page
from ..compose.worked import WorkedChart, present
from ..core.items import Box


class Met:
    """Finds the key lines of which anything is seen on a page; remembers the answer."""

    def __init__(self, worked: WorkedChart) -> None:
        self._worked = worked
        self._known: dict[tuple[int, int, int, int], tuple[int, ...]] = {}
        boxes: list[tuple[float, float, float, float]] = []
        indices: list[int] = []
        for line in worked.lines:
            (x0, y0), (x1, y1) = line.points.min(axis=0), line.points.max(axis=0)
            boxes.append((x0, y0, x1, y1))
            indices.append(line.index)
        for knot in worked.knots:
            boxes.append((knot.x, knot.y, knot.x, knot.y))
            indices.append(knot.index)
        self._boxes = np.array(boxes, float).reshape(-1, 4)
        self._indices = np.array(indices, np.intp)
        over = worked.design.ground.fabric.over
        self._stands = [
            (stand.index, stand.at / over, (stand.at + np.array(stand.stitch.over)) / over)
            for stand in worked.stands
        ]

    def on(self, page: Page) -> tuple[int, ...]:
        """Return the key lines of which anything is seen, in the order of the key.

        What lies on its very edge is seen too, but for stitches of cells.
        """
        box = page.x0, page.y0, page.x1, page.y1
        if box not in self._known:
            self._known[box] = self.within(*box)
        return self._known[box]

    def within(self, x0: int, y0: int, x1: int, y1: int) -> tuple[int, ...]:
        """Return the same of a rectangle of the grid."""
        worked = self._worked
        indices = set(present(worked.grid[y0:y1, x0:x1]))
        for piece in worked.pieces:
            left, right = ((each - piece.x) / piece.cell for each in (x0, x1))
            top, bottom = ((each - piece.y) / piece.cell for each in (y0, y1))
            rows = slice(max(0, math.floor(top)), max(0, math.ceil(bottom)))
            columns = slice(max(0, math.floor(left)), max(0, math.ceil(right)))
            indices |= set(present(piece.grid[rows, columns]))
        for index, low, high in self._stands:
            if index not in indices and ((low < (x1, y1)) & (high > (x0, y0))).all(axis=1).any():
                indices.add(index)
        low, high = self._boxes[:, :2], self._boxes[:, 2:]
        whole = (low >= (x0, y0)).all(axis=1) & (high <= (x1, y1)).all(axis=1)
        indices.update(np.unique(self._indices[whole]).tolist())
        parted = (low <= (x1, y1)).all(axis=1) & (high >= (x0, y0)).all(axis=1) & ~whole
        for at in np.flatnonzero(parted).tolist():
            index = int(self._indices[at])
            if index not in indices and self._passes(at, (x0, y0, x1, y1)):
                indices.add(index)
        return tuple(np.unique(worked.line_of[sorted(indices - {0})]).tolist())

    def _passes(self, at: int, box: Box) -> bool:
        """Tell whether a line that reaches around or out of a box passes through it."""
        points = self._worked.lines[at].points
        one, two = points[:-1], points[1:]
        near = (np.minimum(one, two) <= box[2:]).all(axis=1)
        near &= (np.maximum(one, two) >= box[:2]).all(axis=1)
        ends = zip(one[near].tolist(), two[near].tolist(), strict=True)
        return any(polyline(each, box) for each in ends)
