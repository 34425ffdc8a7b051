"""What differs between two worked charts: `compare` is the one way in.

Charts are compared by what is stitched, not by how their sources are written. What a moved,
redrawn or new motif explains is told once; only the rest is told cell by cell, in areas.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ..compose.worked import WorkedChart
from ..count.count import Counts, count
from .areas import areas, stitches
from .canvas import Canvas, Classes, Mask, Offset, align, lay
from .changes import Change, Changes, Moved, Shifted, Sort, Strip
from .explained import explain, moved_figures, moved_together
from .inserted import gaps_apart, inserted
from .keys import KeyPairs, pair
from .lines import left_over, strokework, things_of_lines
from .matching import match
from .resewn import SewnApart, apart_of, resewn
from .restated import facts, redrawn_motifs, words
from .sewn import Sewing, Sewn, inside, painted, ranked
from .stretches import dotted, stretches, with_strayed
from .tallying import key_changes, tally, thread_uses, touched_threads
from .things import settle, things
from .units import Unit, units

STAYED = 0.1  # of the kinds of things in a chart may stay where the whole chart has shifted


def compare(old: WorkedChart, new: WorkedChart, *, thread: bool = True) -> Changes:
    """Return everything that differs between two charts.

    thread: whether to reckon the skeins of the threads that may differ; of a chart of a million
    crosses that takes several times as long as all the rest.
    """
    counts = count(old), count(new)
    pairs = _pairs(old, new, counts)
    sewing = Sewing(pairs)
    sewn = sewing.of(old, new=False), sewing.of(new, new=True)
    shift, before, after = _shift(old, new, pairs, sewn)
    canvas = lay(pairs, *sewing.grids(old, new, shift), shift)
    redrawn = redrawn_motifs(old, new, pairs, sewing)
    matches = settle(match(before, after, shift), redrawn, shift)
    strokes = strokework(old, new, pairs, shift)
    lined = things_of_lines(matches, redrawn, strokes, shift)
    apart = apart_of(sewn[0].shifted(shift), sewn[1])
    explained = explain(old, new, canvas, matches, redrawn, lined | apart.things(matches))

    placed = list(things(explained, canvas, redrawn, new, sewn[1], shift))
    went = [each for each in placed if isinstance(each, Moved)]
    put_in = inserted(new, matches, went, shift)
    gaps = gaps_apart(old, new, put_in, shift)

    def every() -> Iterator[Change]:
        if shift != (0, 0):
            yield Shifted(shift)
        strips, rest = _strips(canvas, explained.mask(canvas, [-1]))
        yield from strips
        left = apart.left_over(explained, redrawn)
        moved, rest, left = _figures(canvas, apart, rest, left)
        yield from areas(canvas, rest)
        yield from moved
        yield from put_in
        yield from placed
        yield from resewn(*left)
        lines = left_over(strokes, explained, redrawn, shift)
        keys, over = (old.design.key, new.design.key), new.design.ground.fabric.over
        yield from stretches(lines.old_runs, lines.new_runs, *keys, over)
        yield from with_strayed(dotted(lines.old_marks, lines.new_marks), pairs.partner)
        key = key_changes(pairs, *counts)
        yield from key
        uses = None
        if thread:
            touched = touched_threads(old, new, canvas, key)
            uses = thread_uses(old, touched), thread_uses(new, touched)
        yield from tally(counts, uses)
        yield from facts(old, new, gaps)
        yield from words(old.design, new.design, shift)

    return Changes(
        old,
        new,
        pairs,
        shift,
        np.stack([explained.x + canvas.left, explained.y + canvas.top], axis=1),
        stitches(canvas, explained.x, explained.y),
        apart.unlike,
        gaps,
        tuple(every()),
    )


def _pairs(old: WorkedChart, new: WorkedChart, counts: tuple[Counts, Counts]) -> KeyPairs:
    numbers = []
    for worked, counted in zip((old, new), counts, strict=True):
        many = [0] * (len(worked.design.key) + 1)
        for entry in counted.entries:
            many[entry.index] = entry.number
        numbers.append(many)
    return pair(old.design.key, new.design.key, *numbers)


def _shift(
    old: WorkedChart, new: WorkedChart, pairs: KeyPairs, sewn: tuple[Sewn, Sewn]
) -> tuple[Offset, list[Unit], list[Unit]]:
    """Return how far the whole chart was shifted, and what both are put together from."""
    before = units(old, pairs.old_class, sewn[0])
    after = units(new, pairs.new_class, sewn[1])
    if len(sewn[0]) or len(sewn[1]):
        shift = align(
            *ranked(
                painted(pairs.old_class[old.grid], sewn[0]),
                painted(pairs.new_class[new.grid], sewn[1]),
            )
        )
    elif pairs.in_place:
        shift = align(old.grid, new.grid)
    else:
        shift = align(pairs.old_class[old.grid], pairs.new_class[new.grid])
    if shift != (0, 0) and old.grid.shape == new.grid.shape and not _all_moved(before, after):
        shift = 0, 0
    return shift, before, after


def _all_moved(old: Sequence[Unit], new: Sequence[Unit]) -> bool:
    """Tell whether nearly all kinds of things left their places, so that the chart has shifted.

    Where one kind of thing is all there is, that has moved; and one that hardly anything but it
    moved should not drag the others along, be it ever so large.
    """
    places = {(unit.name, unit.x, unit.y) for unit in old if unit.sort is not Sort.GRID}
    if not places:
        return True
    stayed = {name for name, *_ in places & {(unit.name, unit.x, unit.y) for unit in new}}
    names = {name for name, *_ in places}
    grids = any(unit.sort is Sort.GRID for unit in old)
    return (grids or len(names) > 1) and len(stayed) <= STAYED * len(names)


def _strips(canvas: Canvas, rest: Mask) -> tuple[list[Strip], Mask]:
    """Return the strips along the edges that only one chart has, and the cells still to be told."""
    strips = []
    only_old, only_new = canvas.edges()
    for part, lost in [(part, True) for part in only_old] + [(part, False) for part in only_new]:
        x0, y0, x1, y1 = part
        number = int(np.count_nonzero(rest[y0:y1, x0:x1]))
        rest[y0:y1, x0:x1] = False
        left = canvas.old_left if lost else canvas.left
        top = canvas.old_top if lost else canvas.top
        if number:
            strips.append(Strip((x0 + left, y0 + top, x1 + left, y1 + top), number, lost))
    return strips, rest


def _figures(
    canvas: Canvas, apart: SewnApart, rest: Mask, left: tuple[Sewn, Sewn]
) -> tuple[list[Moved], Mask, tuple[Sewn, Sewn]]:
    """Return the figures that moved within a whole-chart grid, and what is still to be told.

    rest, left: cells and counted stitches to be told, before that and after.
    """
    pairs = canvas.pairs
    before: Classes = canvas.old
    after: Classes = canvas.new
    if not pairs.in_place:
        before, after = pairs.old_class[before], pairs.new_class[after]
    corner = canvas.left, canvas.top
    wanted = rest
    if len(apart.old) or len(apart.new):
        before, after = ranked(
            painted(before, apart.old, *corner), painted(after, apart.new, *corner)
        )
        bare = np.zeros(rest.shape, dtype=np.int64)
        wanted = rest | np.any([painted(bare, each, *corner) != 0 for each in left], axis=0)
    figures, done = moved_figures(before, after, wanted)
    if figures:
        one, other = (each.some(~inside(each, done, *corner)) for each in left)
        left = one, other
    return moved_together(figures, canvas, after), rest & ~done, left
