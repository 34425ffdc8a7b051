"""All strokes of the counted stitches of a chart, needle by needle and in working order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..core.counted import Counted
from ..core.key import KeyEntry
from ..stitches.runs import Strokes, along_lines, in_runs, joined, once, seen, side_by_side


@dataclass(frozen=True, eq=False)
class Stand:
    """Counted stitches of one key line that lie one way, row by row.

    stitch: as it lies, mirrored and turned. strands: in the needle, None for those of the key.
    at: (n, 2) the top left corner of what each takes, in threads of the fabric. placed: (n,) which
    of `placed` put each there.
    """

    index: int
    stitch: Counted
    strands: int | None
    at: NDArray[np.int64]
    placed: NDArray[np.int64]


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

    @cached_property
    def seen(self) -> Strokes:
        """The strokes as they are seen on the front."""
        return seen(self.stitch, self.strokes)


@dataclass(frozen=True, eq=False)
class LineStitches:
    """Where lines are worked: the key index of each line, and both ends of each stitch.

    ends: (n, 2, 2) in threads of the fabric. line: (n,) the line of each.
    """

    indices: Sequence[int]
    ends: NDArray[np.float64]
    line: NDArray[np.int64]


def lots(key: Sequence[KeyEntry], stands: Sequence[Stand], lines: LineStitches) -> Iterator[Lot]:
    """Yield the strokes of all counted stitches, in the order of the key."""
    standing: dict[int, list[Stand]] = {}
    for stand in stands:
        standing.setdefault(stand.index, []).append(stand)
    index_of = np.array(lines.indices, dtype=np.int64)[lines.line]
    for index, entry in enumerate(key, 1):
        # A row too short for its stitch has no stroke.
        found = _standing(index, len(entry.parts), standing.get(index, ()))
        yield from (lot for lot in found if len(lot.strokes.run))
        stitch = entry.parts[0].stitch
        if stitch is not None and entry.is_line:
            here = index_of == index
            strokes = along_lines(stitch, lines.ends[here], lines.line[here])
            if len(strokes.run):
                yield Lot(index, 0, None, stitch, strokes)
            if len(strokes.run) and stitch.second:
                ties = along_lines(stitch, lines.ends[here], lines.line[here], second=True)
                yield Lot(index, len(entry.parts) - 1, None, stitch, ties)


def _standing(index: int, parts: int, stands: Sequence[Stand]) -> Iterator[Lot]:
    alike: dict[tuple[object, ...], list[Stand]] = {}
    for stand in stands:
        alike.setdefault(_way(stand), []).append(stand)
    for some in alike.values():
        stitch, strands = some[0].stitch, some[0].strands
        first = joined(in_runs(stand.stitch, stand.at) for stand in some)
        if stitch.stands.in_bars:
            first = side_by_side(first, stitch.step)
        yield Lot(index, 0, strands, stitch, once(first))
        if stitch.second:
            second = joined(in_runs(stand.stitch, stand.at, second=True) for stand in some)
            yield Lot(index, parts - 1, strands, stitch, once(second))


def _way(stand: Stand) -> tuple[object, ...]:
    """Return what stitches worked on from one to the next have alike; bars differ in length."""
    stitch = stand.stitch
    if stitch.stands.in_bars:
        return (stitch.step, stand.strands)
    return (stitch, stand.strands)
