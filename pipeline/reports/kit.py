"""What goes into a kit, and what to order and to cut for so many of them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..booklet.supplies import needles
from ..core.model import Fabric, Thread
from ..count.thread import ThreadUse
from ..i18n.figures import rounded_up
from ..i18n.wording import wording
from .facts import Facts
from .roll import METRIC, YARDS, Plan, plan

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


@dataclass(frozen=True)
class Kit:
    """One kit, and what so many of them take.

    piece: width and height of the fabric to cut, in mm. turn: whether it may lie turned on the
    roll. cloth: how it is cut from one, if a roll was named. needles: sizes of tapestry needles,
    the coarsest first. beads: how many of each in one kit, with some to spare.
    """

    facts: Facts
    kits: int
    piece: tuple[float, float]
    turn: bool
    cloth: Plan | None
    threads: tuple[Lengths, ...]
    needles: tuple[int, ...]
    beads: tuple[tuple[Thread, int], ...]

    @property
    def fabric(self) -> Fabric:
        """The fabric that the kit is for."""
        return self.facts.sizes[0].size.fabric

    @property
    def needs(self) -> tuple[str, ...]:
        """What else the chart says that is needed."""
        return self.facts.worked.design.booklet.needs


def kit_of(facts: Facts, kits: int, roll: float | None = None) -> Kit:
    """Return what a kit holds and what so many take.

    roll: width in mm of the roll that the fabric is cut from, without selvedges.

    Raises:
        TooNarrow: when no piece lies on the roll.
    """
    worked, size = facts.worked, facts.sizes[0].size
    inches_first = wording(worked.design.booklet.language).inches_first
    measures = YARDS if inches_first else METRIC
    reserve, fabric = worked.design.working.reserve, size.fabric
    width, height = (rounded_up(each, measures.cut) for each in (size.cut_width, size.cut_height))
    turn = fabric.count_x == fabric.count_y
    return Kit(
        facts,
        kits,
        (width, height),
        turn,
        None if roll is None else plan((width, height), kits, roll, measures, turn=turn),
        tuple(lengths(use, reserve, kits) for use in facts.uses),
        needles(worked, fabric),
        tuple((each.bead, spare_beads(each.number, reserve)) for each in facts.counts.beads),
    )


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
