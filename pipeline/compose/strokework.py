"""All strokes of the counted stitches of a chart, needle by needle and in working order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np

from ..core.counted import Counted
from ..stitches.runs import Strokes, along_lines, in_runs, joined, once, side_by_side

if TYPE_CHECKING:
    from .worked import Stand, WorkedChart


@dataclass(frozen=True, eq=False)
class Lot:
    """The strokes that one part of a key line takes, of stitches that lie one way.

    part: of the key line. strands: in the needle, None for those of the key. stitch: as it lies.
    """

    index: int
    part: int
    strands: int | None
    stitch: Counted
    strokes: Strokes


def lots(worked: WorkedChart) -> Iterator[Lot]:
    """Yield the strokes of all counted stitches, in the order of the key."""
    stands: dict[int, list[Stand]] = {}
    for stand in worked.stands:
        stands.setdefault(stand.index, []).append(stand)
    lines: dict[int, list[int]] = {}
    for number, line in enumerate(worked.lines):
        if worked.entry(line.index).parts[0].stitch is not None:
            lines.setdefault(line.index, []).append(number)
    for index in sorted({*stands, *lines}):
        # A row too short for its stitch has no stroke.
        found = _standing(worked, index, stands.get(index, ()))
        yield from (lot for lot in found if len(lot.strokes.run))
        if index in lines:
            yield _on_lines(worked, index, lines[index])


def _standing(worked: WorkedChart, index: int, stands: Sequence[Stand]) -> Iterator[Lot]:
    parts = worked.entry(index).parts
    alike = groupby(sorted(stands, key=_way), key=_way)
    for _, group in alike:
        some = list(group)
        stitch, strands = some[0].stitch, some[0].strands
        first = joined(in_runs(stand.stitch, stand.at) for stand in some)
        if stitch.stands.in_bars:
            first = side_by_side(first, stitch.step)
        yield Lot(index, 0, strands, stitch, once(first))
        if stitch.second:
            second = joined(in_runs(stand.stitch, stand.at, second=True) for stand in some)
            yield Lot(index, len(parts) - 1, strands, stitch, once(second))


def _way(stand: Stand) -> tuple[object, ...]:
    """Return what stitches worked on from one to the next have alike; bars differ in length."""
    stitch = stand.stitch
    if stitch.stands.in_bars:
        return (stitch.step, stand.strands or 0, 0)
    return (stitch.step, stand.strands or 0, hash(stitch))


def _on_lines(worked: WorkedChart, index: int, numbers: Sequence[int]) -> Lot:
    ends, line = worked.stitched.ends()
    stitch = worked.entry(index).parts[0].stitch
    assert stitch is not None
    here = np.isin(line, numbers)
    over = worked.design.ground.fabric.over
    return Lot(index, 0, None, stitch, along_lines(stitch, ends[here] * over, line[here]))


def by_index(some: Sequence[Lot]) -> Mapping[int, Sequence[Lot]]:
    """Return lots by the key line that they belong to."""
    found: dict[int, list[Lot]] = {}
    for lot in some:
        found.setdefault(lot.index, []).append(lot)
    return found
