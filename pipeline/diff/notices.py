"""Changes without a place, as a sheet of corrections lists them: key, thread, size, numbering."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..chart.symbols import choose
from ..i18n.figures import NO_BREAK
from ..i18n.trade import opening
from . import changes as kinds
from . import facts
from .advice import Advice, Do
from .changes import Changes
from .sentences import Teller
from .together import MOST_TOLD

MOST_ALIKE = 3  # copies of one thing that are shown one by one
_NO_FACTS = (
    facts.Measure.CHART,
    facts.Measure.OTHERS,
    facts.Measure.WORKING,
    facts.Measure.OWN_WORKING,
    facts.Measure.STOCK,
    facts.Measure.WITHDRAWN,  # told where they are
)
_CLOSING = "”“»’‘›" + NO_BREAK  # what may stand after the last words that are quoted


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


class Notices:
    """Tells of the changes between two charts that have no place."""

    def __init__(self, changes: Changes, teller: Teller) -> None:
        """Tell of some changes, in the words of a teller."""
        self.changes = changes
        self.teller = teller

    def every(self) -> tuple[Notice, ...]:
        """Return all notices that have anything to tell."""
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
        return tuple(notice for notice in notices if notice.told)

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
        return Notice(
            self.teller.gettext("Numbering"), sentences(self.teller, told), begun, when=when
        )

    def _key(self, changes: Sequence[kinds.KeyChange]) -> Iterator[Notice]:
        heading = self.teller.gettext("Key")
        told = [change for change in changes if change.other_stitches]
        for number, change in enumerate(told):
            # Of many the first says it for all of them.
            advised = change.what and (number == 0 or len(told) <= MOST_ALIKE)
            begun = Advice(Do.ONE_THREAD).say(self.teller) if advised else ""
            what = self.teller.key_change(change)
            when = self.teller.gettext("If you have stitched with it:")
            yield Notice(heading, (sentence(what),), begun, change.old, change.new, when)

    def _symbols(self, changes: Sequence[kinds.KeyChange]) -> Iterator[Notice]:
        """Give the key lines that are printed with another symbol and are otherwise the same."""
        old, new = choose(self.changes.old), choose(self.changes.new)
        told = {change.new for change in changes if change.other_stitches}
        for before, after in self.changes.pairs.partner.items():
            drawn = before in old and after in new and old[before] != new[after]
            if drawn and after not in told:
                what = self.teller.in_key(after, new=True)
                same = self.teller.gettext(
                    "%(what)s: another symbol for the same stitches", what=what
                )
                yield Notice(self.teller.gettext("Symbol"), (sentence(same),), "", before, after)

    def _colourways(self, changes: Sequence[facts.Recoloured]) -> Notice:
        told = [sentence(told) for change in changes if (told := self.teller.recoloured(change))]
        return Notice(self.teller.gettext("Other colourways"), tuple(told))

    def _thread(self, tallies: Sequence[kinds.Tally]) -> Notice:
        bought = [tally for tally in tallies if tally.bought and tally.bought[0] != tally.bought[1]]
        told = [sentence(self.teller.tally(each)) for each in bought]
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
        sentences = [sentence(text) for each in told for text in self.teller.told(each)]
        return Notice(
            self.teller.gettext("Size and fabric"),
            tuple(sentences),
            self.teller.already_cut() if facts.Measure.CUT in what else "",
            when=self.teller.gettext("If your fabric is already cut:"),
        )


def sentences(teller: Teller, told: Sequence[str]) -> tuple[str, ...]:
    """Return what is told as sentences, of a long list the first and the number of others."""
    shown = told[:MOST_TOLD] if len(told) > MOST_TOLD + 1 else told
    sentences = [sentence(each) for each in shown]
    if len(shown) < len(told):
        rest = len(told) - len(shown)
        sentences.append(teller.ngettext("%(count)s more change.", "%(count)s more changes.", rest))
    return tuple(sentences)


def sentence(told: str) -> str:
    """Return what is told as a sentence; one that ends in a quoted sentence ends with that."""
    bare = told.rstrip(_CLOSING)
    ended = bare != told and bare.endswith((".", "!", "?"))
    return opening(told) if ended else f"{opening(told)}."
