"""Threads, stitches and places of two charts in the words of a language.

Rows and columns count from 1 at the top left, as the numbers along the chart do: column 10 ends at
the line marked 10. A position such as 20,14 is the grid lines themselves, as in the source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, reduce

from ..core.items import Box
from ..core.key import KeyEntry, Part, Thread
from ..core.saying import to_count
from ..i18n import trade
from ..i18n.figures import NO_BREAK
from ..i18n.wording import Wording, wording
from ..stitches.kinds import ASSUMED, STITCHES
from .changes import Changes, Sort, Stitches, TurnWords
from .keys import thread_name

MOST_PLACES = 6  # named one by one; of the others only the number
MOST_SQUARES = 24  # the same of places on a printed chart
_CROSSES = to_count("%(count)s cross", "%(count)s crosses")  # whole ones need not be called so
_PARTED = to_count("%(count)s cross of two part stitches", "%(count)s crosses of two part stitches")


@dataclass(frozen=True)
class Signs:
    """What stands between two figures, and between what was and what is.

    typed: whether only what a keyboard has may be used, and the terms of the notation.
    """

    to: str
    becomes: str
    typed: bool


TERMINAL = Signs("-", "->", typed=True)
PRINT = Signs("\N{EN DASH}", "\N{RIGHTWARDS ARROW}", typed=False)


class Phrases:
    """Names what two charts are made of."""

    def __init__(self, changes: Changes, words: Wording, signs: Signs) -> None:
        self.changes = changes
        self.words = words
        self.signs = signs

    # --- the language ---

    def gettext(self, message: str, /, **values: object) -> str:
        """Return a message in the language, with its values filled in."""
        return self.words.gettext(message, **values)

    def ngettext(self, singular: str, plural: str, number: int, /, **values: object) -> str:
        """Return the message for so many, which stands in it as `count`."""
        return self.words.ngettext(singular, plural, number, count=self.whole(number), **values)

    def whole(self, number: int) -> str:
        """Return a whole number with its thousands apart."""
        return self.words.figures.whole(number)

    def both(self, one: str, other: str) -> str:
        """Return two things: `one and other`; either alone where the other is empty."""
        if not (one and other):
            return one or other
        return self.gettext("%(one)s and %(other)s", one=one, other=other)

    def listed(self, things: Sequence[str], most: int) -> str:
        """Return things one after the other, of more than so many the first and their number."""
        if len(things) > most + 1:
            return self.first(things, most, ", ")
        return self.both(", ".join(things[:-1]), things[-1]) if things else ""

    def first(self, things: Sequence[str], most: int, between: str) -> str:
        """Return so many of some things, and the number of the others."""
        told = between.join(things[:most])
        if len(things) <= most:
            return told
        number = self.whole(len(things) - most)
        return self.gettext("%(listed)s and %(number)s more", listed=told, number=number)

    def colon(self, what: str, told: str) -> str:
        """Return something with what is told of it after a colon."""
        return self.gettext("%(what)s: %(told)s", what=what, told=told)

    def semicolons(self, told: Sequence[str]) -> str:
        """Return what is told with semicolons between."""
        return reduce(
            lambda one, other: self.gettext("%(one)s; %(other)s", one=one, other=other), told
        )

    def change(self, before: str, after: str) -> str:
        """Return what was and what is."""
        return f"{before} {self.signs.becomes} {after}"

    def quoted(self, text: str) -> str:
        """Return a text in the quotation marks of the language, or that there is none."""
        return self.gettext("“%(text)s”", text=text) if text else self.gettext("none")

    def plain(self, text: str) -> str:
        """Return a size as it can be typed, if it has to be."""
        return text.replace(NO_BREAK, " ").replace("×", "x") if self.signs.typed else text

    # --- threads and stitches ---

    @cached_property
    def _names(self) -> dict[str, int]:
        """How many threads of both charts share a name."""
        threads = {
            thread_name(strands.thread): strands.thread.name
            for worked in (self.changes.old, self.changes.new)
            for entry in worked.design.key
            for part in entry.parts
            for strands in part.needle
        }
        names = list(threads.values())
        return {name: names.count(name) for name in names}

    def thread(self, thread: Thread) -> str:
        """Return a thread by its name, or by range and code where the name does not tell it."""
        if thread.name and self._names.get(thread.name, 0) < 2:
            return thread.name
        return thread.label

    def thread_in_full(self, thread: Thread) -> str:
        """Return a thread by range, code and name."""
        return f"{thread.label} {thread.name}" if thread.code and thread.name else thread.label

    def together(self, threads: Sequence[str]) -> str:
        """Return the threads of one needle."""
        told, *others = dict.fromkeys(threads)
        for other in others:
            told = self.gettext("%(one)s with %(other)s", one=told, other=other)
        return told

    def threads(self, index: int, *, new: bool) -> str:
        """Return the threads of a key line."""
        needles = [
            self.together([self.thread(strands.thread) for strands in part.needle])
            for part in self.entry(index, new=new).parts
        ]
        told, *others = dict.fromkeys(needles)
        for other in others:
            told = self.both(told, other)
        return told

    def entry(self, index: int, *, new: bool) -> KeyEntry:
        """Return a line of the key."""
        return (self.changes.new if new else self.changes.old).entry(index)

    def counted(self, index: int, number: int, *, new: bool) -> str:
        """Return so many stitches of a key line: `14 crosses`."""
        parts = self.entry(index, new=new).parts
        if parts[0].stitch is not None:
            name = trade.stitch_name(self.words, parts[0].stitch)
            many = self.whole(number)
            return self.plain(self.gettext("%(count)s × %(stitch)s", count=many, stitch=name))
        forms = _CROSSES if parts[0].kind is ASSUMED else STITCHES[parts[0].kind].counted
        if len(parts) > 1:
            forms = _PARTED
        return self.words.ngettext(*forms, number, count=self.whole(number))

    def crosses(self, number: int) -> str:
        """Return so many crosses."""
        return self.words.ngettext(*_CROSSES, number, count=self.whole(number))

    def _strands(self, part: Part) -> str:
        return self.ngettext(
            "%(count)s strand", "%(count)s strands", sum(each.strands for each in part.needle)
        )

    def _how(self, index: int, *, new: bool) -> str:
        """Return how a key line is worked, apart from its thread."""
        told = ""
        for part in self.entry(index, new=new).parts:
            told = self.both(told, f"{trade.stitch(self.words, part)}, {self._strands(part)}")
        return told

    def in_key(self, index: int, *, new: bool) -> str:
        """Return a key line in full: threads by code and name, and how they are worked."""
        told = []
        for part in self.entry(index, new=new).parts:
            threads = self.together(
                [self.thread_in_full(strands.thread) for strands in part.needle]
            )
            kind = "" if part.kind == ASSUMED else f", {trade.stitch(self.words, part)}"
            told.append(f"{threads}{kind}, {self._strands(part)}")
        return " + ".join(told)

    def stitches(self, cells: Stitches) -> str:
        """Return what changed in so many cells: `14 crosses madder -> flax`."""
        number = cells.number
        if not cells.old:
            after = f"{self.counted(cells.new, number, new=True)} "
            return self.added(after + self.threads(cells.new, new=True))
        counted = self.counted(cells.old, number, new=False)
        before = self.threads(cells.old, new=False)
        if not cells.new:
            return self.removed(f"{counted} {before}")
        after = self.threads(cells.new, new=True)
        if before == after:
            ways = self._how(cells.old, new=False), self._how(cells.new, new=True)
            return self.colon(f"{counted} {before}", self.change(*ways))
        now = self.counted(cells.new, number, new=True)
        return f"{counted} {self.change(before, after if now == counted else f'{now} {after}')}"

    def added(self, what: str) -> str:
        """Return that something was added."""
        return self.gettext("%(what)s added", what=what)

    def removed(self, what: str) -> str:
        """Return that something was removed."""
        return self.gettext("%(what)s removed", what=what)

    # --- places ---

    def rows_columns(self, box: Sequence[float]) -> str:
        """Return whole cells by row and column: `rows 44-46, columns 81-92`."""
        (left, right), (top, bottom) = ((round(box[at]) + 1, round(box[at + 2])) for at in (0, 1))
        across, down = f"{left}{self.signs.to}{right}", f"{top}{self.signs.to}{bottom}"
        rows = self.gettext("rows %(rows)s", rows=down)
        if top >= bottom:
            rows = self.gettext("row %(row)s", row=top)
        columns = self.gettext("columns %(columns)s", columns=across)
        if left >= right:
            columns = self.gettext("column %(column)s", column=left)
        return f"{rows}, {columns}"

    def cells(self, box: Box) -> str:
        """Return where something lies: rows and columns, or its corner if it is off the grid.

        In print the squares that it lies in, also if it fills them only in part.
        """
        if all(line == round(line) for line in box):
            return self.rows_columns(box)
        if self.signs.typed:
            return f"at {self.point(box)}"
        return self.rows_columns(_squares(box))

    def point(self, at: Sequence[float]) -> str:
        """Return a position: in English as the source writes it, `20,14`, `40.5,80`."""
        x, y = (self.words.figures.figure(each) for each in at[:2])
        return self.words.pgettext("a place", "%(x)s,%(y)s", x=x, y=y)

    def corners(self, boxes: Sequence[Box | None]) -> str:
        """Return where things stand, by their upper left corners."""
        return self.listed([self.point(box) for box in boxes if box is not None], MOST_PLACES)

    def squares(self, boxes: Sequence[Box | None], most: int = MOST_SQUARES) -> str:
        """Return the rows and columns of some places, each once where all cross all others."""
        places = [_squares(box) for box in boxes if box is not None]
        across, down = ([(box[at], box[at + 2]) for box in places] for at in (0, 1))
        if len(places) < len(set(across)) * len(set(down)):
            return self.first([self.rows_columns(place) for place in places], most, "; ")
        columns, rows = (
            self.listed([self._stretch(*each) for each in _joined(ends)], most)
            for ends in (across, down)
        )
        told = self.gettext("rows %(rows)s", rows=rows)
        if rows.isdecimal():
            told = self.gettext("row %(row)s", row=rows)
        if columns.isdecimal():
            return f"{told}, {self.gettext('column %(column)s', column=columns)}"
        return f"{told}, {self.gettext('columns %(columns)s', columns=columns)}"

    def _stretch(self, start: int, end: int) -> str:
        return f"{start + 1}{self.signs.to}{end}" if end > start + 1 else str(end)

    def by(self, by: Sequence[float]) -> str:
        """Return a way in words: `3 columns to the right and 1 row down`."""
        x, y = by
        across, down = ({"count": self.words.figures.figure(abs(each))} for each in by)
        columns, rows = _whole(x), _whole(y)
        to_side = up_or_down = ""
        if x > 0:
            to_side = self.words.ngettext(
                "%(count)s column to the right", "%(count)s columns to the right", columns, **across
            )
        elif x < 0:
            to_side = self.words.ngettext(
                "%(count)s column to the left", "%(count)s columns to the left", columns, **across
            )
        if y > 0:
            up_or_down = self.words.ngettext(
                "%(count)s row down", "%(count)s rows down", rows, **down
            )
        elif y < 0:
            up_or_down = self.words.ngettext("%(count)s row up", "%(count)s rows up", rows, **down)
        return self.both(to_side, up_or_down)

    # --- things placed ---

    def thing(self, sort: Sort, name: str, number: int) -> str:
        """Return what a thing is called, with the number of its copies if there are more."""
        if sort is Sort.TEXT:
            return self.gettext("the text “%(text)s”", text=name)
        if not name:
            return self.ngettext("an area", "%(count)s areas", number)
        motif = self.motif(name)
        if number == 1:
            return motif
        return self.gettext("%(motif)s (%(count)s copies)", motif=motif, count=self.whole(number))

    def motif(self, name: str) -> str:
        """Return what a motif is called."""
        return self.words.pgettext("a motif", "%(name)s", name=name)

    def turn(self, turn: TurnWords, over: int) -> str:
        """Return how a thing was turned, empty if it was not; over: threads that it spans now."""
        return self.gettext(turn, over=over) if turn is not TurnWords.NOT else ""


def _squares(box: Sequence[float]) -> tuple[int, int, int, int]:
    """Return the squares of the chart that a box lies in, as a box; of a point the next square."""
    x, y = math.floor(box[0]), math.floor(box[1])
    return x, y, max(math.ceil(box[2]), x + 1), max(math.ceil(box[3]), y + 1)


def _joined(stretches: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return stretches in order, those that touch as one."""
    joined: list[tuple[int, int]] = []
    for start, end in sorted(set(stretches)):
        if joined and start <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(end, joined[-1][1])
        else:
            joined.append((start, end))
    return joined


def _whole(value: float) -> int:
    """Return a whole number that asks for the same form of a word."""
    return math.ceil(abs(value)) if abs(value) > 1 else math.floor(abs(value))


def in_terminal() -> tuple[Wording, Signs]:
    """Return how the terminal and data for programs speak: English, in signs that can be typed."""
    return wording("en-GB"), TERMINAL


def in_print(changes: Changes) -> tuple[Wording, Signs]:
    """Return how sheets and pictures speak: the language of the new chart."""
    return wording(changes.new.design.booklet.language), PRINT
