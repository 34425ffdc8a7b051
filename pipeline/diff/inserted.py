"""Rows that came in or went out, so that all below them moved together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from ..compose.worked import Gap, WorkedChart
from ..core.items import Border
from .canvas import Offset
from .changes import GapsApart, Inserted, Moved, Sort
from .matching import Matched
from .units import Unit, written_at

FEWEST = 3  # things that have to move together, in two rows or more of them
MOST = 40  # places in one chart; beyond, things moved for reasons of their own

_Pair = tuple[Unit, Unit]


def inserted(
    worked: WorkedChart, matches: Sequence[Matched], moved: Sequence[Moved], shift: Offset
) -> tuple[Inserted, ...]:
    """Return where rows came in or went out, from top to bottom.

    A level line then parts what stands above from what stands below, on both charts; below it all
    moved as far, but for what moved across as well, and for borders, which run past the line.
    worked: the new chart. moved: what is told of things that moved.
    """
    borders = {
        written_at(item.span) for item in worked.design.chart.items if isinstance(item, Border)
    }
    run_past = {
        number for number, each in enumerate(worked.placed) if written_at(each.span) in borders
    }
    pairs = sorted(
        (
            (match.old, match.new)
            for match in matches
            if match.old is not None and match.new is not None
            if match.old.sort is not Sort.GRID and match.by[0] == 0
            if run_past.isdisjoint(match.new.numbers)
        ),
        key=lambda pair: pair[0].y,
    )
    steps = list(_steps(pairs, shift))
    if not steps or len(steps) > MOST:
        return ()
    made = []
    for first, by in steps:
        below = pairs[first:]
        whole = round(below[0][1].y - below[0][0].y - shift[1], 3)
        with_it = tuple(each for each in moved if each.by == (0, whole))
        row = int(min(new.y for _, new in below))
        made.append(Inserted(row, by, len(below), with_it))
    return tuple(made)


def _steps(pairs: Sequence[_Pair], shift: Offset) -> Iterator[tuple[int, float]]:
    """Yield from which thing on all moved farther than those above, and by how much."""
    ways = [round(new.y - old.y - shift[1], 3) for old, new in pairs]
    before, bottoms = 0.0, (float("-inf"), float("-inf"))
    for at, (old, new) in enumerate(pairs):
        if ways[at] != before and _is_stack(pairs[at:]):
            if old.y < bottoms[0] or new.y < bottoms[1]:
                return  # no level line: things moved for reasons of their own
            yield at, round(ways[at] - before, 3)
        elif ways[at] != before:
            return
        before = ways[at]
        bottoms = max(bottoms[0], old.box[3]), max(bottoms[1], new.box[3])


def _is_stack(pairs: Sequence[_Pair]) -> bool:
    """Tell whether things stand below each other, so that rows came in and not one of them moved.

    pairs: from top to bottom.
    """
    first = pairs[0][0]
    return len(pairs) >= FEWEST and any(old.y >= first.box[3] for old, _ in pairs)


def gaps_apart(
    old: WorkedChart, new: WorkedChart, put_in: Sequence[Inserted], shift: Offset
) -> GapsApart:
    """Return where threads are withdrawn on each chart and not on the other.

    A gap goes with what stands below rows that came in or went out.
    """
    over = new.design.ground.fabric.over
    if over != old.design.ground.fabric.over:
        return (old.gaps, new.gaps) if old.gaps != new.gaps else ((), ())
    left = [*new.gaps]
    gone = []
    for gap in old.gaps:
        images = (_moved(gap, shift[0] * over, by) for by in _ways(gap, put_in, shift, over))
        image = next((each for each in images if each in left), None)
        if image is None:
            gone.append(gap)
        else:
            left.remove(image)
    return tuple(gone), tuple(left)


def _ways(gap: Gap, put_in: Sequence[Inserted], shift: Offset, over: int) -> list[int]:
    """Return how far down a gap may have gone with others, in threads, the likeliest first.

    That is as far as what it stands beside or below. Between two things rows may have come in above
    it or below it.
    """
    sums, rows = [0.0], []
    for each in put_in:
        rows.append(each.row - sums[-1] - each.by - shift[1])  # of the first that moved, before
        sums.append(sums[-1] + each.by)
    beside = sum(gap.y1 / over >= row for row in rows)
    ways = [beside, *([beside + 1] if beside < len(rows) else [])]
    if beside and gap.y0 / over < rows[beside - 1]:
        ways.append(beside - 1)
    return [round((shift[1] + sums[way]) * over) for way in ways]


def _moved(gap: Gap, x: int, y: int) -> Gap:
    return replace(gap, x0=gap.x0 + x, y0=gap.y0 + y, x1=gap.x1 + x, y1=gap.y1 + y)
