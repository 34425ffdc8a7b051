"""What `count` prints for other programs: CSV and JSON."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from itertools import accumulate, pairwise

from ..booklet.supplies import SizeRow
from ..core.characters import escaped
from ..core.key import Thread
from ..count.count import KindCount
from ..count.thread import ThreadUse
from .facts import Facts

HEADER = (
    "what",
    "range",
    "code",
    "name",
    "colour",
    "symbols",
    "number",
    "strand_m",
    "undivided_m",
    "put_up",
    "put_up_m",
    "put_up_strands",
    "put_ups_used",
    "put_ups_to_buy",
)


Table = list[list[str | int]]


def as_csv(
    charts: Mapping[str, Table], header: Sequence[str] = HEADER, *, told: bool = False
) -> str:
    """Return the tables of some charts as one; charts: by file, told in the first column.

    Before a text that a spreadsheet could take for something else stands an apostrophe; see `cell`.
    """
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n").writerow
    write([*(["chart"] if told else []), *header])
    for chart, rows in charts.items():
        for row in rows:
            write([*([cell(escaped(chart))] if told else []), *row])
    return out.getvalue()


def table(facts: Facts) -> Table:
    """Return one line for each thread, then one for each kind of bead, in the order of HEADER.

    number: of stitches, or of beads. The other columns are explained in `grammar/thread.md`.
    """
    rows: Table = []
    for counted, use in facts.threads:
        thread = use.thread
        rows.append(
            [
                "thread",
                *map(cell, (*named(thread), facts.symbols(thread))),
                counted.number,
                f"{use.strand_metres:.3f}",
                f"{use.undivided_metres:.3f}",
                cell(thread.put_up),
                f"{thread.metres:g}",
                thread.strands,
                f"{use.skeins:.4f}",
                use.buy,
            ]
        )
    for each in facts.counts.beads:
        called = (*named(each.bead), facts.symbols(each.bead, beads=True))
        rows.append(["bead", *map(cell, called), each.number, *[""] * 7])
    return rows


# What begins a formula, as OWASP's "CSV Injection" lists it: = + - @, a tab, a carriage return;
# and the line end, the null character and the wide forms of the four signs, which some
# spreadsheets take for the same. Blanks before them do not help. An apostrophe is guarded too, so
# that the first one of a text can always be taken off again.
_FORMULA = re.compile("\\s*[=+\\-@\\uff1d\\uff0b\\uff0d\\uff20\\0'\\t\\r\\n]")


def cell(text: str) -> str:
    """Return a text as a cell that no spreadsheet takes for a formula.

    A chart may come from a stranger, and its names must not run anything where they are opened.
    Whoever reads the table takes one apostrophe off the beginning of a text to have it back.
    """
    return f"'{text}" if _FORMULA.match(text) else text


def about(facts: Facts) -> dict[str, object]:
    """Return what a chart is called, and the fabric and strands that its figures are for."""
    booklet, way = facts.worked.design.booklet, facts.worked.design.in_colourway
    return {
        "title": booklet.title,
        "edition": booklet.edition,
        "colourway": "" if way is None else way.name,
        "personal": dict(facts.worked.design.personal),
        "fabric": facts.sizes[0].size.fabric.written,
        "strands": facts.sizes[0].strands,
    }


def named(thread: Thread) -> tuple[str, str, str, str]:
    """Return range, code, name and colour of a thread, or of a bead."""
    return thread.range, thread.code, thread.name, thread.colour


def as_data(facts: Facts) -> dict[str, object]:
    """Return everything counted as plain data for JSON, units in the names of lengths."""
    worked = facts.worked
    symbols = {each.index: each.entry.symbol for each in facts.counts.entries}
    return {
        **about(facts),
        "width_crosses": worked.width,
        "height_crosses": worked.height,
        "crosses": facts.counts.crosses,
        "key": [
            {
                "symbol": each.entry.symbol,
                "cells": each.cells,
                "other_crosses": {f"over {over}": many for over, many in each.other},
                "line_stitches": each.stitches,
                "line_length_crosses": each.length,
                "points": each.points,
            }
            for each in facts.counts.entries
        ],
        "threads": [
            {
                **told_of(use.thread),
                "kind": use.thread.kind.value,
                "stitches": [_kind(each) for each in counted.kinds],
                "needle_front_mm": round(use.front, 3),
                "needle_back_mm": round(use.back, 3),
                "needle_carried_mm": round(use.carried, 3),
                "needle_tails_mm": round(use.tails, 3),
                "needle_left_over_mm": round(use.left, 3),
                "needlefuls": use.needlefuls,
                "strand_m": round(use.strand_metres, 6),
                "undivided_m": round(use.undivided_metres, 6),
                "put_up": use.thread.put_up,
                "put_up_m": use.thread.metres,
                "put_up_strands": use.thread.strands,
                **_bought(use),
                "key": [
                    {"symbol": symbols[index], "strand_m": metres}
                    for index, metres in shares(use).items()
                ],
            }
            for counted, use in facts.threads
        ],
        "beads": [{**told_of(each.bead), "number": each.number} for each in facts.counts.beads],
        "sizes": [_size(each) for each in facts.sizes],
    }


def shares(use: ThreadUse) -> dict[int, float]:
    """Return the metres of single strand that each key line takes of a thread, by index.

    They are rounded to micrometres, but so that they add up to those of the thread.
    """
    upto = list(accumulate(each.strand_metres for each in use.entries))
    marks = [round(each, 6) for each in (*upto[:-1], use.strand_metres)]
    between = pairwise([0.0, *marks])
    return {
        each.index: round(end - begin, 6)
        for each, (begin, end) in zip(use.entries, between, strict=True)
    }


def told_of(thread: Thread) -> dict[str, object]:
    """Return the same for JSON."""
    return dict(zip(("range", "code", "name", "colour"), named(thread), strict=True))


def _bought(use: ThreadUse) -> dict[str, object]:
    return {"put_ups_used": round(use.skeins, 6), "put_ups_to_buy": use.buy}


def _kind(each: KindCount) -> dict[str, object]:
    kind = each.kind.value if each.stitch is None else each.stitch.name
    return {"kind": kind, "over": each.over, "number": each.number}


def _size(row: SizeRow) -> dict[str, object]:
    size = row.size
    return {
        "fabric": size.fabric.written,
        "crosses_per_inch": [round(each, 6) for each in size.per_inch],
        "width_mm": round(size.width, 6),
        "height_mm": round(size.height, 6),
        "cut_width_mm": round(size.cut_width, 6),
        "cut_height_mm": round(size.cut_height, 6),
        "strands": row.strands,
        "put_ups_to_buy": row.skeins,
        "every_piece_can_be_worked": row.pieces,
        "to_be_pierced": bool(row.pierced),
        "threads": [
            {"range": use.thread.range, "code": use.thread.code, "name": use.thread.name}
            | _bought(use)
            for use in row.uses
        ],
    }
