"""What differs between two worked charts: `compare` is the one way in.

Charts are compared by what is stitched, not by how their sources are written. What a moved,
redrawn or new motif explains is told once; only the rest is told cell by cell, in areas.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from ..compose.worked import WorkedChart
from ..count.count import Counts, count
from .alignment import Classes, Offset, align
from .areas import areas, stitches
from .canvas import Canvas, lay
from .differences import Differences, Strip
from .explained import explain
from .gathering import figures_moved, gather, settle
from .keychanges import key_changes
from .keypairs import KeyPairs, pair
from .labelling import Mask
from .matching import Match, match
from .objects import Figure, moved_figures
from .overlines import runs_and_marks
from .redrawing import redrawn_motifs
from .restated import facts, words
from .stretches import dotted, stretches
from .tallying import tally, thread_uses, touched_threads
from .units import Sort, Unit, units

STAYED = 0.1  # of the kinds of things in a chart may stay where the whole chart has shifted


def compare(old: WorkedChart, new: WorkedChart, *, thread: bool = True) -> Differences:
    """Return everything that differs between two charts.

    thread: whether to reckon the skeins of the threads that may differ; of a chart of a million
    crosses that takes several times as long as all the rest.
    """
    counts = count(old), count(new)
    pairs = _pairs(old, new, counts)
    shift, before, after = _shift(old, new, pairs)
    canvas = lay(pairs, old.grid, new.grid, shift)
    redrawn = redrawn_motifs(old.design, new.design, pairs)
    matches = settle(match(before, after, shift), redrawn, shift)
    explained = explain(old, new, canvas, matches, redrawn)
    gathered = gather(explained, canvas, redrawn, new, shift)
    strips, rest = _strips(canvas, explained.mask(canvas, [-1]))
    figures, rest = _figures(canvas, rest)
    lines, points = runs_and_marks(old, new, pairs, shift, explained, redrawn)
    key = key_changes(pairs, *counts)
    uses = None
    if thread:
        touched = touched_threads(old, new, canvas, key)
        uses = thread_uses(old, touched), thread_uses(new, touched)
    found = Differences(
        old,
        new,
        pairs,
        shift,
        np.stack([explained.x + canvas.left, explained.y + canvas.top], axis=1),
        stitches(canvas, explained.x, explained.y),
        areas=areas(canvas, rest),
        strips=strips,
        **vars(gathered),
        strokes=stretches(*lines, old.design.key, new.design.key, new.design.ground.fabric.over),
        points=dotted(*points),
        key=key,
        tallies=tally(counts, uses),
        facts=facts(old, new),
        words=words(old.design, new.design, shift),
        renamed=_renamed(matches),
    )
    return replace(found, moved=found.moved + figures_moved(figures, canvas, rest.shape))


def _pairs(old: WorkedChart, new: WorkedChart, counts: tuple[Counts, Counts]) -> KeyPairs:
    numbers = []
    for worked, counted in zip((old, new), counts, strict=True):
        many = [0] * (len(worked.design.key) + 1)
        for each in counted.entries:
            many[each.index] = each.number
        numbers.append(many)
    return pair(old.design.key, new.design.key, *numbers)


def _shift(
    old: WorkedChart, new: WorkedChart, pairs: KeyPairs
) -> tuple[Offset, list[Unit], list[Unit]]:
    """Return how far the whole chart was shifted, and what both are put together from."""
    before, after = units(old, pairs.old_class), units(new, pairs.new_class)
    if pairs.in_place:
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
    places = {(each.name, each.x, each.y) for each in old if each.sort is not Sort.GRID}
    if not places:
        return True
    stayed = {name for name, *_ in places & {(each.name, each.x, each.y) for each in new}}
    names = {name for name, *_ in places}
    grids = any(each.sort is Sort.GRID for each in old)
    return (grids or len(names) > 1) and len(stayed) <= STAYED * len(names)


def _strips(canvas: Canvas, rest: Mask) -> tuple[tuple[Strip, ...], Mask]:
    """Return the strips along the edges that only one chart has, and the cells still to be told."""
    found = []
    only_old, only_new = canvas.edges()
    for part, lost in [(each, True) for each in only_old] + [(each, False) for each in only_new]:
        x0, y0, x1, y1 = part
        number = int(np.count_nonzero(rest[y0:y1, x0:x1]))
        rest[y0:y1, x0:x1] = False
        left = canvas.old_left if lost else canvas.left
        top = canvas.old_top if lost else canvas.top
        if number:
            box = x0 + left, y0 + top, x1 + left, y1 + top
            found.append(Strip(box, number, lost))
    return tuple(found), rest


def _figures(canvas: Canvas, rest: Mask) -> tuple[list[Figure], Mask]:
    """Return the figures that moved within a whole-chart grid, and the cells still to be told."""
    pairs = canvas.pairs
    before: Classes = canvas.old
    after: Classes = canvas.new
    if not pairs.in_place:
        before, after = pairs.old_class[before], pairs.new_class[after]
    figures, done = moved_figures(before, after, rest)
    return figures, rest & ~done


def _renamed(matches: Sequence[Match]) -> Mapping[str, str]:
    """Return motifs that have another name and are otherwise the same."""
    return {
        each.old.name: each.new.name
        for each in matches
        if each.old is not None
        and each.new is not None
        and each.plain
        and each.old.name != each.new.name
    }
