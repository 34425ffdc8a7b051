"""What those who have stitched past a change can do: data first, then words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum, auto
from typing import assert_never

from .changes import Drawn, Moved, Spot, Stitches, Strayed
from .phrases import Phrases


class Do(Enum):
    """What can be done, by what has become of the place."""

    ADD = auto()  # crosses on bare fabric
    TAKE_OUT = auto()  # crosses where nothing comes
    LEAVE_OR_REPLACE = auto()  # crosses in other stitches
    REPLACE = auto()  # crosses, more or fewer than there were
    STITCH_ANY_TIME = auto()  # something new on bare fabric
    MAKE_ROOM = auto()  # for something new, by so many crosses
    MAY_STAY = auto()  # where it was before
    ALL_MAY_STAY = auto()  # several, where they were before
    MAY_GO = auto()  # what is left out and not replaced
    GIVE_WAY = auto()  # to what comes in its place
    ADD_LINES = auto()
    TAKE_OUT_LINES = auto()
    REPLACE_LINES = auto()
    ONE_THREAD = auto()  # for all of a line of the key
    MEASURE = auto()  # fabric that is cut already


@dataclass(frozen=True)
class Advice:
    """What to do; out, into: crosses to take out and to stitch. It may mean taking out stitches."""

    do: Do
    out: int = 0
    into: int = 0

    @property
    def unpicks(self) -> bool:
        """Whether stitches may have to be taken out."""
        return self.do not in _HARMLESS


_HARMLESS = {Do.ADD, Do.STITCH_ANY_TIME, Do.ADD_LINES, Do.MEASURE}


def for_crosses(stitches: Iterable[Stitches]) -> Advice:
    """Return what to do where cells differ and are stitched already."""
    changed = list(stitches)
    out = sum(each.number for each in changed if each.old)
    into = sum(each.number for each in changed if each.new)
    if not out:
        return Advice(Do.ADD, out, into)
    if not into:
        return Advice(Do.TAKE_OUT, out, into)
    if all(each.old and each.new for each in changed):
        return Advice(Do.LEAVE_OR_REPLACE, out, into)
    return Advice(Do.REPLACE, out, into)


def for_lines(drawn: Sequence[Drawn]) -> Advice:
    """Return what to do where lines, knots or beads came or went."""
    added = any(isinstance(each, Strayed) or each.new for each in drawn)
    removed = any(isinstance(each, Strayed) or each.old for each in drawn)
    if added and removed:
        return Advice(Do.REPLACE_LINES)
    return Advice(Do.ADD_LINES if added else Do.TAKE_OUT_LINES)


def for_moved(change: Moved, spots: Sequence[Spot]) -> Advice:
    """Return what to do with things that moved; spots: those of them that are spoken of."""
    if change.lines_only:
        return Advice(Do.REPLACE_LINES)
    if not all(spot.free for spot in spots):
        return Advice(Do.GIVE_WAY)
    return Advice(Do.MAY_STAY if len(change.spots) == 1 else Do.ALL_MAY_STAY)


def for_turned(spots: Sequence[Spot]) -> Advice:
    """Return what to do with things that stand as they stood, but turned."""
    return Advice(Do.MAY_STAY if all(spot.free for spot in spots) else Do.GIVE_WAY)


def for_removed(spots: Sequence[Spot]) -> Advice:
    """Return what to do with things that are left out."""
    return Advice(Do.MAY_GO if all(spot.free for spot in spots) else Do.GIVE_WAY)


def for_added(stitched: int) -> Advice:
    """Return what to do for something new; stitched: crosses that stood in its place."""
    return Advice(Do.MAKE_ROOM, stitched) if stitched else Advice(Do.STITCH_ANY_TIME)


def say(advice: Advice, phrases: Phrases) -> str:
    """Return advice in words."""
    match advice.do:
        case Do.ADD:
            return phrases.ngettext(
                "The fabric is bare there: add the cross at any time.",
                "The fabric is bare there: add the %(count)s crosses at any time.",
                advice.into,
            )
        case Do.TAKE_OUT:
            return phrases.ngettext(
                "%(count)s cross too many: take it out. Nothing takes its place.",
                "%(count)s crosses too many: take them out. Nothing takes their place.",
                advice.out,
            )
        case Do.LEAVE_OR_REPLACE:
            return phrases.ngettext(
                "If it is stitched already, leaving it disturbs nothing around; to match the new "
                "edition, take it out and stitch anew.",
                "If they are stitched already, leaving them disturbs nothing around; to match the "
                "new edition, take them out and stitch anew.",
                advice.out,
            )
        case Do.REPLACE:
            return phrases.gettext(
                "Take out %(out)s and stitch %(into)s.",
                out=phrases.crosses(advice.out),
                into=phrases.whole(advice.into),
            )
        case Do.STITCH_ANY_TIME:
            return phrases.gettext("The fabric is bare there: it can be stitched at any time.")
        case Do.MAKE_ROOM:
            return phrases.ngettext(
                "%(count)s cross that stood there before must be taken out for it.",
                "%(count)s crosses that stood there before must be taken out for it.",
                advice.out,
            )
        case Do.MAY_STAY:
            return phrases.gettext(
                "If it is stitched already it can stay: nothing else comes to lie there. Count "
                "what follows from the grid, not from it."
            )
        case Do.ALL_MAY_STAY:
            return phrases.gettext(
                "If all are stitched already they can stay: nothing else comes to lie there. If "
                "only some are, take these out, or the others will not stand in line with them. "
                "Count what follows from the grid, not from them."
            )
        case Do.MAY_GO:
            return phrases.gettext(
                "If it is stitched already it can stay, or be taken out: nothing replaces it."
            )
        case Do.GIVE_WAY:
            return phrases.gettext(
                "If it is stitched already, take it out: other stitches come to lie there."
            )
        case Do.ADD_LINES:
            return phrases.gettext("It lies over the crosses: it can be added at any time.")
        case Do.TAKE_OUT_LINES:
            return phrases.gettext("If it is worked already, take it out; the crosses below stay.")
        case Do.REPLACE_LINES:
            return phrases.gettext("If it is worked already, take it out and work it anew.")
        case Do.ONE_THREAD:
            return phrases.gettext(
                "Go on as you began, with enough thread for all of it, or take out what is "
                "stitched; both side by side would show."
            )
        case Do.MEASURE:
            return phrases.gettext(
                "If the fabric is cut already, see that enough is left around the stitched area."
            )
        case _:
            assert_never(advice.do)
