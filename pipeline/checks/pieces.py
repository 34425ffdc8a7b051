"""Pieces off the chart's own grid, and stitches that a fabric has no hole for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from ..compose.misplaced import place
from ..compose.positions import threads
from ..compose.worked import Piece, WorkedChart, in_needle, present
from ..core.diagnostics import Hint
from ..core.ground import Fabric
from ..core.key import Part
from ..core.matter import Note
from ..core.suggest import all_of
from ..count.size import pierced
from ..stitches.kinds import MIDDLE, strokes
from .checking import Check, Fault

_SHOWN = 6  # motifs named one by one


def _by_placing(pieces: Iterable[Piece]) -> Iterator[list[Piece]]:
    """Yield the pieces of one placing together."""
    groups: dict[int, list[Piece]] = {}
    for piece in pieces:
        groups.setdefault(id(piece.span or piece), []).append(piece)
    yield from groups.values()


def _why(piece: Piece, worked: WorkedChart) -> str:
    if piece.over != worked.design.ground.fabric.over:
        return f"is worked over {_number_word(piece.over)}"
    return "lies off the grid"


def _number_word(number: int) -> str:
    return {1: "one", 2: "two", 3: "three", 4: "four"}.get(number, str(number))


def _touches(note: Note, piece: Piece) -> bool:
    # A note may point at the cross beside it.
    x0, y0, x1, y1 = note.x0 - 1, note.y0 - 1, note.x1 + 1, note.y1 + 1
    across = x0 <= piece.x + piece.width and x1 >= piece.x
    return across and y0 <= piece.y + piece.height and y1 >= piece.y


def _without_note(worked: WorkedChart) -> Iterator[Fault]:
    for pieces in _by_placing(worked.pieces):
        if any(_touches(note, piece) for note in worked.design.notes for piece in pieces):
            continue
        first = pieces[0]
        at = place((first.x + first.width / 2, first.y + first.height / 2))
        yield Fault(
            f"`{first.name}` {_why(first, worked)}, and no note tells the stitcher.",
            first.span,
            (f'add a note at it, such as `note at {at} "…"`',),
        )


def _not_on_fabric(worked: WorkedChart) -> Iterator[Fault]:
    failing: dict[tuple[Fabric, ...], list[Piece]] = {}
    also = worked.design.ground.also
    for pieces in _by_placing(worked.pieces):
        fabrics = tuple(
            fabric for fabric in also if not all(_workable(piece, fabric) for piece in pieces)
        )
        if fabrics:
            failing.setdefault(fabrics, []).append(pieces[0])
    for fabrics, firsts in failing.items():
        names = " and ".join(fabric.written for fabric in fabrics)
        motifs = list(dict.fromkeys(f"`{piece.name}`" for piece in firsts))
        shown = ", ".join(motifs[:_SHOWN]) + (" and more" if len(motifs) > _SHOWN else "")
        yield Fault(
            f"What is off the grid or over another number of threads cannot be worked on {names}: "
            f"{shown}.",
            fabrics[0].span,
            (
                Hint(f"{_why(firsts[0], worked)}", firsts[0].span),
                "take the fabric out, or say in a note what to leave out on it",
            ),
        )


def _workable(piece: Piece, fabric: Fabric) -> bool:
    return all(threads(each, fabric.over) is not None for each in (piece.x, piece.y, piece.cell))


def _key_strands(worked: WorkedChart) -> Iterator[Fault]:
    over = worked.design.ground.fabric.over
    for pieces in _by_placing(worked.pieces):
        first = pieces[0]
        if first.over >= over or first.strands is not None:
            continue
        used = {index for piece in pieces for index in present(piece.grid)} - {0}
        most = max(in_needle(part) for index in used for part in worked.entry(index).parts)
        if most > 1:
            yield Fault(
                f"`{first.name}` is worked over {_number_word(first.over)} in the strands of "
                f"the key, up to {most}: it states none of its own.",
                first.span,
                (f"add `strands 1` here or to the motif, or `strands {most}` if that is meant",),
            )


def _no_hole(worked: WorkedChart) -> Iterator[Fault]:
    ground = worked.design.ground
    # Of an own fabric that is no block weave, `no-hole-in-the-middle` tells.
    looked_at = ([ground.fabric] if ground.fabric.block else []) + list(ground.also)
    lacking: dict[tuple[str, ...], list[Fabric]] = {}
    for fabric in looked_at:
        used = (worked.entry(index).symbol for index, _ in pierced(worked, fabric))
        lacking.setdefault(tuple(dict.fromkeys(used)), []).append(fabric)
    for symbols, fabrics in lacking.items():
        if symbols:
            yield Fault(
                f"On {' and '.join(fabric.written for fabric in fabrics)} there is no hole where "
                f"{all_of(symbols)} {'begins or ends' if len(symbols) == 1 else 'begin or end'}.",
                fabrics[0].span,
                ("the booklet says to pierce it there with a sharp needle; or use other stitches",),
            )


def _to_the_middle(part: Part) -> bool:
    return any(MIDDLE in (stroke.up, stroke.down) for stroke in strokes(part))


def _no_middle(worked: WorkedChart) -> Iterator[Fault]:
    fabric = worked.design.ground.fabric
    if fabric.block:
        return  # a block is pierced in its middle with a sharp needle
    for index, entry in enumerate(worked.design.key, 1):
        if entry.turned_from or not any(_to_the_middle(part) for part in entry.parts):
            continue
        alike = np.flatnonzero(worked.line_of == index)
        grids = [(piece.over, piece.grid) for piece in worked.pieces]
        odd = {
            over
            for over, grid in [(fabric.over, worked.grid), *grids]
            if over % 2 and bool(np.isin(grid, alike).any())
        }
        for over in sorted(odd):
            yield Fault(
                f"`{entry.symbol}` is a stitch to the middle of a cross, but over "
                f"{_number_word(over)} there is no hole in the middle.",
                entry.span,
                ("use whole or half crosses there",),
            )


CHECKS = (
    Check("piece-without-note", _without_note),
    Check("not-on-this-fabric", _not_on_fabric),
    Check("strands-of-the-chart", _key_strands),
    Check("no-hole-here", _no_hole),
    Check("no-hole-in-the-middle", _no_middle),
)
