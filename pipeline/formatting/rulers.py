"""Rulers: a remark above a grid that counts its columns in fives.

A ruler stands right above a row, its `#` over the bar, so that each figure ends above the column
that it names:

    #....5...10.
    |mm..ssss..m|
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from enum import Enum
from functools import cache

STEP = 5  # columns from one figure to the next; narrower grids have no ruler
# Such a remark keeps a finding quiet on the line right below it, so nothing may come between.
_MEANT = re.compile(r"#[ \t]*meant[ \t]")


class Rulers(Enum):
    """What becomes of rulers.

    KEPT: those that are there stay, and are made as wide as their grid. ADDED: every grid of a
    motif or chart has one. NONE: they are taken out.
    """

    KEPT = "kept"
    ADDED = "added"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class OwnLineRemark:
    """A remark on a line of its own. blank: whether an empty line goes before it."""

    text: str
    blank: bool
    indented: bool


@cache
def ruler(width: int) -> str:
    """Return the ruler of a grid so many columns wide."""
    signs = ["."] * width
    for column in range(STEP, width + 1, STEP):
        figures = str(column)
        signs[column - len(figures) : column] = figures
    return "#" + "".join(signs)


def is_ruler(remark: str) -> bool:
    """Tell whether a remark is a ruler of any width."""
    return len(remark) > STEP and remark == ruler(len(remark) - 1)


def set_ruler(
    remarks: list[OwnLineRemark], blank: bool, width: int, is_first: bool, rulers: Rulers
) -> tuple[list[OwnLineRemark], bool]:
    """Take old rulers out of the remarks above a row, and put a new one in where it belongs.

    blank: whether an empty line goes before the row. is_first: whether it is the first row of its
    grid. Returns the remarks, and whether an empty line now goes before the row.
    """
    kept: list[OwnLineRemark] = []
    had, open_blank = False, False
    for remark in remarks:
        if is_ruler(remark.text):
            had, open_blank = True, open_blank or remark.blank
        else:
            kept.append(replace(remark, blank=remark.blank or open_blank))
            open_blank = False
    blank = blank or open_blank
    wanted = had if rulers is Rulers.KEPT else is_first and rulers is Rulers.ADDED
    if rulers is Rulers.ADDED and had:
        wanted = True
    if not wanted or width < STEP:
        return kept, blank
    made = ruler(width)
    if kept and not blank and _MEANT.match(kept[-1].text):
        last = kept[-1]
        return [
            *kept[:-1],
            OwnLineRemark(made, last.blank, True),
            replace(last, blank=False),
        ], False
    return [*kept, OwnLineRemark(made, blank, True)], False
