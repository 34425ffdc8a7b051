"""What `count` prints for people: a table of threads, a table of sizes, and what is assumed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import assert_never

from ..booklet.supplies import SizeRow
from ..compose.worked import WorkedChart
from ..core.counted import Counted
from ..core.ground import Fabric, Method, Working
from ..core.key import Kind
from ..core.model import Design
from ..count.count import count
from ..count.thread import estimate
from ..i18n.figures import NO_BREAK, cm, cut_cm, tenths, whole
from ..i18n.trade import thread_way
from ..i18n.wording import wording
from ..stitches.kinds import STITCHES, called
from .facts import Facts
from .phrasing import (
    LEFT,
    RIGHT,
    heading,
    many,
    number,
    over_words,
    put_up_called,
    put_up_heading,
    put_ups,
    size_words,
    table,
    thread_words,
)


def account(worked: WorkedChart, pages: int) -> str:
    """Return the short account that ends a build: pages, crosses, colours, skeins."""
    counts = count(worked)
    uses = estimate(worked, worked.design.ground.fabric)
    beads = sum(each.number for each in counts.beads)
    said = [
        many(pages, "page"),
        many(counts.crosses, "cross"),
        *([many(counts.counted, "counted stitch")] if counts.counted else []),
        many(len(counts.threads), "colour"),
        *([put_ups({use.thread: use.buy for use in uses})] if uses else []),
        *([many(beads, "bead")] if beads else []),
    ]
    return ", ".join(said) + "."


def as_text(facts: Facts) -> str:
    """Return the tables for a terminal."""
    worked, row = facts.worked, facts.sizes[0]
    strands = f" with {many(row.strands, 'strand')}" if facts.supposed else ""
    lines = [
        heading(worked.design),
        f"{whole(worked.width)} x {whole(worked.height)} crosses; {size_words(row.size)} "
        f"on {_cloth(row.size.fabric)}{strands}",
        "",
        *_threads(facts),
        *_total(facts),
        "",
        *_sizes(facts.sizes),
        *_elsewhere(facts.sizes),
        *_withdrawn(worked),
        "",
        *_lengths(facts),
        *_assumed(worked.design, beads=bool(facts.counts.beads)),
    ]
    return "\n".join(lines) + "\n"


def _cloth(fabric: Fabric) -> str:
    """Return a fabric with its count in the other measure, where it is counted by the cm."""
    counts = dict.fromkeys((fabric.count_x, fabric.count_y)) if fabric.per_cm else ()
    other = f" ({' x '.join(map(whole, counts))} to the inch)" if counts else ""
    return fabric.written + other


def _threads(facts: Facts) -> list[str]:
    rows = [
        (
            "thread",
            "name",
            "symbols",
            "stitches",
            f"{put_up_called(each.thread for each in facts.uses)} metres",
            put_up_heading(use.thread for use in facts.uses),
        )
    ]
    for counted, use in facts.threads:
        rows.append(
            (
                use.thread.label,
                use.thread.name if use.thread.code else "",
                facts.symbols(use.thread),
                whole(counted.number),
                tenths(use.undivided_metres),
                f"{tenths(use.skeins)} of {use.buy}",
            )
        )
    if len(rows) == 1:
        return []
    return [*table(rows, (LEFT, LEFT, LEFT, RIGHT, RIGHT, RIGHT)), ""]


def _total(facts: Facts) -> list[str]:
    counts = facts.counts
    parts = (
        (counts.crosses, "cross", ""),
        (counts.counted, "counted stitch", ""),
        (counts.line_stitches, "line stitch", ""),
        (counts.knots, "French knot", ""),
    )
    stitches = ", ".join(many(*each) for each in parts if each[0]) or "Nothing is stitched"
    buying = f"; {many(len(counts.threads), 'colour')}, {put_ups(facts.bought)} to buy"
    lines = [f"{stitches}{buying if facts.uses else ''}."]
    kinds = _kinds(facts)
    if len(kinds) > 1:
        lines.append(f"Worked as: {', '.join(kinds)}.")
    if counts.beads:
        beads = (
            f"{many(each.number, 'bead')}, {thread_words(each.bead)} "
            f"({facts.symbols(each.bead, beads=True)})"
            f"{f', sold as: {each.bead.put_up}' if each.bead.in_packages else ''}"
            for each in counts.beads
        )
        lines.append(f"Beads: {'; '.join(beads)}.")
    return lines


def _kinds(facts: Facts) -> list[str]:
    usual = facts.worked.design.ground.fabric.over
    totals: dict[tuple[Kind, int, Counted | None], int] = {}
    for each in facts.counts.entries:
        for part in each.entry.parts:
            if STITCHES[part.kind].bead or part.second:
                continue
            elsewhere = sum(worked for _, worked in each.other)
            for over, worked in ((usual, each.number - elsewhere), *each.other):
                which = part.kind, over, part.stitch
                totals[which] = totals.get(which, 0) + worked
    order = list(Kind)
    return [
        f"{whole(total)} {called(kind, stitch, total)}"
        f"{'' if over == usual else f' {over_words(over)}'}"
        for (kind, over, stitch), total in sorted(
            totals.items(), key=lambda each: (order.index(each[0][0]), -each[0][1])
        )
        if total
    ]


def _sizes(sizes: Sequence[SizeRow]) -> list[str]:
    uses = [use.thread for row in sizes for use in row.uses]
    rows = [("fabric", "per inch", "finished", "cut at least", "strands", put_up_heading(uses))]
    for each in sizes:
        size = each.size
        across, down = size.per_inch
        per_inch = number(across) if across == down else f"{number(across)} x {number(down)}"
        rows.append(
            (
                size.fabric.written
                + ("" if each.pieces else " *")
                + (" +" if each.pierced else ""),
                per_inch,
                f"{cm(size.width)} x {cm(size.height)} cm",
                f"{cut_cm(size.cut_width)} x {cut_cm(size.cut_height)} cm",
                str(each.strands),
                str(each.skeins),
            )
        )
    lines = table(rows, (LEFT, RIGHT, RIGHT, RIGHT, RIGHT, RIGHT))
    if not all(each.pieces for each in sizes):
        lines.append("* off-grid or over-one pieces cannot be worked on this fabric.")
    if any(each.pierced for each in sizes):
        lines.append("+ some stitches meet no hole of this fabric: pierce it with a sharp needle.")
    return lines


def _elsewhere(sizes: Sequence[SizeRow]) -> list[str]:
    """Return what else to buy on the other fabrics of the table."""
    own = {use.thread: use.buy for use in sizes[0].uses}
    lines = []
    for row in sizes[1:]:
        others = [use for use in row.uses if use.buy != own[use.thread]]
        if others:
            said = ", ".join(f"{use.buy} x {use.thread.label}" for use in others)
            lines.append(f"  {row.size.fabric.written}: {said}")
    return ["", "To buy where it differs:", *lines] if lines else []


def _withdrawn(worked: WorkedChart) -> list[str]:
    """Return how many threads of the fabric are withdrawn each way."""
    told = []
    for axis, way in enumerate(("across", "down")):
        numbers = [gap.number for gap in worked.gaps if gap.axis == axis]
        if numbers:
            told.append(f"{many(sum(numbers), 'thread')} {way} in {many(len(numbers), 'place')}")
    if not told:
        return []
    return ["", f"Withdrawn from the fabric: {', '.join(told)}; the cloth to cut includes them."]


def _lengths(facts: Facts) -> list[str]:
    """Say what the metres of the table are metres of."""
    if not facts.uses:
        return []
    whole = put_up_called(use.thread for use in facts.uses)
    return [f"Metres are of the whole {whole}, with all its strands, not of one strand."]


def _assumed(design: Design, *, beads: bool) -> list[str]:
    working, words = design.working, wording("en-GB")
    lines = [
        f"Thread: {_method(working)}, needlefuls of {cm(working.needleful)} cm, "
        f"tails of {cm(working.tail)} cm,",
        f"carried {cm(working.carry)} cm on the back, slipped under stitches at most "
        f"{cm(max(working.slip, working.carry))} cm,",
        f"{number(working.bare)} crosses behind bare fabric, {reserve(working)} in reserve.",
    ]
    for each in working.otherwise:
        way = thread_way(words, each).replace(NO_BREAK, " ")
        lines.append(f"{each.thread.label}: {way}.")
    if beads:
        lines.append("Beads are sewn on with sewing thread, which is not counted.")
    return lines


def reserve(working: Working) -> str:
    """Return the reserve as a percentage."""
    return f"{number(working.reserve * 100)} %"


def _method(working: Working) -> str:
    match working.method:
        case Method.ROWS:
            return "rows there and back"
        case Method.EACH:
            return "each cross finished"
        case _:
            assert_never(working.method)
