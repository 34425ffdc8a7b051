"""How large a worked piece is painted: pixels of a cross, and the bare cloth around."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..compose.worked import WorkedChart
from ..core.ground import Fabric

LARGEST = 20_000_000  # pixels of the largest picture
MOST_PIXELS = 64  # of one cross; more shows nothing more
USUAL_PIXELS = 24  # of one cross at most when nothing is asked for
USUAL_WIDTH = 1600  # pixels aimed at when nothing is asked for
MARGIN = 0.07  # bare cloth around, as a share of the longer side


@dataclass(frozen=True)
class Lattice:
    """Where crosses lie on the pixels of a picture.

    across, down: pixels of a cross. margin: bare crosses on each side of the chart.
    width, height: of a cross in mm.
    """

    across: int
    down: int
    margin: int
    width: float
    height: float

    def pixel(self, x: float, y: float) -> tuple[float, float]:
        """Return the place on the picture of a place on the chart."""
        return (x + self.margin) * self.across, (y + self.margin) * self.down


def lattice(
    worked: WorkedChart,
    *,
    pixels_per_cross: int | None = None,
    width: int | None = None,
    margin: int | None = None,
) -> Lattice:
    """Return the lattice on which a piece is painted; see `cloth.paint` for the choices."""
    fabric: Fabric = worked.design.ground.fabric
    longest = max(worked.width, worked.height)
    around = max(3, round(MARGIN * longest)) if margin is None else max(0, margin)
    columns, rows = worked.width + 2 * around, worked.height + 2 * around
    ratio = fabric.cross_height / fabric.cross_width
    if pixels_per_cross is not None:
        across = pixels_per_cross
    elif width is not None:
        across = math.ceil(width / columns)
    else:
        across = max(4, min(USUAL_PIXELS, round(USUAL_WIDTH / max(columns, rows * ratio))))
    largest = math.isqrt(int(LARGEST / (columns * rows * ratio)))
    across = max(1, min(across, MOST_PIXELS, largest))
    if pixels_per_cross is None and across > fabric.over:
        # Whole pixels to a fabric thread make an even weave, and pieces off the grid stay crisp.
        short = -across % fabric.over
        across = across + short if across + short <= min(largest, MOST_PIXELS) else across
    down = max(1, round(across * ratio))
    return Lattice(across, down, around, fabric.cross_width, fabric.cross_height)
