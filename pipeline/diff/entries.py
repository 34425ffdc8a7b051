"""The changes as a sheet of corrections lists them: each with its place and advice, or without.

The list speaks the language of the chart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import assert_never

import numpy as np

from ..chart.symbols import choose
from ..core.model import Box
from ..i18n.figures import NO_BREAK
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
MOST_ALIKE = 3  # copies of one thing that are shown one by one
MOST_DRAWN = 6  # lines and knots of one entry told one by one
_NO_FACTS = (facts.Measure.CHART, facts.Measure.OTHERS, facts.Measure.WORKING, facts.Measure.STOCK)
_CLOSING = "”“»’‘›" + NO_BREAK  # what may stand after the last words that are quoted
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


@dataclass(frozen=True)
class Notice:
    """A change without a place. old, new: the lines of the keys that it speaks of, or 0.

    begun: what those can do who have begun; when: which of them.
    """

    heading: str
    told: tuple[str, ...]
    begun: str = ""
    old: int = 0
    new: int = 0
    when: str = ""


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
        key = of(kinds.KeyChange)
        notices = (
            self._numbering([*of(kinds.Shifted), *of(kinds.Strip), *of(kinds.Inserted)]),
            *self._key(key),
            *self._symbols(key),
            self._colourways(of(facts.Recoloured)),
            self._thread(of(kinds.Tally)),
            self._size(of(facts.Fact)),
        )
        items = [item for change in self.changes.every for item in self._items(change)]
        items += self._areas(of(kinds.Area))
        drawn: list[Drawn] = [*of(kinds.Stretch), *of(kinds.Dotted), *of(kinds.Strayed)]
        drawn += of(kinds.Resewn)
        items += [self._drawn(group) for group in lying_together(drawn)]
        words: list[Change] = [*of(facts.Noted)]
        words += [change for change in of(facts.Worded) if change.what in _WORDS]
        return Entries(
            tuple(notice for notice in notices if notice.told),
            tuple(sorted(items, key=lambda item: item.corner)),
            tuple(_sentence(self.teller.told(change)[0]) for change in words),
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
            case facts.Fact() | facts.Recoloured():
                pass  # notices too
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

    def _sentences(self, told: Sequence[str]) -> tuple[str, ...]:
        """Return what is told as sentences, of a long list the first and the number of others."""
        shown = told[:MOST_TOLD] if len(told) > MOST_TOLD + 1 else told
        sentences = [_sentence(each) for each in shown]
        if len(shown) < len(told):
            rest = len(told) - len(shown)
            sentences.append(
                self.teller.ngettext("%(count)s more change.", "%(count)s more changes.", rest)
            )
        return tuple(sentences)

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
        told = self._sentences(told)
        return PlaceEntry(opening(heading), told, begun, advice.unpicks, old, new, cells, *rings)

    # --- without a place ---

    def _numbering(self, whole: Sequence[kinds.Shifted | kinds.Strip | kinds.Inserted]) -> Notice:
        told = [each for change in whole for each in self.teller.told(change)]
        begun = ""
        x, y = self.changes.shift
        if (x, y) != (0, 0):
            columns = rows = ""
            if x > 0:
                columns = self.teller.gettext("add %(number)s to each column number", number=x)
            elif x < 0:
                columns = self.teller.gettext("take %(number)s from each column number", number=-x)
            if y > 0:
                rows = self.teller.gettext("add %(number)s to each row number", number=y)
            elif y < 0:
                rows = self.teller.gettext("take %(number)s from each row number", number=-y)
            begun = self.teller.gettext(
                "What you have stitched is right. To find your place on the new chart, %(do)s of "
                "the old one. Check that enough fabric is left all round.",
                do=self.teller.both(columns, rows),
            )
        when = self.teller.gettext("If you have begun:")
        return Notice(self.teller.gettext("Numbering"), self._sentences(told), begun, when=when)

    def _key(self, changes: Sequence[kinds.KeyChange]) -> Iterator[Notice]:
        heading = self.teller.gettext("Key")
        told = [change for change in changes if change.other_stitches]
        for number, change in enumerate(told):
            # Of many the first says it for all of them.
            advised = change.what and (number == 0 or len(told) <= MOST_ALIKE)
            begun = Advice(Do.ONE_THREAD).say(self.teller) if advised else ""
            sentence = _sentence(self.teller.key_change(change))
            when = self.teller.gettext("If you have stitched with it:")
            yield Notice(heading, (sentence,), begun, change.old, change.new, when)

    def _symbols(self, changes: Sequence[kinds.KeyChange]) -> Iterator[Notice]:
        """Give the key lines that are printed with another symbol and are otherwise the same."""
        old, new = choose(self.changes.old), choose(self.changes.new)
        told = {change.new for change in changes if change.other_stitches}
        for before, after in self.changes.pairs.partner.items():
            drawn = before in old and after in new and old[before] != new[after]
            if drawn and after not in told:
                what = self.teller.in_key(after, new=True)
                sentence = self.teller.gettext(
                    "%(what)s: another symbol for the same stitches", what=what
                )
                yield Notice(
                    self.teller.gettext("Symbol"), (_sentence(sentence),), "", before, after
                )

    def _colourways(self, changes: Sequence[facts.Recoloured]) -> Notice:
        told = [_sentence(told) for change in changes if (told := self.teller.recoloured(change))]
        return Notice(self.teller.gettext("Other colourways"), tuple(told))

    def _thread(self, tallies: Sequence[kinds.Tally]) -> Notice:
        bought = [tally for tally in tallies if tally.bought and tally.bought[0] != tally.bought[1]]
        told = [_sentence(self.teller.tally(each)) for each in bought]
        more = [each for each in bought if each.bought and each.bought[0] < each.bought[1]]
        left = [each for each in bought if each.bought and each.bought[0] > each.bought[1]]
        begun = [self.teller.buy(more)] if more else []
        begun += [self.teller.left_over(left)] if left else []
        when = self.teller.gettext("If you have bought your thread:")
        heading = self.teller.gettext("Thread to buy")
        return Notice(heading, tuple(told), " ".join(begun), when=when)

    def _size(self, figures: Sequence[facts.Fact]) -> Notice:
        told = [each for each in figures if each.what not in _NO_FACTS]
        what = {each.what for each in told}
        sentences = [_sentence(text) for each in told for text in self.teller.told(each)]
        if facts.Measure.WITHDRAWN in what:
            sentences.append(Advice(Do.WITHDRAW).say(self.teller))
        return Notice(
            self.teller.gettext("Size and fabric"),
            tuple(sentences),
            self.teller.already_cut() if facts.Measure.CUT in what else "",
            when=self.teller.gettext("If your fabric is already cut:"),
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
        stitches = [cells for area in change.places for cells in area.stitches]
        counted = any(isinstance(each, kinds.Resewn) for each in change.drawn)
        advice = for_drawn(change.drawn)
        if change.places:
            advice = for_crosses(stitches, others=counted)
        cells = np.concatenate([NO_CELLS, *(area.cells for area in change.places)])
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


def _sentence(told: str) -> str:
    """Return what is told as a sentence; one that ends in a quoted sentence ends with that."""
    bare = told.rstrip(_CLOSING)
    ended = bare != told and bare.endswith((".", "!", "?"))
    return opening(told) if ended else f"{opening(told)}."
