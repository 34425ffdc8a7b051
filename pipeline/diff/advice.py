"""What those who have stitched past a change can do: data first, then words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum

from ..core.saying import to_count, to_say
from .changes import Drawn, Moved, Resewn, Spot, Stitches, Strayed
from .phrases import Phrases


class Do(Enum):
    """What can be done, in words; those for so many count the crosses to take out, or to add."""

    ADD = to_count(
        "The fabric is bare there: add the cross at any time.",
        "The fabric is bare there: add the %(count)s crosses at any time.",
    )
    TAKE_OUT = to_count(
        "%(count)s cross too many: take it out. Nothing takes its place.",
        "%(count)s crosses too many: take them out. Nothing takes their place.",
    )
    LEAVE_OR_REPLACE = to_count(
        "It can stay as it is without upsetting anything around it; to match the new edition, "
        "take it out and stitch it again.",
        "They can stay as they are without upsetting anything around them; to match the new "
        "edition, take them out and stitch them again.",
    )
    REPLACE = to_count(
        "Take out %(count)s cross and stitch %(into)s.",
        "Take out %(count)s crosses and stitch %(into)s.",
    )
    STITCH_ANY_TIME = to_say("The fabric is bare there: it can be stitched at any time.")
    MAKE_ROOM = to_count(
        "First take out the %(count)s cross that was there before.",
        "First take out the %(count)s crosses that were there before.",
    )
    MAY_STAY = to_say(
        "All of it or nothing. Finish it where you began it, for nothing else goes there, or "
        "take it out and follow the new chart. Count what follows from the grid, not from it."
    )
    ALL_MAY_STAY = to_say(
        "All of them or none. Finish them all where the old chart has them, for nothing else "
        "goes there, or take out those that are stitched and follow the new chart. Count what "
        "follows from the grid, not from them."
    )
    MAY_GO = to_count(
        "Leave it or take it out: nothing replaces it.",
        "Leave them or take them out: nothing replaces them.",
    )
    GIVE_WAY = to_count(
        "Take it out: other stitches go there.", "Take them out: other stitches go there."
    )
    CLEAR = to_say("First take out what was stitched there before.")
    ADD_LINES = to_say("It lies over the crosses: it can be added at any time.")
    TAKE_OUT_LINES = to_say("Take it out; the crosses under it stay.")
    REPLACE_LINES = to_say("Take it out and stitch it again as the new chart has it.")
    ONE_THREAD = to_say(
        "Go on as you began, if you have enough thread for all of it, or take out what is "
        "stitched; the two side by side would show."
    )
    WITHDRAW = to_say("Withdraw no more threads until you have compared: none can be put back.")


_HARMLESS = {Do.ADD, Do.STITCH_ANY_TIME, Do.MAY_STAY, Do.ADD_LINES, Do.WITHDRAW}


@dataclass(frozen=True)
class Advice:
    """What to do; number: the crosses that it counts, into: those to stitch in their place."""

    do: Do
    number: int = 0
    into: int = 0

    @property
    def unpicks(self) -> bool:
        """Whether stitches may have to be taken out."""
        return self.do not in _HARMLESS

    def say(self, phrases: Phrases) -> str:
        """Return it in words."""
        words = self.do.value
        if isinstance(words, str):
            return phrases.gettext(words)
        singular, plural = words
        return phrases.ngettext(singular, plural, self.number, into=phrases.whole(self.into))


def for_crosses(stitches: Iterable[Stitches], *, others: bool = False) -> Advice:
    """Return what to do where cells differ and are stitched already.

    others: whether counted stitches stood or stand there too.
    """
    changed = list(stitches)
    if others or not changed:
        return Advice(Do.REPLACE_LINES)
    out = sum(each.number for each in changed if each.old)
    into = sum(each.number for each in changed if each.new)
    if not out:
        return Advice(Do.ADD, into)
    if not into:
        return Advice(Do.TAKE_OUT, out)
    if all(each.old and each.new for each in changed):
        return Advice(Do.LEAVE_OR_REPLACE, out)
    return Advice(Do.REPLACE, out, into)


def for_drawn(drawn: Sequence[Drawn], *, others: bool = False) -> Advice:
    """Return what to do where lines, knots, beads or counted stitches came or went.

    others: whether something else stood or stands where counted stitches came or went.
    """
    if any(isinstance(each, Resewn) for each in drawn):
        if not any(each.old for each in drawn):
            return Advice(Do.CLEAR if others else Do.STITCH_ANY_TIME)
        if not any(each.new for each in drawn):
            many = sum(len(each.boxes) for each in drawn if isinstance(each, Resewn))
            return Advice(Do.GIVE_WAY if others else Do.MAY_GO, many)
        return Advice(Do.REPLACE_LINES)
    strayed = any(isinstance(each, Strayed) for each in drawn)
    if strayed or (any(each.new for each in drawn) and any(each.old for each in drawn)):
        return Advice(Do.REPLACE_LINES)
    return Advice(Do.ADD_LINES if any(each.new for each in drawn) else Do.TAKE_OUT_LINES)


def for_moved(change: Moved, spots: Sequence[Spot]) -> Advice:
    """Return what to do with things that moved; spots: those of them that are spoken of."""
    if change.lines_only:
        return Advice(Do.REPLACE_LINES)
    if not all(spot.free for spot in spots):
        return Advice(Do.GIVE_WAY, len(spots))
    return Advice(Do.MAY_STAY if len(change.spots) == 1 else Do.ALL_MAY_STAY)


def for_turned(spots: Sequence[Spot]) -> Advice:
    """Return what to do with things that stand as they stood, but turned."""
    free = all(spot.free for spot in spots)
    return Advice(Do.LEAVE_OR_REPLACE, len(spots)) if free else Advice(Do.GIVE_WAY, len(spots))


def for_removed(spots: Sequence[Spot]) -> Advice:
    """Return what to do with things that are left out."""
    free = all(spot.free for spot in spots)
    return Advice(Do.MAY_GO if free else Do.GIVE_WAY, len(spots))


def for_added(stitched: int, *, counted: bool = False) -> Advice:
    """Return what to do for something new.

    stitched: crosses that stood in its place; counted: whether counted stitches stood there.
    """
    if counted:
        return Advice(Do.CLEAR)
    return Advice(Do.MAKE_ROOM, stitched) if stitched else Advice(Do.STITCH_ANY_TIME)
