"""What goes into a kit, and what to order and to cut for so many of them; as JSON and CSV too."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..booklet.supplies import needles
from ..core.ground import Fabric
from ..core.key import Thread
from ..count.size import pierced
from ..count.thread import ThreadUse
from ..i18n.figures import rounded_up
from ..i18n.wording import wording
from .exchange import Table, about, cell, named, told_of
from .facts import Facts
from .roll import METRIC, YARDS, Plan, plan

_SLIP = 1e-9  # of a length
KIT_HEADER = (
    "what",
    "range",
    "code",
    "name",
    "colour",
    "in_each_kit",
    "in_all_kits",
    "width_mm",
    "length_mm",
    "put_up_strands",
    "put_up",
    "put_up_m",
    "put_ups_to_buy",
    "roll_width_mm",
    "roll_length_to_buy_mm",
)


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
    the coarsest first. sharp: whether one to pierce the fabric is needed too. beads: how many of
    each in one kit, with some to spare.
    """

    facts: Facts
    kits: int
    piece: tuple[float, float]
    turn: bool
    cloth: Plan | None
    threads: tuple[Lengths, ...]
    needles: tuple[int, ...]
    sharp: bool
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
        bool(pierced(worked, fabric)),
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


def kit_table(kit: Kit) -> Table:
    """Return a line for the fabric, then for each thread, needle, bead, need and the booklet.

    In the order of KIT_HEADER. Of the fabric the length is the height of the piece; of a thread,
    what is cut at a time. The size of a tapestry needle stands as its code.
    """
    ground = kit.facts.worked.design.ground
    cloth = kit.cloth
    rolled = ["", ""] if cloth is None else [_mm(cloth.roll), _mm(cloth.buy)]
    colour_name = f", {ground.colour_name}" if ground.colour_name else ""
    fabric = ("", "", kit.fabric.written + colour_name, ground.colour)
    rows = [_row("fabric", fabric, 1, kit.kits, *map(_mm, kit.piece), "", "", "", "", *rolled)]
    for each in kit.threads:
        thread = each.thread
        sold = (thread.strands, cell(thread.put_up), f"{thread.metres:g}", each.put_ups)
        rows.append(
            _row("thread", named(thread), each.number, kit.kits, "", _mm(each.length), *sold)
        )
    for size in kit.needles:
        rows.append(_row("tapestry needle", ("", str(size), "", ""), 1, kit.kits))
    if kit.sharp:
        rows.append(_row("sharp needle", ("", "", "", ""), 1, kit.kits))
    if kit.beads:
        rows.append(_row("beading needle", ("", "", "", ""), 1, kit.kits))
        rows.append(_row("sewing thread", ("", "", "", ""), 1, kit.kits))
    rows += [_row("bead", named(bead), number, kit.kits) for bead, number in kit.beads]
    rows += [_row("need", ("", "", each, ""), 1, kit.kits) for each in kit.needs]
    rows.append(_row("booklet", ("", "", "", ""), 1, kit.kits))
    return rows


def _row(
    what: str, called: tuple[str, str, str, str], number: int, kits: int, *rest: str | int
) -> list[str | int]:
    row = [what, *map(cell, called), number, number * kits, *rest]
    return [*row, *[""] * (len(KIT_HEADER) - len(row))]


def _mm(length: float) -> str:
    return f"{length:.2f}".rstrip("0").rstrip(".")


def kit_data(kit: Kit) -> dict[str, object]:
    """Return all of it as plain data for JSON."""
    ground, width, height = kit.facts.worked.design.ground, *kit.piece
    return {
        **about(kit.facts),
        "kits": kit.kits,
        "cloth": {
            "colour_name": ground.colour_name,
            "piece_width_mm": round(width, 6),
            "piece_height_mm": round(height, 6),
            "pieces": kit.kits,
            "may_be_turned": kit.turn,
            "roll": None if kit.cloth is None else _plan(kit.cloth),
        },
        "threads": [
            {
                **told_of(each.thread),
                "lengths_in_each_kit": each.number,
                "lengths": each.number * kit.kits,
                "length_mm": round(each.length, 6),
                "put_up_strands": each.thread.strands,
                "put_up": each.thread.put_up,
                "put_up_m": each.thread.metres,
                "lengths_from_one_put_up": each.each,
                "put_ups_to_buy": each.put_ups,
                "lengths_left_over": each.put_ups * each.each - each.number * kit.kits,
            }
            for each in kit.threads
        ],
        "tapestry_needles": [{"size": each, **_numbers(1, kit.kits)} for each in kit.needles],
        "sharp_needles": _numbers(int(kit.sharp), kit.kits),
        "beading_needles": _numbers(int(bool(kit.beads)), kit.kits),
        "sewing_threads": _numbers(int(bool(kit.beads)), kit.kits),
        "beads": [{**told_of(bead), **_numbers(number, kit.kits)} for bead, number in kit.beads],
        "needs": [{"what": each, **_numbers(1, kit.kits)} for each in kit.needs],
        "booklets": _numbers(1, kit.kits),
    }


def _numbers(number: int, kits: int) -> dict[str, int]:
    return {"in_each_kit": number, "in_all_kits": number * kits}


def _plan(cloth: Plan) -> dict[str, object]:
    return {
        "width_mm": round(cloth.roll, 6),
        "strips": [
            {
                "number": each.number,
                "height_mm": round(each.along, 6),
                "pieces_side_by_side": each.side_by_side,
                "width_of_each_mm": round(each.across, 6),
                "turned": each.turned,
                "left_at_the_side_mm": round(cloth.beside(each), 6),
            }
            for each in cloth.strips
        ],
        "strips_length_mm": round(cloth.length, 6),
        "straightening_mm": round(cloth.measures.straighten, 6),
        "length_to_buy_mm": round(cloth.buy, 6),
        "left_at_the_end_mm": round(cloth.left, 6),
        "spare_pieces": cloth.spare,
    }
