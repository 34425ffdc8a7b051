"""How much thread a chart takes: the working order of a sensible stitcher, needle by needle.

Lengths are of the thread in the needle, counted once however many strands lie side by side in
it; the strands of a thread are that length times their number. The way of a needle is cut into
needlefuls. The method, its formulas and their sources stand in `grammar/thread.md`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from itertools import chain, product
from weakref import WeakKeyDictionary

import numpy as np

from ..compose.worked import WorkedChart
from ..core.ground import Fabric, Method, Working
from ..core.key import Part, Thread
from ..core.model import Design
from .forest import Floats
from .stints import Needle, SheetWork, Stint, cell_stints, needle_of, sheets, work
from .strokework import counted_stints, knot_stints, line_stints

ROUNDING = 1e-6  # mm: a stitch that lacks less can be finished
_Crosses = tuple[float, float]  # to the inch, across and down: all that the fabric has to say
# What each needle works on the chart's own fabric: in other colours it is usually the same.
_OWN: WeakKeyDictionary[WorkedChart, dict[Needle, list[Stint]]] = WeakKeyDictionary()
_FOUND: WeakKeyDictionary[WorkedChart, list[SheetWork]] = WeakKeyDictionary()


@dataclass(frozen=True)
class Cut:
    """What a needle takes, in mm, besides its stitches.

    carried: on the back from one area to the next. tails: at both ends of every start.
    left: too short to go on with. needlefuls: lengths cut. starts: how often it is begun anew
    within a needleful, as a mean. longest: of a needleful; the working length, but where one
    stitch takes more.
    """

    carried: float
    tails: float
    left: float
    needlefuls: int
    starts: float
    longest: float


def cut(stitched: Floats, carry: Floats, anew: Floats, step: Floats, working: Working) -> Cut:
    """Cut what a needle works, area after area, into needlefuls.

    stitched: mm of each area. carry: mm carried to each from the one before. anew: how often the
    thread is begun anew for each, 1 for the first. step: mm of one stitch of each; a stitch is
    never begun that cannot be finished, so of each needleful but the last half a stitch is left
    over, as a mean. The last is cut no longer than needed.
    """
    if not len(stitched):
        return Cut(0.0, 0.0, 0.0, 0, 0.0, 0.0)
    ends_and_starts = 2 * working.tail
    carried, starts = float(carry[1:].sum()), float(anew[1:].sum())
    worked = float(stitched.sum())
    # However short a needleful is asked for, one stitch can be worked with it.
    usable = max(working.needleful - ends_and_starts, float(step.max()))
    stitch = float((step * stitched).sum()) / worked if worked else 0.0
    left = min(stitch / 2, usable - stitch)
    more = worked + carried + starts * ends_and_starts - usable
    needlefuls = 1 + max(0, math.ceil((more - ROUNDING) / (usable - left)))
    return Cut(
        carried,
        ends_and_starts * (needlefuls + starts),
        left * (needlefuls - 1),
        needlefuls,
        starts,
        usable + ends_and_starts,
    )


@dataclass(frozen=True)
class EntryUse:
    """What one key line takes of a thread: metres of single strand, and of a put-up."""

    index: int
    strand_metres: float
    skeins: float


@dataclass(frozen=True)
class ThreadUse:
    """What one thread takes.

    front, back: mm of needle thread in stitches. carried: behind the fabric between areas.
    tails: at both ends of every needleful and new start. left: too short to go on with.
    strand_metres: metres of single strand, all of these together. skeins: put-ups used.
    buy: whole put-ups, with the reserve. needlefuls: lengths cut; longest: the longest of them in
    mm; strand_needlefuls: single strands of that length, so many to each. entries: shares of the
    key lines, in order.
    """

    thread: Thread
    front: float
    back: float
    carried: float
    tails: float
    left: float
    strand_metres: float
    skeins: float
    buy: int
    needlefuls: int
    longest: float
    strand_needlefuls: int
    entries: tuple[EntryUse, ...]

    @property
    def needle(self) -> float:
        """Length of thread through the needle in mm, tails and all."""
        return self.front + self.back + self.carried + self.tails + self.left

    @property
    def undivided_metres(self) -> float:
        """Metres of the whole skein, with all its strands."""
        return self.strand_metres / self.thread.strands


_KEPT: WeakKeyDictionary[WorkedChart, dict[_Crosses, tuple[ThreadUse, ...]]] = WeakKeyDictionary()


def estimate(worked: WorkedChart, fabric: Fabric) -> tuple[ThreadUse, ...]:
    """Estimate the thread of a chart on a fabric, in the order of `design.threads`.

    Only threads that are used come back. A thread that the key names but the design does not
    list comes after those listed. Checks, booklet and account all ask, and many fabrics have
    crosses of one size; what was found is kept as long as the chart is.
    """
    kept = _KEPT.setdefault(worked, {})
    crosses = fabric.per_inch_x, fabric.per_inch_y
    if crosses not in kept:
        own = worked.design.colourways and fabric == worked.design.ground.fabric
        stints = _on_its_own(worked) if own else by_needle(worked, fabric)
        kept[crosses] = reckon(worked.design, stints, worked.design.working)
    return kept[crosses]


def estimate_in(other: WorkedChart, first: WorkedChart) -> tuple[ThreadUse, ...]:
    """Estimate the thread of a chart in other colours on its own fabric, see `estimate`.

    first: the chart before its threads were changed. Where no two of its needles have become one,
    and none has become two, each goes the same way as before, which need not be found again.
    """
    needles: dict[Needle, Needle] = {}
    stated = dict.fromkeys((None, *(piece.strands for piece in first.pieces)))
    for strands, index in product(stated, range(1, len(first.design.key) + 1)):
        before, after = first.entry(index, strands), other.entry(index, strands)
        for old, new in zip(before.parts, after.parts, strict=True):
            needle = needle_of(new.needle)
            if _method(first.design, old) is not _method(other.design, new):
                return estimate(other, other.design.ground.fabric)
            if needles.setdefault(needle_of(old.needle), needle) != needle:
                return estimate(other, other.design.ground.fabric)
    if len(set(needles.values())) < len(needles):
        return estimate(other, other.design.ground.fabric)
    stints = {
        needles[needle]: [replace(stint, needle=needles[needle]) for stint in each]
        for needle, each in _on_its_own(first).items()
    }
    return reckon(other.design, stints, other.design.working)


def _method(design: Design, part: Part) -> Method:
    return design.working.of(each.thread for each in part.needle).method


def _on_its_own(worked: WorkedChart) -> dict[Needle, list[Stint]]:
    """Return what each needle works on the chart's own fabric, kept as long as the chart is."""
    if worked not in _OWN:
        _OWN[worked] = by_needle(worked, worked.design.ground.fabric)
    return _OWN[worked]


