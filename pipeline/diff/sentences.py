"""Every change told in the words of a language: once, for all who tell of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import assert_never

from ..core.items import Point
from ..i18n import trade
from . import changes as kinds
from . import facts
from .changes import Change, Changes, Drawn, Stitches
from .phrases import MOST_PLACES, in_print, in_terminal
from .supplies import Supplies

MOST_POINTS = 8  # of one line or one kind of knot
MOST_KINDS = 6  # of change in one area
MOST_LISTED = 24  # places of a motif


class Teller(Supplies):
    """Puts the changes between two charts into words."""

    @classmethod
    def in_terminal(cls, changes: Changes) -> Teller:
        """Return one that speaks as the terminal does."""
        return cls(changes, *in_terminal())

    @classmethod
    def in_print(cls, changes: Changes) -> Teller:
        """Return one that speaks the language of the chart."""
        return cls(changes, *in_print(changes))

    def told(self, change: Change) -> list[str]:
        """Return a change in words: the whole of it first, then what belongs to it."""
        match change:
            case kinds.Shifted():
                return [self.gettext("the whole chart moved %(way)s", way=self.by(change.by))]
            case kinds.Strip():
                return [self.strip(change)]
            case kinds.Area():
                return [self.area(change)]
            case kinds.Moved():
                return [self.moved(change)]
            case kinds.Inserted():
                return [self.inserted(change)]
            case kinds.Redrawn():
                return [self.redrawn(change), *self.within_motif(change)]
            case kinds.Turned():
                there = (
                    [] if change.turn is not kinds.TurnWords.NOT else self._on_chart(change.areas)
                )
                return [self.turned(change), *there]
            case kinds.Added():
                return [self._came(change, change.stitches, new=True)]
            case kinds.Removed():
                return [self._came(change, change.stitches, new=False)]
            case kinds.Reworded():
                return [self.reworded(change), *self._crosses_differ(change.spot.cells)]
            case kinds.Patched():
                return [self.patched(change), *self.within_piece(change)]
            case kinds.Restranded():
                return [self.restranded(change)]
            case kinds.Stretch() | kinds.Dotted() | kinds.Strayed() | kinds.Resewn():
                return [self.drawn(change)]
            case kinds.KeyChange():
                return [self.key_change(change)]
            case kinds.Tally():
                return [self.tally(change)]
            case facts.Noted() if change.elsewhere:
                return [self.replaced(self.restated(change))]
            case facts.Noted() | facts.Worded():
                return [self.reads(self.restated(change))]
            case facts.Recoloured():
                return [self.recoloured(change)]
            case facts.Fact() | facts.Lettered():
                return [self.replaced(self.restated(change))]
            case kinds.Renamed():
                return [
                    self.gettext("%(old)s is now called %(new)s", old=change.old, new=change.new)
                ]
            case _:
                assert_never(change)

    # --- crosses ---

    def areas(self, areas: Iterable[kinds.Area]) -> list[str]:
        """Return a line for each area: where it is and what changed there."""
        return [self.area(area) for area in areas]

    def area(self, area: kinds.Area) -> str:
        """Return where an area is and what changed there, the rarest changes by their number."""
        stitches = area.stitches
        shown = stitches[:MOST_KINDS] if len(stitches) > MOST_KINDS + 1 else stitches
        told = self.semicolons(self.in_cells(shown, stitches))
        return self.colon(self.rows_columns(area.box), told)

    def in_cells(self, shown: Sequence[Stitches], every: Sequence[Stitches]) -> list[str]:
        """Return what changed in some cells, and how many more did."""
        told = [self.stitches(cells) for cells in shown]
        rest = sum(cells.number for cells in every) - sum(cells.number for cells in shown)
        if rest:
            told.append(self.gettext("%(number)s more in other colours", number=self.whole(rest)))
        return told

    def strip(self, strip: kinds.Strip) -> str:
        """Return what only one of the charts has along an edge."""
        values = {"place": self.rows_columns(strip.box), "crosses": self.crosses(strip.number)}
        if strip.lost:
            return self.gettext(
                "no longer on the chart, %(place)s of the old one: %(crosses)s", **values
            )
        return self.gettext("beyond the edge of the old chart, %(place)s: %(crosses)s", **values)

    def _crosses_differ(self, number: int) -> list[str]:
        return [self.differ(number)] if number else []

    def differ(self, number: int) -> str:
        """Return that so many crosses differ."""
        return self.ngettext("%(count)s cross differs", "%(count)s crosses differ", number)

    # --- things placed ---

    def moved(self, change: kinds.Moved) -> str:
        """Return what moved, how far, from where and where to."""
        turned = self.turn(change.turn, change.over)
        what = self.thing(change.sort, change.name, len(change.spots))
        way = self.by(change.by) + (f", {turned}" if turned else "")
        values = {"what": what, "way": way}
        olds, news = [spot.old for spot in change.spots], [spot.new for spot in change.spots]
        if change.sort is kinds.Sort.GRID:
            places = self.semicolons([self.cells(box) for box in olds[:MOST_PLACES] if box])
            return self.gettext("%(what)s moved %(way)s: %(places)s", places=places, **values)
        if not self.signs.typed:
            if len(news) == 1:  # where it is stands above
                return self.gettext("%(what)s moved %(way)s", **values)
            return self.gettext(
                "%(what)s moved %(way)s; now in %(places)s", places=self.squares(news), **values
            )
        if len(olds) > 1:
            return f"{what} moved {way}; now at {self.corners(news)}"
        return f"{what} moved {way}, from {self.corners(olds)} to {self.corners(news)}"

    def inserted(self, change: kinds.Inserted) -> str:
        """Return where rows came in or went out, and what moved for it."""
        values = {
            "row": self.whole(change.row + 1),
            "things": self.ngettext("%(count)s thing", "%(count)s things", change.number),
            "way": self.by((0, change.by)),
        }
        if change.by > 0:
            return self.gettext(
                "inserted above row %(row)s: %(things)s below moved %(way)s", **values
            )
        return self.gettext("taken out above row %(row)s: %(things)s below moved %(way)s", **values)

    def _came(
        self, change: kinds.Added | kinds.Removed, stitches: Sequence[tuple[int, int]], *, new: bool
    ) -> str:
        thing = self.thing(change.sort, change.name, len(change.spots))
        boxes = [spot.new if new else spot.old for spot in change.spots]
        if self.signs.typed:
            told = f"{thing} {'added' if new else 'left out'} at {self.corners(boxes)}"
        elif len(boxes) == 1:  # where it is stands above
            told = self.added(thing) if new else self.gettext("%(what)s left out", what=thing)
        else:
            values = {"what": thing, "places": self.squares(boxes)}
            told = self.gettext("%(what)s left out in %(places)s", **values)
            if new:
                told = self.gettext("%(what)s added in %(places)s", **values)
        inside = ", ".join(
            f"{self.counted(index, number, new=new)} {self.threads(index, new=new)}"
            for index, number in stitches
        )
        return self.colon(told, inside) if inside else told

    def turned(self, change: kinds.Turned) -> str:
        """Return what stands where it stood, but otherwise."""
        how = self.turn(change.turn, change.over) or self.gettext("in other stitches")
        return self._standing(kinds.Sort.MOTIF, change.name, change.spots, how)

    def _standing(self, sort: kinds.Sort, name: str, spots: Sequence[kinds.Spot], how: str) -> str:
        """Return how things stand now that are where they were."""
        what, boxes = self.thing(sort, name, len(spots)), [spot.new for spot in spots]
        if self.signs.typed:
            return f"{what} at {self.corners(boxes)}: {how}"
        if len(boxes) == 1:  # where it is stands above
            return self.colon(what, how)
        places = self.squares(boxes)
        return self.gettext("%(what)s in %(places)s: %(how)s", what=what, places=places, how=how)

    def reworded(self, change: kinds.Reworded) -> str:
        """Return a text that reads otherwise, or is set in other letters."""
        place = f" at {self.corners([change.spot.new])}" if self.signs.typed else ""
        if change.old == change.new:
            text = self.quoted(change.new) + place
            return self.gettext("the text %(text)s in another alphabet", text=text)
        texts = self.change(self.quoted(change.old), self.quoted(change.new))
        text = self.gettext("the text")
        return self.colon(f"{text}{place}", texts)

    def redrawn(self, change: kinds.Redrawn) -> str:
        """Return that a motif is drawn otherwise, and where it is placed."""
        name = self.motif(change.name)
        if not change.spots:
            return self.gettext("%(motif)s redrawn; it is not placed", motif=name)
        boxes = [spot.new for spot in change.spots]
        told = self.gettext("%(motif)s redrawn", motif=name)
        if self.signs.typed:
            often = "once" if len(boxes) == 1 else f"{self.whole(len(boxes))} times"
            told = f"{told}; placed {often}, at {self.corners(boxes)}"
        elif len(boxes) > 1:
            told = self.gettext(
                "%(motif)s redrawn; placed %(count)s times, in %(places)s",
                motif=name,
                count=self.whole(len(boxes)),
                places=self.squares(boxes),
            )
        if change.resized is None:
            return told
        sizes = self.change(*(f"{wide} x {high}" for wide, high in change.resized))
        return self.semicolons([told, self.gettext("its size %(change)s", change=sizes)])

    def within_motif(self, change: kinds.Redrawn) -> list[str]:
        """Return what changed in a motif, and where that shows on the chart.

        Places within a motif mean something to those alone who have the source.
        """
        if not self.signs.typed:
            inside = self._anywhere(change.areas)
            inside += self.together_drawn(change.drawn, places=False)
            if not inside or len(change.spots) == 1:
                return inside
            return [self.colon(self.gettext("in each of them"), self.semicolons(inside))]
        inside = [*self.areas(change.areas), *(self.drawn(each) for each in change.drawn)]
        told = [f"in the motif, {each}" for each in inside]
        if change.places:
            places = [self.rows_columns(area.box) for area in change.places]
            told.append(f"on the chart, {self.first(places, MOST_LISTED, '; ')}")
        return told

    def _anywhere(self, areas: Iterable[kinds.Area]) -> list[str]:
        """Return what changed in all of some areas, but not where."""
        numbers: Counter[tuple[int, int]] = Counter()
        for area in areas:
            for cells in area.stitches:
                numbers[cells.old, cells.new] += cells.number
        every = [Stitches(*kind, number) for kind, number in numbers.most_common()]
        return self.in_cells(every[:MOST_KINDS], every)

    def _on_chart(self, areas: Iterable[kinds.Area]) -> list[str]:
        return [self.gettext("on the chart, %(what)s", what=told) for told in self.areas(areas)]

    def patched(self, change: kinds.Patched) -> str:
        """Return that a piece off the grid has changed, and where it lies."""
        if not self.signs.typed:
            return self.motif(change.name)
        return f"{self.motif(change.name)} off the grid at {self.point((change.x, change.y))}"

    def within_piece(self, change: kinds.Patched) -> list[str]:
        """Return what changed in a piece off the grid."""
        if self.signs.typed:
            return [f"in its own crosses, {told}" for told in self.areas(change.areas)]
        every = [self.in_cells(area.stitches[:MOST_KINDS], area.stitches) for area in change.areas]
        return [
            self.gettext("in its own crosses, %(what)s", what=self.semicolons(told))
            for told in every
        ]

    def restranded(self, change: kinds.Restranded) -> str:
        """Return what is worked with another number of strands, and where it stands."""
        how = self.change(self._in_needle(change.old), self._in_needle(change.new))
        return self._standing(change.sort, change.name, change.spots, how)

    def _in_needle(self, strands: int | None) -> str:
        if strands is None:
            return self.gettext("the strands of the key")
        return self.ngettext("%(count)s strand", "%(count)s strands", strands)

    # --- lines, knots and counted stitches ---

    def together_drawn(self, group: Sequence[Drawn], *, places: bool = True) -> list[str]:
        """Return of many lines, knots and counted stitches how many there are of each kind.

        places: whether to tell where one stands that is the only one of its kind.
        """
        alike: dict[tuple[type, int, int], list[Drawn]] = {}
        for member in group:
            alike.setdefault((type(member), member.old, member.new), []).append(member)
        told = []
        for together in alike.values():
            first = together[0]
            if places and (len(together) == 1 or isinstance(first, kinds.Strayed)):
                told += [self.drawn(each) for each in together]
                continue
            match first:
                case kinds.Stretch():
                    what = self.worked(first, 2 * len(together))
                case kinds.Dotted():
                    dotted = [each for each in together if isinstance(each, kinds.Dotted)]
                    what = self.worked(first, sum(len(each.points) for each in dotted))
                case kinds.Strayed():
                    what = f"{self.counted(first.new, len(together), new=True)} "
                    what = self.gettext(
                        "%(what)s moved", what=what + self.threads(first.new, new=True)
                    )
                case kinds.Resewn():
                    sewn = [each for each in together if isinstance(each, kinds.Resewn)]
                    what = self.resewn(first, sum(len(each.boxes) for each in sewn))
                case _:
                    assert_never(first)
            if isinstance(first, kinds.Stretch) and len(together) > 1:
                what = self.ngettext(
                    "%(what)s, in %(count)s place",
                    "%(what)s, in %(count)s places",
                    len(together),
                    what=what,
                )
            told.append(what)
        return told

    def drawn(self, change: Drawn) -> str:
        """Return what became of a stretch of a line, of knots or beads, or of counted stitches."""
        match change:
            case kinds.Stretch():
                return f"{self.worked(change, 2)}, {self._along(change.points)}"
            case kinds.Dotted():
                places = self.listed([self.point(at) for at in change.points], MOST_POINTS)
                what = self.worked(change, len(change.points))
                return self.gettext("%(what)s, at %(places)s", what=what, places=places)
            case kinds.Strayed():
                what = f"{self.counted(change.new, 1, new=True)} "
                return self.gettext(
                    "%(what)s moved, from %(old)s to %(new)s",
                    what=what + self.threads(change.new, new=True),
                    old=self.point(change.was),
                    new=self.point(change.now),
                )
            case kinds.Resewn():
                places = self.listed([self.point(box) for box in change.boxes], MOST_POINTS)
                what = self.resewn(change, len(change.boxes))
                return self.gettext("%(what)s, at %(places)s", what=what, places=places)
            case _:
                assert_never(change)

    def _along(self, points: Sequence[Point]) -> str:
        first, *between, last = (self.point(at) for at in points)
        if not between:
            return self.gettext("from %(first)s to %(last)s", first=first, last=last)
        if len(points) > MOST_POINTS:
            return self.ngettext(
                "from %(first)s over %(count)s point to %(last)s",
                "from %(first)s over %(count)s points to %(last)s",
                len(between),
                first=first,
                last=last,
            )
        return self.gettext(
            "from %(first)s by %(between)s to %(last)s",
            first=first,
            between=", ".join(between),
            last=last,
        )

    def worked(self, change: kinds.Stretch | kinds.Dotted, number: int) -> str:
        """Return what became of a line, or of so many knots: `back stitch madder added`."""
        index, new = change.new or change.old, bool(change.new)
        entry = self.entry(index, new=new)
        noun = trade.stitch(self.words, entry.parts[0], brief=True)
        if entry.is_point:
            noun = self.counted(index, number, new=new)
        threads = self.threads(index, new=new)
        if change.old and change.new:
            return f"{noun} {self.change(self.threads(change.old, new=False), threads)}"
        return self.added(f"{noun} {threads}") if new else self.removed(f"{noun} {threads}")

    def resewn(self, change: kinds.Resewn, number: int) -> str:
        """Return what became of so many counted stitches."""
        if not change.old or not change.new:
            index, new = change.new or change.old, bool(change.new)
            what = f"{self.counted(index, number, new=new)} {self.threads(index, new=new)}"
            return self.added(what) if new else self.removed(what)
        before, after = (
            f"{self.counted(index, number, new=new)} {self.threads(index, new=new)}"
            for index, new in ((change.old, False), (change.new, True))
        )
        if before == after:
            return self.gettext("%(what)s, worked another way", what=after)
        return self.change(before, after)
