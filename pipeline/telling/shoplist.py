"""A plain shopping list, for a shop page or a message to a buyer."""

from __future__ import annotations

from collections.abc import Sequence

from ..binding.supplies import SizeRow
from ..counting.thread import ThreadUse
from ..model import Design
from .facts import Facts
from .wording import (
    cut_words,
    fabric_name,
    heading,
    many,
    number,
    put_ups,
    size_words,
    thread_words,
)

DYE_LOT = "Buy all of one colour at once, from one dye lot."


def as_list(facts: Facts) -> str:
    """Return what to buy, line by line."""
    design, row = facts.worked.design, facts.sizes[0]
    lines = [
        heading(design),
        f"Finished size on {fabric_name(row.size.fabric)}: {size_words(row.size)}",
        "",
        f"Fabric: {fabric_words(design, row)}",
        *_threads(facts.uses),
        *(
            f"Beads: {many(each.number, 'bead')}, {thread_words(each.bead)}"
            for each in facts.counts.beads
        ),
        *(f"Also: {each}" for each in design.booklet.needs),
    ]
    return "\n".join(lines) + "\n"


def fabric_words(design: Design, row: SizeRow) -> str:
    """Return the fabric to buy, with its colour and the size of the piece."""
    colour = design.ground.colour_name
    name = fabric_name(row.size.fabric) + (f", {colour}" if colour else "")
    return f"{name}, at least {cut_words(row.size)}"


def _threads(uses: Sequence[ThreadUse]) -> list[str]:
    if not uses:
        return []
    lines = [
        f"  {use.buy} x {thread_words(use.thread)} "
        f"({use.thread.put_up} of {number(use.thread.metres)} m)"
        for use in uses
    ]
    several = [f"  {DYE_LOT}"] if any(use.buy > 1 for use in uses) else []
    return [f"Thread: {put_ups(uses)}", *lines, *several]
