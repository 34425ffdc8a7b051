"""What was said in figures and words, before and after: size, fabric, texts, notes, colourways."""

from __future__ import annotations

from dataclasses import dataclass
from typing import assert_never

from ..compose.keytext import key_line
from ..compose.worked import Gap, WorkedChart
from ..core.ground import Fabric, Method, Working
from ..core.key import Colourway, Kind, Part, Thread
from ..core.matter import Note, NoteKind
from ..core.model import Threads
from ..core.paging import Axis, Orientation, Paging
from ..core.saying import to_say
from ..count.size import size
from ..i18n import trade
from . import facts
from .phrases import Phrases

_NOTES = {
    NoteKind.NOTE: to_say("note"),
    NoteKind.DEPARTURE: to_say("departure"),
    NoteKind.INFERRED: to_say("inferred"),
    NoteKind.KEPT: to_say("kept"),
}


@dataclass(frozen=True)
class Restated:
    """Something in words or figures: what it is, before and after; empty where it was not there."""

    what: str
    old: str
    new: str


class Particulars(Phrases):
    """Puts into words what a chart says of itself in figures and words."""

    def restated(self, change: facts.Told) -> Restated:
        """Return what is another text or figure, before and after."""
        match change:
            case facts.Fact():
                charts = self.changes.old, self.changes.new
                figures = [self.plain(self._figure(worked, change.what)) for worked in charts]
                return Restated(self.gettext(change.what), *figures)
            case facts.Noted():
                return self._noted(change.old, change.new)
            case facts.Recoloured():
                one = change.new or change.old
                assert one is not None
                what = self.gettext("colourway %(name)s", name=one.name)
                return Restated(what, _as_written(change.old), _as_written(change.new))
            case facts.Lettered():
                what = self.gettext("alphabet %(name)s", name=change.alphabet)
                letters = self.ngettext(
                    "letter redrawn: %(letters)s",
                    "letters redrawn: %(letters)s",
                    len(change.letters),
                    letters=", ".join(change.letters),
                )
                return Restated(what, "", letters)
            case facts.Worded():
                what = self.gettext(change.what, name=change.name)
                return Restated(what, change.old, change.new)
            case _:
                assert_never(change)

    def _noted(self, old: Note | None, new: Note | None) -> Restated:
        note = new or old
        assert note is not None
        kind = self.gettext(_NOTES[note.kind])
        if old and new and old.text == new.text:
            return Restated(
                self.gettext("%(what)s, place", what=kind), self._place(old), self._place(new)
            )
        texts = [each.text if each else "" for each in (old, new)]
        place = self._place(note) if self.signs.typed else f"({self._place(note)})"
        return Restated(f"{kind} {place}", *texts)

    def _place(self, note: Note) -> str:
        box = note.x0, note.y0, note.x1, note.y1
        if not self.signs.typed:
            return self.squares([box])
        first, last = self.point(box[:2]), self.point(box[2:])
        return f"at {first}" if first == last else f"{first} to {last}"

    def recoloured(self, change: facts.Recoloured) -> str:
        """Return what threads a colourway is worked in now, by the name that is printed.

        Empty where they are the same.
        """
        one = change.new or change.old
        assert one is not None
        what = self.gettext("colourway %(name)s", name=one.title or one.name)
        before = self._colours(change.old, self.changes.old)
        after = self._colours(change.new, self.changes.new)
        symbols = [each for each in {**after, **before} if before.get(each) != after.get(each)]
        if change.old and change.new and not symbols:
            return ""  # such as other strands, which the key tells
        told = self.semicolons(
            [self.change(before.get(symbol, "?"), after.get(symbol, "?")) for symbol in symbols]
            or [""]
        )
        if change.old is None:
            return self.gettext("%(what)s is new: %(text)s", what=what, text=told)
        if change.new is None:
            return self.gettext("%(what)s is left out", what=what)
        return self.colon(what, told)

    def _colours(self, colourway: Colourway | None, worked: WorkedChart) -> dict[str, str]:
        """Return the threads of the key by its symbols, as they are in a colourway."""
        new = worked is self.changes.new
        colours = {
            entry.symbol: self.threads(index, new=new)
            for index, entry in enumerate(worked.design.key, 1)
        }
        for change in () if colourway is None else colourway.changes:
            needles = [[strands.thread for strands in needle] for needle in change.needles]
            colours[change.symbol] = " + ".join(
                self.together([self.thread_in_full(thread) for thread in needle])
                for needle in needles
            )
        return colours

    def replaced(self, restated: Restated) -> str:
        """Return something before and after: `fabric: linen 28 -> linen 32`."""
        old, new = restated.old, restated.new
        told = self.change(old, new) if old else new
        if not new:
            told = self.gettext("no longer %(what)s", what=old)
        return self.colon(restated.what, told)

    def reads(self, restated: Restated) -> str:
        """Return a text as it reads now, for those who work by it."""
        values = {"what": restated.what, "text": self.quoted(restated.new or restated.old)}
        if not restated.new:
            return self.gettext("%(what)s is left out: %(text)s", **values)
        if not restated.old:
            return self.gettext("%(what)s is new: %(text)s", **values)
        return self.gettext("%(what)s reads: %(text)s", **values)

    def already_cut(self) -> str:
        """Return what can be done with fabric that was cut for the old chart."""
        old, new = self.changes.old, self.changes.new
        fabric = old.design.ground.fabric
        piece, own = size(old, fabric), size(new, fabric)
        told = []
        if new.design.ground.fabric != fabric:
            told.append(
                self.gettext(
                    "You can go on with the fabric that you have: the stitched area then measures "
                    "%(size)s.",
                    size=self.words.area(own.width, own.height),
                )
            )
        sides, ends = piece.cut_width - own.width, piece.cut_height - own.height
        if (own.cut_width, own.cut_height) == (piece.cut_width, piece.cut_height):
            pass  # it is as large as ever
        elif min(sides, ends) <= 0:
            told.append(self.gettext("The piece that the old edition asks for is too small."))
        else:
            told.append(
                self.gettext(
                    "A piece as the old edition asks for, %(cut)s, leaves %(sides)s at each side "
                    "and %(ends)s above and below, if the work is centred on it.",
                    cut=self.words.cut(piece.cut_width, piece.cut_height),
                    sides=self.words.length(sides / 2),
                    ends=self.words.length(ends / 2),
                )
            )
        return " ".join(told)

    def _figure(self, worked: WorkedChart, what: facts.Measure) -> str:
        ground = worked.design.ground
        match what:
            case facts.Measure.CHART:
                columns, rows = self.whole(worked.width), self.whole(worked.height)
                return self.gettext("%(columns)s × %(rows)s crosses", columns=columns, rows=rows)
            case facts.Measure.FABRIC:
                return self._fabric(ground.fabric)
            case facts.Measure.COLOUR:
                return f"{ground.colour} {ground.colour_name}".strip()
            case facts.Measure.STITCHED:
                own = size(worked, ground.fabric)
                return self.words.area(own.width, own.height)
            case facts.Measure.CUT:
                own = size(worked, ground.fabric)
                return self.words.cut(own.cut_width, own.cut_height)
            case facts.Measure.OTHERS:
                return ", ".join(self._fabric(fabric) for fabric in ground.also)
            case facts.Measure.WITHDRAWN:
                gaps = self.changes.gaps[worked is self.changes.new]
                told = [self._gap(gap, ground.fabric.over) for gap in gaps]
                return self.semicolons(told or [""])
            case facts.Measure.WORKING:
                return self._working(worked.design.working)
            case facts.Measure.OWN_WORKING:
                return self.semicolons(
                    [
                        f"{way.thread.label}: {trade.thread_way(self.words, way)}"
                        for way in worked.design.working.otherwise
                    ]
                    or [""]
                )
            case facts.Measure.KINDS:
                return self.semicolons(
                    [self._kind(each) for each in trade.of_a_kind(worked.design.threads)] or [""]
                )
            case facts.Measure.STOCK:
                return ", ".join(f"{name} {version}" for name, version in worked.design.stock)
            case facts.Measure.PAGES:
                return self._paging(worked.design.paging)
            case _:
                assert_never(what)

    def _kind(self, thread: Thread) -> str:
        told = f"{thread.label}: {trade.thread_kind(self.words, thread)}"
        return f"{told} ({' '.join(thread.colours)})" if thread.colours else told

    def withdrawn(self, old: Gap | None, new: Gap | None) -> str:
        """Return what threads were withdrawn somewhere, and are now; None where none are."""
        charts = self.changes.old, self.changes.new
        texts = [
            "" if gap is None else self._gap(gap, worked.design.ground.fabric.over)
            for gap, worked in zip((old, new), charts, strict=True)
        ]
        return self.replaced(Restated(self.gettext(facts.Measure.WITHDRAWN), *texts))

    def _gap(self, gap: Gap, over: int) -> str:
        x0, y0, x1, y1 = (each / over for each in gap.box)
        values = {
            "count": self.whole(gap.number),
            "first": self.point((x0, y0)),
            "last": self.point((x1, y1)),
        }
        match gap.threads:
            case Threads.ROWS:
                return self.gettext("%(count)s across, %(first)s to %(last)s", **values)
            case Threads.COLUMNS:
                return self.gettext("%(count)s down, %(first)s to %(last)s", **values)
            case _:
                assert_never(gap.threads)

    def _fabric(self, fabric: Fabric) -> str:
        """Return a fabric: as the source has it where signs are typed, else as the trade says."""
        return fabric.written if self.signs.typed else trade.fabric(self.words, fabric)

    def _paging(self, paging: Paging) -> str:
        told = []
        match paging.orientation:
            case Orientation.PORTRAIT:
                told.append(self.gettext("portrait"))
            case Orientation.LANDSCAPE:
                told.append(self.gettext("landscape"))
            case None:
                pass
            case _:
                assert_never(paging.orientation)
        if paging.overlap is not None:
            told.append(self.gettext("overlap %(crosses)s", crosses=self.whole(paging.overlap)))
        for each in sorted(paging.breaks, key=lambda each: each.before):
            number = self.whole(each.before)
            match each.axis:
                case Axis.ROW:
                    told.append(self.gettext("a page begins with row %(number)s", number=number))
                case Axis.COLUMN:
                    told.append(self.gettext("a page begins with column %(number)s", number=number))
                case _:
                    assert_never(each.axis)
        return self.semicolons(told or [""])

    def _working(self, working: Working) -> str:
        match working.method:
            case Method.ROWS:
                how = self.gettext("rows there and back")
            case Method.EACH:
                how = self.gettext("each cross finished")
            case _:
                assert_never(working.method)
        cm = self.words.figures.cm
        return self.gettext(
            "%(how)s, needlefuls of %(needleful)s cm, tails of %(tail)s cm, carried up to "
            "%(carry)s cm, slipped up to %(slip)s cm, %(bare)s crosses behind bare fabric, "
            "%(reserve)s%% in reserve",
            how=how,
            needleful=cm(working.needleful),
            tail=cm(working.tail),
            carry=cm(working.carry),
            slip=cm(max(working.slip, working.carry)),
            bare=round(working.bare),
            reserve=round(100 * working.reserve),
        )


def _as_written(colourway: Colourway | None) -> str:
    """Return a colourway as the source has it."""
    if colourway is None:
        return ""
    lines = [
        key_line(change.symbol, [Part(Kind.FULL, needle) for needle in change.needles])
        for change in colourway.changes
    ]
    return f'"{colourway.title}": {"; ".join(lines)}'
