"""Which stitches a chart uses, and the drawings that show how they are worked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..compose.worked import WorkedChart, present
from ..core.model import Kind, Method

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
    grids = [worked.grid, *(piece.grid for piece in worked.pieces)]
    found = {index for grid in grids for index in present(grid)}
    found |= {line.index for line in worked.lines} | {knot.index for knot in worked.knots}
    return tuple(sorted(found - {0}))


def diagrams(worked: WorkedChart) -> tuple[Diagram, ...]:
    """Return the stitches of a chart that want showing, in the order of the page."""
    kinds = {part.kind for index in used_entries(worked) for part in worked.entry(index).parts}
    names = {kind.value for kind in kinds - {Kind.FULL}}
    if Kind.FULL in kinds:
        names.add("single")
        if worked.design.working.method is Method.ROWS and _has_rows(worked):
            names.add("rows")
    for piece in worked.pieces:
        names.add("off-grid" if piece.cell == 1 else "over-one")
    return tuple(Diagram(name, _DRAWINGS[name]) for name in _DRAWINGS if name in names)


def _has_rows(worked: WorkedChart) -> bool:
    """Whether any two neighbours in a row are crosses of one key line."""
    grids = [worked.grid, *(piece.grid for piece in worked.pieces)]
    return any(
        bool(np.any((grid[:, 1:] == grid[:, :-1]) & (grid[:, 1:] != 0)))
        for grid in grids
        if grid.size
    )
