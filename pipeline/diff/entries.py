"""The changes as a sheet of corrections lists them: each with its place and advice, or without.

The list speaks the language of the chart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import zip_longest
from typing import assert_never

import numpy as np

from ..compose.worked import Gap, WorkedChart
from ..core.items import Box
from ..core.model import Threads
from ..i18n.trade import opening
from . import changes as kinds
from . import facts
from .advice import (
    Advice,
    Do,
    for_added,
    for_crosses,
    for_drawn,
    for_moved,
    for_removed,
    for_turned,
)
from .changes import CellArray, Change, Changes, Drawn
from .lines import drawn_otherwise, moved
from .notices import MOST_ALIKE, Notice, Notices, sentence, sentences
from .sentences import Teller
from .together import (
    MOST_AREAS,
    MOST_TOLD,
    box_round,
    boxes_round,
    by_block,
    lying_together,
    points_of,
    span_of,
)

NO_CELLS: CellArray = np.empty((0, 2), dtype=np.int64)
MOST_DRAWN = 6  # lines and knots of one entry told one by one
_WORDS = (facts.Subject.NEEDS, facts.Subject.RIGHTS)  # and notes: what a stitcher works by


@dataclass(frozen=True, eq=False)
class PlaceEntry:
    """One difference that has a place.

    heading: where or what. told: what changed. begun: what to do if it is stitched already;
    unpicks: whether by taking stitches out. old, new: what to look at, each on its own chart.
    cells: the cells that changed, on the new chart. old_rings, new_rings: what to ring besides
    them, each on its own chart. note: what is said of its pictures.
    """

    heading: str
    told: tuple[str, ...]
    begun: str
    unpicks: bool
    old: Box | None
    new: Box | None
    cells: CellArray
    old_rings: tuple[Box, ...] = ()
    new_rings: tuple[Box, ...] = ()
    note: str = ""

    @property
    def corner(self) -> tuple[float, float]:
        """Where it comes on the sheet: from top to bottom and left to right."""
        box = self.new or self.old
        assert box is not None
        return box[1], box[0]


@dataclass(frozen=True, eq=False)
class Entries:
    """What a sheet of corrections lists: what to know first, the places, words of the booklet."""

    notices: tuple[Notice, ...]
    items: tuple[PlaceEntry, ...]
    words: tuple[str, ...]


def entries(changes: Changes) -> Entries:
    """Return the changes that a stitcher has to know of, those with a place in reading order."""
    return _EntryWriter(changes).entries()


def revision_lines(changes: Changes) -> str:
    """Return one `revision` line for each entry, to be put into the source of the new chart."""
    booklet = changes.new.design.booklet
    head = f"revision {_in_quotes(booklet.edition or '1')} "
    if booklet.day is not None:
        head += f"{booklet.day.isoformat()} "
    listed = entries(changes)
    every: list[Notice | PlaceEntry] = [*listed.notices, *listed.items]
    colon = Teller.in_print(changes).colon
    told = [colon(each.heading, " ".join(each.told)) for each in every]
    return "".join(f"{head}{_in_quotes(each)}\n" for each in told)


def _in_quotes(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


class _EntryWriter:
    def __init__(self, changes: Changes) -> None:
        self.changes = changes
        self.teller = Teller.in_print(changes)

    def entries(self) -> Entries:
        of = self.changes.of
        notices = Notices(self.changes, self.teller).every()
        items = [item for change in self.changes.every for item in self._items(change)]
        items += self._areas(of(kinds.Area))
        drawn: list[Drawn] = [*of(kinds.Stretch), *of(kinds.Dotted), *of(kinds.Strayed)]
        drawn += of(kinds.Resewn)
        items += [self._drawn(group) for group in lying_together(drawn)]
        words: list[Change] = [*of(facts.Noted)]
        words += [change for change in of(facts.Worded) if change.what in _WORDS]
        return Entries(
            notices,
            tuple(sorted(items, key=lambda item: item.corner)),
            tuple(sentence(self.teller.told(change)[0]) for change in words),
        )

    def _items(self, change: Change) -> Iterator[PlaceEntry]:
        """Give the items of a change that is told by itself; see `entries` for the others."""
        match change:
            case kinds.Moved():
                yield from self._placed(change, partial(for_moved, change))
            case kinds.Turned():
                yield from self._placed(change, for_turned)
            case kinds.Added():
                yield from self._placed(change, self._room)
            case kinds.Removed():
                yield from self._placed(change, for_removed)
            case kinds.Redrawn():
                yield from self._redrawn(change)
            case kinds.Reworded():
                stitches = [cells for area in change.areas for cells in area.stitches]
                advice = for_crosses(stitches)
                yield self._at(change.spot, [self.teller.reworded(change)], advice)
            case kinds.Patched():
                yield from self._patched(change)
            case kinds.Restranded():
                yield from self._placed(change, lambda _: Advice(Do.ONE_THREAD))
            case kinds.Shifted() | kinds.Strip() | kinds.Inserted():
                pass  # without a place: notices
            case kinds.KeyChange() | kinds.Tally():
                pass  # without a place: notices
            case facts.Fact():
                if change.what is facts.Measure.WITHDRAWN:
                    yield from self._withdrawn()  # all others are notices
            case facts.Recoloured():
                pass  # a notice too
            case kinds.Area():
                pass  # those near each other make one item
            case kinds.Stretch() | kinds.Dotted() | kinds.Strayed() | kinds.Resewn():
                pass  # those that lie together make one item
            case facts.Noted() | facts.Worded():
                pass  # words
            case facts.Lettered() | kinds.Renamed():
                pass  # what they change on the chart is told by itself
            case _:
                assert_never(change)

    def _item(
        self,
        heading: str,
        told: Sequence[str],
        advice: Advice,
        old: Box | None,
        new: Box | None,
        cells: CellArray | None = None,
        rings: tuple[tuple[Box, ...], tuple[Box, ...]] = ((), ()),
    ) -> PlaceEntry:
        """Return an item; without cells its whole places are ringed."""
        if cells is None:
            cells = NO_CELLS
            rings = (() if old is None else (old,)), (() if new is None else (new,))
        begun = advice.say(self.teller)
        return PlaceEntry(
            opening(heading),
            sentences(self.teller, told),
            begun,
            advice.unpicks,
            old,
            new,
            cells,
            *rings,
        )

    # --- things placed ---

    def _placed(
        self,
        change: kinds.Moved | kinds.Turned | kinds.Added | kinds.Removed | kinds.Restranded,
        advice: Callable[[Sequence[kinds.Spot]], Advice],
    ) -> Iterator[PlaceEntry]:
        """Give an item for each of a few copies, or one for many."""
        spots = change.spots
        if len(spots) > MOST_ALIKE:
            item = self._at(spots[0], self.teller.told(change), advice(spots))
            yield replace(item, note=self.teller.gettext("The first place is shown."))
            return
        for spot in spots:
            alone = replace(change, spots=(spot,))
            if isinstance(alone, kinds.Added | kinds.Removed) and len(spots) > 1:
                alone = replace(alone, stitches=())  # those of all of them
            yield self._at(spot, self.teller.told(alone)[:1], advice([spot]))

    def _at(self, spot: kinds.Spot, told: Sequence[str], advice: Advice) -> PlaceEntry:
        box = spot.new or spot.old
        assert box is not None
        return self._item(self.teller.cells(box), told, advice, spot.old, spot.new)

    def _room(self, spots: Sequence[kinds.Spot]) -> Advice:
        stitched = max(self.changes.stitched_before(spot.new) for spot in spots)
        return for_added(stitched, counted=any(self._sewn(spot.new, gone=True) for spot in spots))

    def _sewn(self, box: Box | None, *, gone: bool = False) -> bool:
        """Tell whether counted stitches differ in a box of the new chart; gone: only old ones."""
        sides = self.changes.sewn[:1] if gone else self.changes.sewn
        return box is not None and any(side.within(box) for side in sides)

    def _redrawn(self, change: kinds.Redrawn) -> Iterator[PlaceEntry]:
        """Give one item for a motif, shown at its first place."""
        if not change.spots:
            return
        places = change.places
        if any(self._is_moved(spot) for spot in change.spots):
            # There the chart differs for the move, which is told by itself.
            places = change.areas * sum(spot.new is not None for spot in change.spots)
        stitches = [cells for area in places for cells in area.stitches]
        counted = any(isinstance(each, kinds.Resewn) for each in change.drawn)
        advice = for_drawn(change.drawn)
        if places:
            advice = for_crosses(stitches, others=counted)
        shown = change.places if places is change.places else ()
        cells = np.concatenate([NO_CELLS, *(area.cells for area in shown)])
        spot = next((each for each in change.spots if each.new is not None), change.spots[0])
        rings: tuple[tuple[Box, ...], tuple[Box, ...]] = ((), ())
        if spot.old is not None and spot.new is not None:
            rings = drawn_otherwise(self.changes, spot.old, spot.new)
        box = spot.new or spot.old
        assert box is not None
        told = self.teller.told(change)
        item = self._item(self.teller.cells(box), told, advice, spot.old, spot.new, cells, rings)
        if len(change.spots) > 1:
            item = replace(item, note=self.teller.gettext("The first place is shown."))
        yield item

    def _is_moved(self, spot: kinds.Spot) -> bool:
        if spot.old is None or spot.new is None:
            return False
        return self._back(spot.new)[:2] != spot.old[:2]

    def _patched(self, change: kinds.Patched) -> Iterator[PlaceEntry]:
        x, y, cell = change.x, change.y, change.cell
        for area, inside in zip(change.areas, self.teller.within_piece(change), strict=True):
            x0, y0, x1, y1 = area.box
            box = x + x0 * cell, y + y0 * cell, x + x1 * cell, y + y1 * cell
            heading = self.teller.cells(box)
            told = self.teller.colon(self.teller.patched(change), inside)
            yield self._item(heading, [told], for_crosses(area.stitches), self._back(box), box)

    def _back(self, box: Box) -> Box:
        """Return a box of the new chart on the old one."""
        x, y = self.changes.shift
        return moved(box, -x, -y)

    def _withdrawn(self) -> Iterator[PlaceEntry]:
        """Give an item for each gap that is another, came or went; those alike in order."""
        old, new = self.changes.gaps
        for threads in Threads:
            gone, come = ([gap for gap in side if gap.threads is threads] for side in (old, new))
            for before, after in zip_longest(gone, come):
                one = None if before is None else self._crosses(before, self.changes.old)
                other = None if after is None else self._crosses(after, self.changes.new)
                box = other or one
                assert box is not None
                told = [self.teller.withdrawn(before, after)]
                yield self._item(self.teller.cells(box), told, Advice(Do.WITHDRAW), one, other)

    def _crosses(self, gap: Gap, worked: WorkedChart) -> Box:
        x0, y0, x1, y1 = (each / worked.design.ground.fabric.over for each in gap.box)
        return x0, y0, x1, y1

    # --- crosses, lines and knots by themselves ---

    def _areas(self, areas: Sequence[kinds.Area]) -> Iterator[PlaceEntry]:
        """Give an item for each area, or where there are many for those near each other."""
        groups = [[area] for area in areas]
        if len(areas) > MOST_AREAS:
            groups = by_block(areas, [area.box for area in areas])
        for group in groups:
            box = box_round([area.box for area in group])
            stitches = [cells for area in group for cells in area.stitches]
            told = self.teller.areas(group)
            if len(group) == 1:
                told = self.teller.in_cells(stitches[:MOST_TOLD], stitches)
            cells = np.concatenate([area.cells for area in group])
            others = any(self._sewn(area.box) for area in group)
            heading, advice = self.teller.rows_columns(box), for_crosses(stitches, others=others)
            yield self._item(heading, told, advice, self._back(box), box, cells)

    def _drawn(self, group: Sequence[Drawn]) -> PlaceEntry:
        """Return one item for lines, knots and counted stitches that lie together."""
        before, after = boxes_round(group)
        told = [self.teller.drawn(member) for member in group]
        if len(group) > MOST_DRAWN:
            told = self.teller.together_drawn(group)
        if len(group) > 1 or isinstance(group[0], kinds.Resewn):
            whole = box_round([span_of(member) for member in group])
            heading = self.teller.rows_columns([*np.floor(whole[:2]), *np.ceil(whole[2:])])
        else:
            place = self.teller.point(points_of(group[0])[0])
            heading = self.teller.gettext("at %(place)s", place=place)
        advice = for_drawn(group, others=self._on_crosses(group))
        return self._item(heading, told, advice, self._back(before), after)

    def _on_crosses(self, group: Sequence[Drawn]) -> bool:
        """Tell whether crosses differ where counted stitches do."""
        boxes = [box for each in group if isinstance(each, kinds.Resewn) for box in each.boxes]
        x, y = self.changes.cells.T
        return any(
            bool(((x > left - 1) & (y > top - 1) & (x < right) & (y < bottom)).any())
            for left, top, right, bottom in boxes
        )
