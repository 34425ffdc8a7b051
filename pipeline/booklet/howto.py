"""View model of the general words on how to stitch."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..chart.paginate import Pagination
from ..compose.worked import WorkedChart
from ..core.model import Fabric, Kind, Working
from ..count.holes import pierced
from .diagrams import Diagram, diagrams


@dataclass(frozen=True)
class HowTo:
    """How this chart is worked.

    rows: whether crosses are worked in rows, there and back. centre_x, centre_y: the middle of
    the chart in crosses; centre_page: the page on which it lies. bare: whether any fabric stays
    bare. bare_corner: whether the chart's top left cross does. splits: whether part stitches
    need the middle of a cross where the fabric has no hole. piece_over: fabric threads spanned
    by the smallest crosses. pierced: kinds of stitch for which the fabric has no hole.
    """

    fabric: Fabric
    working: Working
    margin: float
    centre_x: float
    centre_y: float
    centre_page: int
    rows: bool
    bare: bool
    bare_corner: bool
    splits: bool
    piece_over: int
    pierced: frozenset[Kind]
    diagrams: tuple[Diagram, ...]


def how_to(worked: WorkedChart, pagination: Pagination) -> HowTo:
    """Return how a chart is worked."""
    ground = worked.design.ground
    x, y = worked.width / 2, worked.height / 2
    page = next(
        each
        for each in pagination.pages
        if each.core_x0 <= x <= each.core_x1 and each.core_y0 <= y <= each.core_y1
    )
    shown = diagrams(worked)
    return HowTo(
        ground.fabric,
        worked.design.working,
        ground.margin,
        x,
        y,
        page.number,
        any(each.name == "rows" for each in shown),
        bool(np.any(worked.grid == 0)),
        bool(worked.grid[0, 0] == 0),
        ground.fabric.over % 2 == 1,
        min((piece.over for piece in worked.pieces), default=ground.fabric.over),
        frozenset(kind for _, kind in pierced(worked, ground.fabric)),
        shown,
    )
