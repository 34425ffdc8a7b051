"""A chart drawn out by hand: every cross in one grid, nothing placed that lies on it.

What is left of the source's own statements are the key, the fabric, notes, lines and knots. Pieces
off the grid stay pieces. So a slip in the grid has no motif to be held against, no stated symmetry
and no expected count: only the chart itself.
"""

from __future__ import annotations

from dataclasses import replace

from linenleaf.compose.worked import IndexGrid, WorkedChart, present
from linenleaf.core.items import Knot, Line, Motif, Placement
from linenleaf.core.key import KeyEntry, Kind
from linenleaf.core.model import Chart, Design

from . import writing


def drawn_out(worked: WorkedChart) -> str:
    """The text of the same chart as one grid."""
    design = worked.design
    motifs, items = {}, []
    for number, piece in enumerate(worked.pieces):
        rows = characters(worked, piece.grid)
        name = f"piece-{number}"
        over = None if piece.over == design.ground.fabric.over else piece.over
        motifs[name] = Motif(name, len(rows[0]), len(rows), rows, over=over)
        items.append(Placement(name, piece.x, piece.y))
    for line in worked.lines:
        points = tuple((x, y) for x, y in line.points.tolist())
        items.append(Line(worked.entry(line.index).symbol, points))
    for knot in worked.knots:
        items.append(Knot(worked.entry(knot.index).symbol, ((knot.x, knot.y),)))
    rows = characters(worked, worked.grid)
    flat: Design = replace(
        design,
        key=tuple(named(worked).values()),
        motifs=motifs,
        alphabets={},
        chart=Chart(worked.width, worked.height, rows, tuple(items)),
        expectations=(),
        ground=replace(design.ground, margin=round(design.ground.margin, 2), also=()),
    )
    beads = {e.symbol for e in design.key if e.parts[0].kind is Kind.BEAD}
    text = writing.source(flat)
    for bead in beads:
        text = text.replace(f"  knot {bead} ", f"  bead {bead} ")
    return text


def named(worked: WorkedChart) -> dict[int, KeyEntry]:
    """The key lines by index; stitches that are turned have lines of their own where any stands."""
    grids = [worked.grid, *(piece.grid for piece in worked.pieces)]
    standing = {index for grid in grids for index in present(grid)}
    spare = map(chr, range(0x3400, 0x3500))
    return {
        index: replace(entry, symbol=next(spare)) if entry.turned_from else entry
        for index, entry in enumerate(worked.design.key, 1)
        if index in standing or not entry.turned_from
    }


def characters(worked: WorkedChart, grid: IndexGrid) -> tuple[str, ...]:
    """The rows of a grid of key indices as they are typed."""
    symbols = {index: e.symbol if e.is_cell else "?" for index, e in named(worked).items()}
    symbols[0] = "."
    return tuple("".join(map(symbols.__getitem__, row)) for row in grid.tolist())