def by_needle(worked: WorkedChart, fabric: Fabric) -> dict[Needle, list[Stint]]:
    """Return what each needle works: the part of an estimate that tails and reserve leave alone."""
    if worked not in _FOUND:
        _FOUND[worked] = [found for sheet in sheets(worked) if (found := work(worked, sheet))]
    return grouped(worked, fabric, _cells(worked, fabric, _FOUND[worked]))


def estimate_some(
    worked: WorkedChart, fabric: Fabric, only: AbstractSet[Thread]
) -> tuple[ThreadUse, ...]:
    """Estimate some of the threads: the same as of a whole estimate, in less time."""
    if (kept := _KEPT.get(worked, {}).get((fabric.per_inch_x, fabric.per_inch_y))) is None and only:
        mine = np.zeros(len(worked.design.key) + 1, dtype=bool)
        for index, entry in enumerate(worked.design.key, 1):
            mine[index] = any(
                strands.thread in only for part in entry.parts for strands in part.needle
            )
        found = []
        for sheet in sheets(worked):
            grid = np.where(mine[sheet.grid], sheet.grid, np.uint16(0))
            found.append(work(worked, replace(sheet, grid=grid)))
        stints = grouped(worked, fabric, _cells(worked, fabric, [each for each in found if each]))
        kept = reckon(worked.design, stints, worked.design.working)
    return tuple(use for use in kept or () if use.thread in only)


def _cells(worked: WorkedChart, fabric: Fabric, found: Sequence[SheetWork]) -> list[Stint]:
    return [stint for each in found for stint in cell_stints(worked, fabric, each)]


