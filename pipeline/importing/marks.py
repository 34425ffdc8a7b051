"""Remarks of a chart about places of a part of it, as they are written into the source."""

from __future__ import annotations

import re
from dataclasses import dataclass

from ..core.matter import NoteKind
from ..formatting.spelling import quoted

Box = tuple[int, int, int, int]  # left, top, right, bottom in crosses, the last two not included
_CORNER = re.compile(r"([0-9]{1,4}),([0-9]{1,4})")


@dataclass(frozen=True)
class Whereabouts:
    """What the cells of a part count from: a named thing, empty for the chart; and how far off."""

    thing: str = ""
    x: int = 0
    y: int = 0


def whereabouts(shows: str) -> Whereabouts:
    """Return what cells of a part count from.

    shows: the part as in a chart, such as `chart`, `initials`, `initials 0,0 to 30,7`.
    """
    words = shows.split()
    thing = words[0] if words and words[0] != "chart" and not _CORNER.match(words[0]) else ""
    corner = next(filter(None, map(_CORNER.fullmatch, words)), None)
    return Whereabouts(thing, *map(int, corner.groups())) if corner else Whereabouts(thing)


def mark(kind: NoteKind, box: Box, words: str, part: Whereabouts = Whereabouts()) -> str:
    """Return the line of a chart that says something of cells of a part."""
    left, top, right, bottom = box
    within = f"in {part.thing} " if part.thing else ""
    corners = f"{left + part.x},{top + part.y} to {right + part.x},{bottom + part.y}"
    return f"{kind.value} {within}{corners} {quoted(words)}"
