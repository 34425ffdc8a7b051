"""Which stitches a chart uses, and the drawings that show how they are worked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import assert_never

import numpy as np

from ..compose.worked import WorkedChart
from ..core.model import Kind, Method
from ..stitches.kinds import STITCHES

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
    """One stitch: the name of its words, and of its drawings."""

    name: str
    drawings: tuple[str, ...]


def used_entries(worked: WorkedChart) -> tuple[int, ...]:
    """Return the indices of the key lines that are stitched anywhere, in the order of the key."""
    return worked.used


def diagrams(worked: WorkedChart) -> tuple[Diagram, ...]:
    """Return the stitches of a chart that want showing, in the order of the page."""
    kinds = {part.kind for index in used_entries(worked) for part in worked.entry(index).parts}
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
    return tuple(Diagram(name, _DRAWINGS[name]) for name in _DRAWINGS if name in names)


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
        case Kind.COUNTED | Kind.LINED | Kind.WOUND:
            return ""  # each has a diagram of its own, see `counted`
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