def grouped(
    worked: WorkedChart, fabric: Fabric, cells: Sequence[Stint]
) -> dict[Needle, list[Stint]]:
    """Return what each needle works: cells, then lines, knots and counted stitches."""
    worked_by: dict[Needle, list[Stint]] = {}
    for stint in chain(
        cells,
        line_stints(worked, fabric),
        knot_stints(worked, fabric),
        counted_stints(worked, fabric),
    ):
        worked_by.setdefault(stint.needle, []).append(stint)
    return worked_by


def reckon(
    design: Design, stints: Mapping[Needle, Sequence[Stint]], working: Working
) -> tuple[ThreadUse, ...]:
    """Return what each thread takes when its needles are cut and fastened off as stated."""
    sums = {
        needle: _summed(each, working.of(one.thread for one in needle))
        for needle, each in stints.items()
    }
    return tuple(_use(thread, sums, working) for thread in _threads(design, sums))


@dataclass(frozen=True)
class _Sum:
    """What one needle takes in all, in mm."""

    front: float
    back: float
    carried: float
    tails: float
    left: float
    needlefuls: int
    longest: float
    entries: dict[int, float]

    @property
    def whole(self) -> float:
        return self.front + self.back + self.carried + self.tails + self.left


def _summed(stints: Sequence[Stint], working: Working) -> _Sum:
    needlefuls = cut(
        np.concatenate([each.stitched for each in stints]),
        np.concatenate([each.carry for each in stints]),
        np.concatenate([each.anew for each in stints]),
        np.concatenate([each.step for each in stints]),
        working,
    )
    entries: dict[int, float] = {}
    for stint in stints:
        for index, length in stint.entries.items():
            entries[index] = entries.get(index, 0.0) + length
    return _Sum(
        sum(each.front for each in stints),
        sum(each.back for each in stints),
        needlefuls.carried,
        needlefuls.tails,
        needlefuls.left,
        needlefuls.needlefuls,
        needlefuls.longest,
        entries,
    )


def _threads(design: Design, sums: dict[Needle, _Sum]) -> list[Thread]:
    used = {each.thread for needle in sums for each in needle}
    listed = [thread for thread in dict.fromkeys(design.threads) if thread in used]
    others = [part.thread for entry in design.key for each in entry.parts for part in each.needle]
    return listed + [
        thread for thread in dict.fromkeys(others) if thread in used and thread not in listed
    ]


def _use(thread: Thread, sums: dict[Needle, _Sum], working: Working) -> ThreadUse:
    # The same thread may stand twice in one needle; its length in the needle counts once.
    mine = [
        (sum(each.strands for each in needle if each.thread == thread), total)
        for needle, total in sums.items()
        if any(each.thread == thread for each in needle)
    ]
    put_up = thread.metres * thread.strands
    strand_metres = sum(strands * total.whole for strands, total in mine) / 1000
    skeins = strand_metres / put_up
    entries: dict[int, float] = {}
    for strands, total in mine:
        for index, share in _shares(total.entries).items():
            entries[index] = entries.get(index, 0.0) + share * strands * total.whole / 1000
    return ThreadUse(
        thread,
        sum(total.front for _, total in mine),
        sum(total.back for _, total in mine),
        sum(total.carried for _, total in mine),
        sum(total.tails for _, total in mine),
        sum(total.left for _, total in mine),
        strand_metres,
        skeins,
        max(1, math.ceil(skeins * (1 + working.reserve) - 1e-9)),
        sum(total.needlefuls for _, total in mine),
        max(total.longest for _, total in mine),
        sum(strands * total.needlefuls for strands, total in mine),
        tuple(
            EntryUse(index, metres, metres / put_up) for index, metres in sorted(entries.items())
        ),
    )


def _shares(stitched: Mapping[int, float]) -> dict[int, float]:
    """Return what part of a needle each key line has: as its own stitches are of all.

    What is carried, tails and what is left over are no line's own and go the same way.
    """
    whole = sum(stitched.values())
    return {
        index: length / whole if whole else 1 / len(stitched) for index, length in stitched.items()
    }
