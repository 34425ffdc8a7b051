"""What to do for those who have stitched past a change."""

from __future__ import annotations

from collections.abc import Sequence

from .differences import Stitches


def for_crosses(stitches: Sequence[Stitches]) -> str:
    """Return what to do where cells differ and are stitched already."""
    out = sum(each.number for each in stitches if each.old)
    into = sum(each.number for each in stitches if each.new)
    if not out:
        return f"The fabric is bare there: {_add(into)} at any time."
    if not into:
        return f"{crosses(out)} too many: take {_them(out)} out. Nothing takes their place."
    if all(each.old and each.new for each in stitches):
        return (
            f"If {'it is' if out == 1 else 'they are'} stitched already, "
            f"leaving {_them(out)} disturbs nothing around; to match the new edition, take "
            f"{_them(out)} out and stitch anew."
        )
    return f"Take out {crosses(out)} and stitch {into:,}."


def for_lines(added: bool, removed: bool) -> str:
    """Return what to do where lines, knots or beads came or went."""
    if added and removed:
        return "If it is worked already, take it out and work it anew."
    if added:
        return "It lies over the crosses: it can be added at any time."
    return "If it is worked already, take it out; the crosses below stay."


def _add(number: int) -> str:
    return "add the cross" if number == 1 else f"add the {number:,} crosses"


def crosses(number: int) -> str:
    """Return so many crosses in words."""
    return "1 cross" if number == 1 else f"{number:,} crosses"


def _them(number: int) -> str:
    return "it" if number == 1 else "them"
