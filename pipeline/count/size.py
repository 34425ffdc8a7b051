"""How large a chart comes out on a fabric, what to cut, and where there is no hole for a stitch.

Crosses x over / count, in inches of exactly 25.4 mm (international yard and pound agreement,
1 July 1959). Lengths are mm and exact; rounding is for those who show them.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import Piece, WorkedChart, present
from ..core.ground import MM_PER_INCH, Fabric
from ..core.key import Kind, Part
from ..stitches.kinds import strokes
from ..stitches.lines import NEAR

MM_PER_CM = 10.0


@dataclass(frozen=True)
class Size:
    """The chart on one fabric.

    width, height: the stitched area in mm. cut_width, cut_height: with the margin on each side.
    """

    fabric: Fabric
    width: float
    height: float
    margin: float

    @property
    def cut_width(self) -> float:
        """Width of the fabric to cut, in mm."""
        return self.width + 2 * self.margin

    @property
    def cut_height(self) -> float:
        """Height of the fabric to cut, in mm."""
        return self.height + 2 * self.margin

    @property
    def per_inch(self) -> tuple[float, float]:
        """Crosses per inch, across and down."""
        return self.fabric.per_inch_x, self.fabric.per_inch_y

    @property
    def per_cm(self) -> tuple[float, float]:
        """Crosses per centimetre, across and down."""
        return tuple(each / MM_PER_INCH * MM_PER_CM for each in self.per_inch)  # type: ignore[return-value]


def size(worked: WorkedChart, fabric: Fabric) -> Size:
    """Return the size of a worked chart on a fabric, with the margin that the chart asks for."""
    return measured(worked.width, worked.height, fabric, worked.design.ground.margin)


def measured(width: float, height: float, fabric: Fabric, margin: float = 0.0) -> Size:
    """Return the size of so many crosses across and down; margin in mm on each side."""
    return Size(
        fabric,
        width * fabric.over * MM_PER_INCH / fabric.count_x,
        height * fabric.over * MM_PER_INCH / fabric.count_y,
        margin,
    )


def fabrics(worked: WorkedChart) -> tuple[Fabric, ...]:
    """Return the fabric of the model and then the others that the chart names, each once."""
    ground = worked.design.ground
    return tuple(dict.fromkeys((ground.fabric, *ground.also)))


def unworkable(worked: WorkedChart, fabric: Fabric) -> tuple[Piece, ...]:
    """Return the pieces whose crosses would have to split a thread or block of the fabric.

    A piece half a cross off the grid, or worked over one inside over two, needs a thread of the
    fabric where its edges and crosses fall: on a block weave, or worked over one, there is none.
    """
    return tuple(
        piece
        for piece in worked.pieces
        if not all(_whole(each, fabric.over) for each in (piece.x, piece.y, piece.cell))
    )


def _whole(crosses: float, over: int) -> bool:
    # Thirds of a cross are written to three places: take them for what they mean.
    return (Fraction(crosses).limit_denominator(12) * over).denominator == 1


def pierced(worked: WorkedChart, fabric: Fabric) -> tuple[tuple[int, Kind], ...]:
    """Return the key lines, and of each the kinds of stitch, for which a fabric has no hole.

    Holes lie at the corners of its blocks or between its threads; of a line every written point
    is looked at. Pieces that cannot be worked on the fabric at all are left out (see
    `size.unworkable`).
    """
    grids = [(worked.grid, fabric.over)]
    grids += [(piece.grid, round(piece.cell * fabric.over)) for piece in worked.pieces]
    missing = {
        (index, part.kind)
        for grid, over in grids
        for index in present(grid)
        if index and over
        for part in worked.entry(index).parts
        if _inside(part, over)
    }
    places = [(line.index, line.points) for line in worked.lines]
    places += [(knot.index, np.array([knot.x, knot.y])) for knot in worked.knots]
    for index, points in places:
        if _beside(points * fabric.over):
            missing.add((index, worked.entry(index).parts[0].kind))
    own = worked.design.ground.fabric.over
    for lot in worked.counted:
        if _beside(np.concatenate([lot.strokes.up, lot.strokes.down]) / own * fabric.over):
            missing.add((lot.index, worked.entry(lot.index).parts[0].kind))
    return tuple(sorted(missing))


def _inside(part: Part, over: int) -> bool:
    """Tell whether a stitch in a cell over so many threads begins or ends beside the holes."""
    ends = [end for stroke in strokes(part) for end in (stroke.up, stroke.down)]
    return _beside(np.array(ends) * over)


def _beside(places: NDArray[np.float64]) -> bool:
    """Tell whether any of some places, in threads, lies in no hole."""
    return bool(np.any(np.abs(places - np.rint(places)) > NEAR))
