"""The lines of the key that changed, and stitches and put-ups of each thread before and after."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from ..compose.worked import WorkedChart
from ..core.key import KeyEntry, Thread
from ..count.carrying import MOST_CROSSES
from ..count.count import Counts
from ..count.thread import ThreadUse, estimate, estimate_some
from .areas import boxes, label
from .canvas import Canvas
from .changes import KeyChange, Tally
from .keys import KeyPairs, ThreadName, stitch, thread_name

Uses = Mapping[ThreadName, ThreadUse]


def key_changes(pairs: KeyPairs, old: Counts, new: Counts) -> tuple[KeyChange, ...]:
    """Return the lines of the key that differ, in the order of the new key, those gone last."""
    before = {each.index: each.number for each in old.entries}
    after = {each.index: each.number for each in new.entries}
    partner = {other: index for index, other in pairs.partner.items()}
    changes = []
    for index, entry in enumerate(pairs.new, 1):
        number = after.get(index, 0)
        if entry.turned_from:
            continue  # no line of the key
        if index not in partner:
            changes.append(KeyChange(0, index, (), number))
            continue
        was = pairs.old[partner[index] - 1]
        what = tuple(
            word
            for word, differs in (
                ("symbol", was.symbol != entry.symbol),
                ("stitch", stitch(was) != stitch(entry)),
                ("name", _called(was) != _called(entry)),
                ("note", was.note != entry.note),
                ("printed", was.printed != entry.printed),
            )
            if differs
        )
        if what:
            changes.append(KeyChange(partner[index], index, what, number))
    changes += [
        KeyChange(index, 0, (), before.get(index, 0))
        for index in range(1, len(pairs.old) + 1)
        if index not in pairs.partner and not pairs.old[index - 1].turned_from
    ]
    return tuple(changes)


def _called(entry: KeyEntry) -> list[str]:
    """Return what the counted stitches of a key line are called."""
    return [part.stitch.called for part in entry.parts if part.stitch is not None]


def tally(counts: tuple[Counts, Counts], uses: tuple[Uses, Uses] | None) -> tuple[Tally, ...]:
    """Return the threads of which as much as one stitch, or a skein to buy, differs.

    counts, uses: of both charts; uses None where the thread was not reckoned. A thread without a
    use is one of which nothing can have changed. Beads are counted, but not bought by the skein.
    """
    were, are = (_numbers(count) for count in counts)
    tallies = []
    for name in dict.fromkeys([*are, *were]):
        was, now = were.get(name, _NONE), are.get(name, _NONE)
        bead = was.bead or now.bead
        skeins, buy = (None, None) if uses is None or bead else _amounts(name, uses)
        made = Tally(was.thread, now.thread, (was.number, now.number), skeins, buy, bead)
        to_buy = (0, 0) if buy is None else buy
        if (was.thread, was.number, to_buy[0]) != (now.thread, now.number, to_buy[1]):
            tallies.append(made)
    return tuple(tallies)


@dataclass(frozen=True)
class _Number:
    thread: Thread | None
    number: int
    bead: bool = False


_NONE = _Number(None, 0)


def _amounts(
    name: ThreadName, uses: tuple[Uses, Uses]
) -> tuple[tuple[float, float], tuple[int, int]]:
    old, new = (use.get(name) for use in uses)
    return (
        (old.skeins if old else 0.0, new.skeins if new else 0.0),
        (old.buy if old else 0, new.buy if new else 0),
    )


def _numbers(counts: Counts) -> dict[ThreadName, _Number]:
    numbers = {
        thread_name(each.thread): _Number(each.thread, each.number) for each in counts.threads
    }
    for each in counts.beads:
        numbers[thread_name(each.bead)] = _Number(each.bead, each.number, bead=True)
    return numbers


def thread_uses(
    worked: WorkedChart, touched: frozenset[Thread] | None
) -> dict[ThreadName, ThreadUse]:
    """Return what threads take; touched: those wanted, None for all."""
    fabric = worked.design.ground.fabric
    if touched is None:
        return {thread_name(each.thread): each for each in estimate(worked, fabric)}
    names = {thread_name(thread) for thread in touched}
    only = {thread for thread in _threads(worked.design.key) if thread_name(thread) in names}
    if not only:
        return {}
    return {thread_name(each.thread): each for each in estimate_some(worked, fabric, only)}


def _threads(entries: Iterable[KeyEntry]) -> set[Thread]:
    return {strands.thread for entry in entries for part in entry.parts for strands in part.needle}


def touched_threads(
    old: WorkedChart, new: WorkedChart, canvas: Canvas, key: Iterable[KeyChange]
) -> frozenset[Thread] | None:
    """Return the threads whose estimate may differ, None where all may.

    They are those of the cells, lines and knots that differ, and those with a cell so near a cell
    that was bare and is stitched, or the other way round, that a carry may pass behind it.
    """
    if _all_touched(old, new, canvas):
        return None
    used: set[Thread] = set()
    for change in key:
        used |= _threads(old.design.key[change.old - 1 : change.old]) if change.old else set()
        used |= _threads(new.design.key[change.new - 1 : change.new]) if change.new else set()
    changed = canvas.changed
    near = _near(canvas)
    for worked, grid in ((old, canvas.old), (new, canvas.new)):
        indices = set(np.unique(grid[changed]).tolist())
        for x0, y0, x1, y1 in near:
            indices |= set(np.unique(grid[y0:y1, x0:x1]).tolist())
        used |= _threads(worked.entry(each) for each in indices - {0})
        # Of lines, knots, counted stitches and pieces all threads are looked at.
        indices = {line.index for line in worked.lines} | {knot.index for knot in worked.knots}
        indices |= {stand.index for stand in worked.stands}
        for piece in worked.pieces:
            indices |= {*np.unique(piece.grid).tolist()} - {0}
        used |= _threads(worked.entry(index) for index in indices)
        used |= {
            thread
            for thread in _threads(worked.design.key)
            if thread not in _threads((old if worked is new else new).design.key)
        }
    return frozenset(used)


def _all_touched(old: WorkedChart, new: WorkedChart, canvas: Canvas) -> bool:
    shifted = (canvas.left, canvas.top) != (canvas.old_left, canvas.old_top)
    same_fabric = old.design.ground.fabric == new.design.ground.fabric
    same_working = old.design.working == new.design.working
    return shifted or not same_fabric or not same_working or _pieces(old) != _pieces(new)


def _pieces(worked: WorkedChart) -> list[tuple[object, ...]]:
    pieces: list[tuple[object, ...]] = [
        (piece.x, piece.y, piece.cell, piece.strands, piece.grid.shape, piece.grid.tobytes())
        for piece in worked.pieces
    ]
    pieces += [
        (stand.index, stand.strands, stand.stitch, stand.at.tobytes())
        for stand in worked.stands
        if stand.strands is not None
    ]
    return pieces


def _near(canvas: Canvas) -> list[list[int]]:
    """Return boxes round the cells that were bare and are stitched, or the other way round."""
    turned = canvas.changed & ((canvas.old == 0) != (canvas.new == 0))
    if not turned.any():
        return []
    # One end of a carry is no farther from a place behind it than half of the longest carry.
    half = MOST_CROSSES // 2 + 1
    around = boxes(*label(turned, half))
    around += np.array([-half, -half, half, half])
    return [[max(each, 0) for each in box] for box in around.tolist()]
