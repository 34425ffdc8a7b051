"""What `count` prints: a table for people, the same as CSV and JSON, and a shopping list."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .count import Counts, KindCount, ThreadCount, count
from .figures import cm, fixed, inches, whole
from .model import LINE_KINDS, POINT_KINDS, Fabric, Kind, Method, Working
from .size import Size
from .supplies import SizeRow, size_rows
from .thread import ThreadUse, estimate
from .worked import WorkedChart

_LEFT, _RIGHT = "<", ">"


@dataclass(frozen=True)
class _Facts:
    """Everything that any of the forms tells."""

    worked: WorkedChart
    counts: Counts
    uses: tuple[ThreadUse, ...]
    sizes: tuple[SizeRow, ...]

    @property
    def threads(self) -> list[tuple[ThreadCount, ThreadUse]]:
        """Counts and uses of each thread, in the order of the uses."""
        counted = {each.thread: each for each in self.counts.threads}
        return [(counted[use.thread], use) for use in self.uses]

    def symbols(self, use: ThreadUse) -> str:
        """The symbols and words of the key lines that a thread is used in."""
        entries = (each.entry for each in self.counts.entries)
        return " ".join(
            entry.symbol
            for entry in entries
            if any(use.thread == each.thread for part in entry.parts for each in part.needle)
        )


def _facts(worked: WorkedChart) -> _Facts:
    uses = estimate(worked, worked.design.ground.fabric)
    return _Facts(worked, count(worked), uses, size_rows(worked, uses))


def account(worked: WorkedChart, pages: int) -> str:
    """Return the short account that ends a build: pages, crosses, colours, skeins."""
    counts = count(worked)
    skeins = sum(use.buy for use in estimate(worked, worked.design.ground.fabric))
    said = [
        _many(pages, "page"),
        _many(counts.crosses, "cross", "crosses"),
        _many(len(counts.threads), "colour"),
        _many(skeins, "skein"),
    ]
    beads = sum(each.number for each in counts.beads)
    if beads:
        said.append(_many(beads, "bead"))
    return ", ".join(said) + "."


def as_text(worked: WorkedChart) -> str:
    """Return the table for a terminal."""
    facts = _facts(worked)
    own = facts.sizes[0].size
    edition = worked.design.booklet.edition
    heading = worked.design.booklet.title + (f", edition {edition}" if edition else "")
    lines = [
        heading,
        f"{whole(worked.width)} x {whole(worked.height)} crosses; {_size_words(own)} "
        f"on {fabric_name(own.fabric)}",
        "",
        *_thread_table(facts),
        "",
        *_size_table(facts.sizes),
        "",
        *_assumptions(worked.design.working),
    ]
    return "\n".join(lines) + "\n"


def _thread_table(facts: _Facts) -> list[str]:
    rows = [("thread", "name", "symbols", "stitches", "metres", "skeins")]
    for counted, use in facts.threads:
        rows.append(
            (
                use.thread.label,
                use.thread.name if use.thread.code else "",
                facts.symbols(use),
                whole(counted.number),
                fixed(_put_up_metres(use), 1),
                f"{fixed(use.skeins, 1)} of {use.buy}",
            )
        )
    total = sum(use.buy for use in facts.uses)
    counts = facts.counts
    stitches = [_many(counts.crosses, "cross", "crosses")]
    if counts.line_stitches:
        stitches.append(_many(counts.line_stitches, "line stitch", "line stitches"))
    if counts.knots:
        stitches.append(_many(counts.knots, "knot"))
    kinds = _kind_totals(facts.counts.threads)
    closing = [
        f"{', '.join(stitches)}; {_many(len(counts.threads), 'colour')}, "
        f"{_many(total, 'skein')} to buy."
    ]
    if len(kinds) > 1:
        closing.append("Worked as: " + ", ".join(kinds) + ".")
    return [*_table(rows, (_LEFT, _LEFT, _LEFT, _RIGHT, _RIGHT, _RIGHT)), "", *closing]


def _kind_totals(threads: Iterable[ThreadCount]) -> list[str]:
    totals: dict[tuple[Kind, int], int] = {}
    overs = {kind.over for each in threads for kind in each.kinds}
    for each in threads:
        for kind in each.kinds:
            totals[kind.kind, kind.over] = totals.get((kind.kind, kind.over), 0) + kind.number
    return [
        f"{whole(number)} {kind_words(kind, number)}{_over_words(over, max(overs))}"
        for (kind, over), number in sorted(totals.items(), key=lambda each: _rank(*each[0]))
    ]


def _rank(kind: Kind, over: int) -> tuple[int, int]:
    return list(Kind).index(kind), -over


def kind_words(kind: Kind, number: int) -> str:
    """Return a kind of stitch as a person says it of so many."""
    if kind in LINE_KINDS:
        return f"{kind.value} stitch"
    if kind in POINT_KINDS:
        return kind.value if number == 1 else f"{kind.value}s"
    return "upright cross" if kind is Kind.UPRIGHT else kind.value


def _over_words(over: int, usual: int) -> str:
    words = {1: "one", 2: "two", 3: "three"}
    return "" if over == usual else f" over {words.get(over, over)}"


def _size_table(sizes: Sequence[SizeRow]) -> list[str]:
    rows = [("fabric", "per inch", "finished", "cut at least", "strands", "skeins")]
    for each in sizes:
        size = each.size
        across, down = size.per_inch
        per_inch = _number(across) if across == down else f"{_number(across)} x {_number(down)}"
        rows.append(
            (
                fabric_name(size.fabric) + ("" if each.pieces else " *"),
                per_inch,
                f"{cm(size.width)} x {cm(size.height)} cm",
                f"{cm(size.cut_width)} x {cm(size.cut_height)} cm",
                str(each.strands),
                str(each.skeins),
            )
        )
    lines = _table(rows, (_LEFT, _RIGHT, _RIGHT, _RIGHT, _RIGHT, _RIGHT))
    if not all(each.pieces for each in sizes):
        lines.append("* off-grid or over-one pieces cannot be worked on this fabric.")
    return lines


def _assumptions(working: Working) -> list[str]:
    how = "rows there and back" if working.method is Method.ROWS else "each cross finished"
    return [
        f"Thread: {how}, needlefuls of {cm(working.needleful)} cm, tails of {cm(working.tail)} cm,",
        f"carried up to {cm(working.carry)} cm on the back, {working.reserve:.0%} in reserve.",
    ]


def as_csv(worked: WorkedChart) -> str:
    """Return one line for each thread."""
    facts = _facts(worked)
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n").writerow
    write(
        [
            "range",
            "code",
            "name",
            "colour",
            "symbols",
            "stitches",
            "metres",
            "skeins_used",
            "skeins_to_buy",
        ]
    )
    for counted, use in facts.threads:
        thread = use.thread
        write(
            [
                thread.range,
                thread.code,
                thread.name,
                thread.colour,
                facts.symbols(use),
                counted.number,
                f"{_put_up_metres(use):.3f}",
                f"{use.skeins:.4f}",
                use.buy,
            ]
        )
    return out.getvalue()


def as_json(worked: WorkedChart) -> str:
    """Return everything counted as JSON; lengths in mm unless named otherwise."""
    facts = _facts(worked)
    booklet = worked.design.booklet
    told = {
        "title": booklet.title,
        "edition": booklet.edition,
        "width": worked.width,
        "height": worked.height,
        "crosses": facts.counts.crosses,
        "key": [
            {
                "symbol": each.entry.symbol,
                "cells": each.cells,
                "other_crosses": {f"over {over}": many for over, many in each.other},
                "line_stitches": each.stitches,
                "line_length_in_crosses": each.length,
                "points": each.points,
            }
            for each in facts.counts.entries
        ],
        "threads": [
            {
                "range": use.thread.range,
                "code": use.thread.code,
                "name": use.thread.name,
                "colour": use.thread.colour,
                "stitches": [_kind_told(each) for each in counted.kinds],
                "front": round(use.front, 3),
                "back": round(use.back, 3),
                "carried": round(use.carried, 3),
                "tails": round(use.tails, 3),
                "left": round(use.left, 3),
                "strand_metres": round(use.strand_metres, 6),
                "skeins_used": round(use.skeins, 6),
                "skeins_to_buy": use.buy,
            }
            for counted, use in facts.threads
        ],
        "sizes": [
            {
                "fabric": fabric_name(each.size.fabric),
                "per_inch": each.size.per_inch,
                "width": each.size.width,
                "height": each.size.height,
                "cut_width": each.size.cut_width,
                "cut_height": each.size.cut_height,
                "strands": each.strands,
                "skeins": each.skeins,
                "every_piece_can_be_worked": each.pieces,
            }
            for each in facts.sizes
        ],
    }
    return json.dumps(told, ensure_ascii=False, indent=2) + "\n"


def _kind_told(each: KindCount) -> dict[str, object]:
    return {"kind": each.kind.value, "over": each.over, "number": each.number}


def as_list(worked: WorkedChart) -> str:
    """Return a plain shopping list, for a shop page or a message to a buyer."""
    facts = _facts(worked)
    own = facts.sizes[0].size
    put_ups = [
        f"{use.buy} x {use.thread.label}{f' {use.thread.name}' if use.thread.code else ''} "
        f"({use.thread.put_up} of {_number(use.thread.metres)} m)"
        for use in facts.uses
    ]
    colour = worked.design.ground.colour_name
    lines = [
        worked.design.booklet.title,
        f"Finished size on {fabric_name(own.fabric)}: {_size_words(own)}",
        "",
        f"Fabric: {fabric_name(own.fabric)}{f', {colour}' if colour else ''}, "
        f"at least {cm(own.cut_width)} x {cm(own.cut_height)} cm "
        f"({inches(own.cut_width)} x {inches(own.cut_height)} in)",
        "Thread:",
        *(f"  {each}" for each in put_ups),
        *(f"Also: {each}" for each in worked.design.booklet.needs),
    ]
    return "\n".join(lines) + "\n"


def fabric_name(fabric: Fabric) -> str:
    """Return a fabric as the notation writes it: `linen 32 over 2`."""
    counts = _number(fabric.count_x)
    if fabric.count_y != fabric.count_x:
        counts += f" x {_number(fabric.count_y)}"
    over = "" if fabric.block and fabric.over == 1 else f" over {fabric.over}"
    return f"{fabric.kind} {counts}{over}"


def _size_words(size: Size) -> str:
    return (
        f"{cm(size.width)} x {cm(size.height)} cm ({inches(size.width)} x {inches(size.height)} in)"
    )


def _put_up_metres(use: ThreadUse) -> float:
    """Metres as the thread is sold, all its strands together."""
    return use.skeins * use.thread.metres


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _many(number: int, one: str, more: str = "") -> str:
    return f"{whole(number)} {one if number == 1 else more or one + 's'}"


def _table(rows: Sequence[tuple[str, ...]], sides: tuple[str, ...]) -> list[str]:
    widths = [max(len(row[at]) for row in rows) for at in range(len(sides))]
    # A column in which nothing stands would only be a gap.
    shown = [at for at in range(len(sides)) if any(row[at] for row in rows[1:])]
    lines = [
        "  ".join(f"{row[at]:{sides[at]}{widths[at]}}" for at in shown).rstrip() for row in rows
    ]
    return [lines[0], "-" * max(map(len, lines)), *lines[1:]]
