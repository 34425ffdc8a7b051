"""How to stitch: the general words, the stitches of the chart, and the drawings of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import assert_never

import numpy as np

from ..chart.paginate import Pagination
from ..compose.worked import WorkedChart
from ..core.counted import Counted
from ..core.ground import Fabric, Method, Working
from ..core.key import Kind
from ..count.size import pierced
from ..stitches.kinds import STITCHES
from .met import Met
from .strokediagrams import StrokeDiagram, stroke_diagram

# Drawings of each, in the order of the page; each has a template in templates/stitches.
_DRAWINGS: dict[str, tuple[str, ...]] = {
    "rows": ("rows-there", "rows-back", "rows-reverse"),
    "single": ("single",),
    "half": ("half",),
    "quarter": ("quarter",),
    "three-quarter": ("three-quarter",),
    "upright": ("upright",),
    "over-one": ("over-one",),
    "off-grid": ("off-grid",),
    "back": ("back",),
    "straight": ("straight",),
    "knot": ("knot",),
    "bead": ("bead",),
}


@dataclass(frozen=True)
class Diagram:
    """One stitch: the name of its words, and of its drawings.

    stitch: a counted one, which has drawings made from its strokes instead: figures.
    """

    name: str
    drawings: tuple[str, ...]
    stitch: Counted | None = None

    @property
    def figures(self) -> tuple[StrokeDiagram, ...]:
        """The front and the back of a counted stitch."""
        if self.stitch is None:
            return ()
        return stroke_diagram(self.stitch, False), stroke_diagram(self.stitch, True)


def diagrams(worked: WorkedChart) -> tuple[Diagram, ...]:
    """Return the stitches of a chart that want showing, in the order of the page."""
    parts = [part for index in worked.used for part in worked.entry(index).parts]
    kinds = {part.kind for part in parts}
    names = {_name(kind) for kind in kinds}
    in_rows = any(STITCHES[kind].rows for kind in kinds) and _has_rows(worked)
    match worked.design.working.method:
        case Method.ROWS:
            names |= {"rows"} if in_rows else set()
        case Method.EACH:
            pass
        case _:
            assert_never(worked.design.working.method)
    for piece in worked.pieces:
        names.add("off-grid" if piece.cell == 1 else "over-one")
    counted = dict.fromkeys(
        part.stitch for part in parts if part.stitch is not None and part.stitch.each
    )
    return (
        *(Diagram(name, _DRAWINGS[name]) for name in _DRAWINGS if name in names),
        *(Diagram(f"counted {stitch.name}", (), stitch) for stitch in counted),
    )


def _name(kind: Kind) -> str:
    """Return by which name of `_DRAWINGS` a kind of stitch is shown."""
    match kind:
        case Kind.FULL:
            return "single"
        case (
            Kind.HALF
            | Kind.QUARTER
            | Kind.THREE_QUARTER
            | Kind.UPRIGHT
            | Kind.BACK
            | Kind.STRAIGHT
            | Kind.KNOT
            | Kind.BEAD
        ):
            return kind.value
        case Kind.WOUND:
            return Kind.KNOT.value
        case Kind.COUNTED | Kind.LINED:
            return ""  # each has drawings of its own
        case _:
            assert_never(kind)


def _has_rows(worked: WorkedChart) -> bool:
    """Whether any two neighbours in a row are crosses of one key line."""
    grids = [worked.grid, *(piece.grid for piece in worked.pieces)]
    return any(
        bool(np.any((grid[:, 1:] == grid[:, :-1]) & (grid[:, 1:] != 0)))
        for grid in grids
        if grid.size
    )


@dataclass(frozen=True)
class HowTo:
    """How this chart is worked.

    rows: whether crosses are worked in rows, there and back. centre_x, centre_y: the middle of
    the chart in crosses; centre_page: the page on which it lies. bare: whether any fabric stays
    bare. bare_corner: whether the chart's top left cross does. splits: whether part stitches
    need the middle of a cross where the fabric has no hole. piece_over: fabric threads spanned
    by the smallest crosses. with_strands: whether there are pieces with
    strands of their own; with_blends: blends. pierced: kinds of stitch for which the fabric
    has no hole.
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
    with_strands: bool
    with_blends: bool
    pierced: frozenset[Kind]
    diagrams: tuple[Diagram, ...]

    @property
    def counted(self) -> bool:
        """Whether any stitch takes threads of its own."""
        return any(each.stitch is not None for each in self.diagrams)


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
    parts = [part for index in worked.used for part in worked.entry(index).parts]
    return HowTo(
        ground.fabric,
        worked.design.working,
        ground.margin,
        x,
        y,
        page.number,
        any(each.name == "rows" for each in shown),
        bool(np.any(worked.grid == 0)),
        not Met(worked).within(0, 0, 1, 1),
        ground.fabric.over % 2 == 1,
        min((piece.over for piece in worked.pieces), default=ground.fabric.over),
        any(piece.strands is not None for piece in worked.pieces),
        any(len(part.needle) > 1 for part in parts),
        frozenset(kind for _, kind in pierced(worked, ground.fabric)),
        shown,
    )
