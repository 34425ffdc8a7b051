"""Where things were placed: a pair about the middle that stands one cross off."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from ...compose.misplaced import place
from ...compose.turning import Turn
from ...compose.worked import Placed, WorkedChart
from ...core.diagnostics import Hint
from ...core.model import Placement
from ..checking import Fault

MOST_COPIES = 6  # of one motif: of more, no two are a pair


def _off_centre(worked: WorkedChart) -> Iterator[Fault]:
    single = {
        id(item.span): item
        for item in worked.design.chart.items
        if isinstance(item, Placement) and item.across * item.down == 1 and item.span is not None
    }
    motifs: dict[tuple[str, float], list[tuple[Placement, Placed]]] = {}
    for placed in worked.placed:
        item = single.get(id(placed.span))
        if item is not None:
            motifs.setdefault((item.motif, placed.cell), []).append((item, placed))
    for copies in motifs.values():
        if len(copies) <= MOST_COPIES:
            for (one, first), (other, second) in combinations(copies, 2):
                if _mirrored(one, other):
                    yield from _pair(worked, first, second)


def _mirrored(one: Placement, other: Placement) -> bool:
    """Tell whether one is the other seen in a mirror that stands upright between them."""
    lies, image = (Turn.of(each.mirror) for each in (one, other))
    return one.turns == other.turns == 0 and lies.then(Turn(flip=True)) == image


def _pair(worked: WorkedChart, first: Placed, second: Placed) -> Iterator[Fault]:
    aside = first.x + second.x + first.width - worked.width
    lower = second.y - first.y
    if {abs(aside), abs(lower)} != {0.0, 1.0}:
        return
    x = worked.width - first.x - first.width
    yield Fault(
        f"`{second.name}` stands at {place((second.x, second.y))}, one cross off the mirror image "
        f"of the other one, which would be at {place((x, first.y))}.",
        second.span,
        (Hint("the other one", first.span), "move one of them, unless it is meant"),
    )
