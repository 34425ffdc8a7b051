"""What changed in the key and in what is to be bought, in words."""

from __future__ import annotations

from collections.abc import Sequence

from ..i18n import trade
from . import changes as kinds
from .particulars import Particulars


class Supplies(Particulars):
    """Tells of lines of the key, threads and beads."""

    def key_change(self, change: kinds.KeyChange) -> str:
        """Return what changed in one line of the key."""
        many = self.ngettext("%(count)s stitch", "%(count)s stitches", change.number)
        if not change.old:
            now = self.in_key(change.new, new=True)
            return self.gettext("new, %(what)s; %(stitches)s", what=now, stitches=many)
        was = self.in_key(change.old, new=False)
        if not change.new:
            return self.gettext("no longer there, was %(what)s", what=was)
        before = self.changes.old.entry(change.old)
        after = self.changes.new.entry(change.new)
        now = self.in_key(change.new, new=True)
        told = []
        if "symbol" in change.what:
            told.append(self.gettext("now %(symbol)s", symbol=after.symbol))
        if "stitch" in change.what and was == now:
            told += [self.gettext("%(what)s, worked another way", what=now), many]
        elif "stitch" in change.what or "name" in change.what:
            told += [self.change(was, now), many]
        elif "symbol" in change.what:
            told.append(now)
        if "note" in change.what:
            notes = self.change(self.quoted(before.note), self.quoted(after.note))
            told.append(self.gettext("note %(change)s", change=notes))
        if "printed" in change.what:
            chosen = self.gettext("chosen automatically")
            shapes = self.change(before.printed or chosen, after.printed or chosen)
            told.append(self.gettext("printed symbol %(change)s", change=shapes))
        return self.semicolons(told)

    def key_line(self, change: kinds.KeyChange) -> str:
        """Return the same after the symbol or word that the line had, or has if it is new."""
        worked = self.changes.old if change.old else self.changes.new
        return f"{worked.entry(change.old or change.new).symbol}: {self.key_change(change)}"

    def tally(self, change: kinds.Tally) -> str:
        """Return what is to be bought of a thread, or how many beads, and what was before."""
        thread = self.thread_in_full(change.thread)
        if change.bought is None:
            return self.colon(thread, self.change(*map(self.whole, change.stitches)))
        was, now = change.bought
        before, after = (self._put_ups(change, number) for number in change.bought)
        if not now:
            return self.gettext(
                "%(thread)s: none instead of %(before)s", thread=thread, before=before
            )
        if not was:
            return self.gettext("%(thread)s: %(now)s, new", thread=thread, now=after)
        return self.gettext(
            "%(thread)s: %(now)s instead of %(before)s",
            thread=thread,
            now=after,
            before=self.whole(was),
        )

    def buy(self, tallies: Sequence[kinds.Tally]) -> str:
        """Return what those still have to buy who have bought for the old chart."""
        return self.gettext(
            "Buy in addition: %(threads)s. Take the same dye lot, if it can still be had.",
            threads=self._differing(tallies),
        )

    def left_over(self, tallies: Sequence[kinds.Tally]) -> str:
        """Return what those have too much of who have bought for the old chart."""
        return self.gettext("Not needed any more: %(threads)s.", threads=self._differing(tallies))

    def _differing(self, tallies: Sequence[kinds.Tally]) -> str:
        """Return how much more or less of some threads is to be bought."""
        return self.semicolons(
            [
                self.gettext(
                    "%(amount)s of %(thread)s",
                    amount=self._put_ups(each, abs(each.bought[1] - each.bought[0])),
                    thread=self.thread_in_full(each.thread),
                )
                for each in tallies
                if each.bought is not None
            ]
        )

    def _put_ups(self, change: kinds.Tally, number: int) -> str:
        if change.bead:
            return self.ngettext("%(count)s bead", "%(count)s beads", number)
        if change.thread.put_up == trade.SKEIN:
            return self.ngettext("%(count)s skein", "%(count)s skeins", number)
        return f"{self.whole(number)} × {change.thread.put_up}"
