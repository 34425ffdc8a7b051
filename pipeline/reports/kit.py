"""What goes into a kit: lengths to cut of each colour, and the words for the thread card."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..booklet.supplies import needle_size
from ..core.model import Design, Thread
from ..count.size import Size
from ..count.thread import ThreadUse
from ..i18n.figures import cm, fixed, whole
from .facts import Facts
from .phrasing import (
    LEFT,
    RIGHT,
    cut_words,
    fabric_name,
    heading,
    many,
    put_up_heading,
    table,
    thread_words,
)

_SLIP = 1e-9  # of a length


@dataclass(frozen=True)
class Lengths:
    """The lengths of one thread in a kit, each with all strands of the put-up.

    length: of each in mm. number: in one kit, with the reserve. each: how many can be cut from
    one put-up. put_ups: whole ones to buy for all kits.
    """

    thread: Thread
    length: float
    number: int
    each: int
    put_ups: int


def lengths(use: ThreadUse, reserve: float, kits: int) -> Lengths:
    """Return the lengths to cut of a thread for so many kits.

    The stitcher takes single strands out of a length and lays as many together as the key says,
    whichever length they come from: so a kit holds strands for all needlefuls, and the reserve,
    divided by the strands of a length and rounded up. A length that the put-up is too short for
    is cut as long as the put-up.
    """
    thread = use.thread
    put_up = thread.metres * 1000
    length = min(use.longest, put_up)
    strands = use.strand_needlefuls * (1 + reserve) * use.longest / length
    number = max(1, math.ceil(strands / thread.strands - _SLIP))
    each = max(1, int(put_up / length + _SLIP))
    return Lengths(thread, length, number, each, math.ceil(number * kits / each))


def spare_beads(number: int, reserve: float) -> int:
    """Return how many beads go into a kit: with the reserve, one to spare at the least."""
    return number + max(1, math.ceil(number * reserve - _SLIP))


def _fabric(design: Design, size: Size) -> str:
    """Return the fabric, with its colour and the size of the piece."""
    colour = design.ground.colour_name
    name = fabric_name(size.fabric) + (f", {colour}" if colour else "")
    return f"{name}, at least {cut_words(size)}"


def as_kit(facts: Facts, kits: int = 1) -> str:
    """Return the cutting list of so many kits, and the words for the thread card."""
    worked, row = facts.worked, facts.sizes[0]
    working, fabric = worked.design.working, row.size.fabric
    cuts = [lengths(use, working.reserve, kits) for use in facts.uses]
    beads = [
        f"{many(spare_beads(each.number, working.reserve), 'bead')}, {thread_words(each.bead)}"
        for each in facts.counts.beads
    ]
    needles = f"a tapestry needle, size {needle_size(fabric)}"
    lines = [
        f"{heading(worked.design)}: {many(kits, 'kit')}",
        "",
        "In each kit",
        f"  {_fabric(worked.design, row.size)}",
        f"  {needles}{', and a beading needle' if beads else ''}",
        *_threads(cuts),
        *(f"  {each}" for each in beads),
        *_cutting(cuts, kits),
        *_card(cuts),
    ]
    return "\n".join(lines) + "\n"


def _threads(cuts: Sequence[Lengths]) -> list[str]:
    if not cuts:
        return []
    number = sum(each.number for each in cuts)
    return [
        f"  {many(number, 'length')} of thread in {many(len(cuts), 'colour')}, on a card",
    ]


def _cutting(cuts: Sequence[Lengths], kits: int) -> list[str]:
    if not cuts:
        return []
    sold = put_up_heading(each.thread for each in cuts)
    heads = ("no", "thread", "name", "lengths", "cm each", "metres")
    rows = [(*heads, sold if kits == 1 else f"{sold} for {kits:,} kits")]
    for no, each in enumerate(cuts, 1):
        rows.append(
            (
                str(no),
                each.thread.label,
                each.thread.name if each.thread.code else "",
                whole(each.number),
                cm(each.length),
                fixed(each.number * each.length / 1000, 1),
                whole(each.put_ups),
            )
        )
    return ["", *table(rows, (RIGHT, LEFT, LEFT, RIGHT, RIGHT, RIGHT, RIGHT))]


def _card(cuts: Sequence[Lengths]) -> list[str]:
    width = len(str(len(cuts)))
    lines = [
        f"  {no:{width}}  {thread_words(each.thread)}: {many(each.number, 'length')} of "
        f"{cm(each.length)} cm, {many(each.thread.strands, 'strand')}"
        for no, each in enumerate(cuts, 1)
    ]
    return ["", "For the thread card", *lines] if cuts else []
