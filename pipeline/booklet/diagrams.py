"""Which stitches a chart uses, and the drawings that show how they are worked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import assert_never

import numpy as np

from ..compose.worked import WorkedChart
from ..core.counted import Counted
from ..core.model import Kind, Method
from ..stitches.kinds import STITCHES
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
