"""The key and its threads."""

from __future__ import annotations

from collections.abc import Iterator

from ..compose.turning import Signature, signature
from ..compose.worked import WorkedChart
from ..core.diagnostics import Hint
from ..core.key import Thread
from ..core.source import Span
from ..count.bounds import bounds
from ..count.count import count
from ..count.thread import estimate_some
from .checking import Check, Fault

FEW = 5  # stitches of a thread for which a whole skein is bought
LEAST_LEFT = 0.15  # of a skein, once all is stitched


def used_indices(worked: WorkedChart) -> set[int]:
    """Return the key indices of everything stitched."""
    return set(worked.used)


def _unused_symbol(worked: WorkedChart) -> Iterator[Fault]:
    used = used_indices(worked)
    placed = {each.motif.name for each in worked.placed if each.motif is not None}
    for index, entry in enumerate(worked.design.key, 1):
        if index in used or entry.turned_from:
            continue
        holders = [
            f"`{motif.name}`"
            for motif in worked.motifs.values()
            if motif.name not in placed and any(entry.symbol in row for row in motif.rows)
        ]
        hints: tuple[str, ...] = ("take the line out of the key, or use it",)
        if holders:
            hints = (f"it is in {', '.join(holders[:3])}, never placed",)
        yield Fault(f"Nothing is stitched in `{entry.symbol}`.", entry.span, hints)


def _same_stitch(worked: WorkedChart) -> Iterator[Fault]:
    first: dict[Signature, int] = {}
    key = worked.design.key
    for index, entry in enumerate(key):
        if not entry.is_cell:
            continue  # lines of one thread may well have names of their own
        other = key[first.setdefault(signature(entry.parts), index)]
        if other is not entry:
            yield Fault(
                f"`{entry.symbol}` and `{other.symbol}` are one and the same stitch.",
                entry.span,
                (
                    Hint(f"`{other.symbol}` is here", other.span),
                    "one symbol for one stitch: a reader looks for the difference",
                ),
            )


def _not_divided(worked: WorkedChart) -> Iterator[Fault]:
    for entry in worked.design.key:
        strands = [each for part in entry.parts for each in part.needle]
        several = [each for each in strands if each.strands > 1 and not each.thread.divides]
        if several and not entry.turned_from:
            thread = several[0].thread
            yield Fault(
                f"`{thread.label}` is {thread.kind} and does not divide; "
                f"`{entry.symbol}` asks for {several[0].strands} strands of it.",
                entry.span,
                ("write `1 strand`, or leave the strands out",),
            )


def _first_spans(worked: WorkedChart) -> dict[Thread, Span | None]:
    """Return where in the key each thread is first named."""
    return {
        strands.thread: entry.span
        for entry in reversed(worked.design.key)
        for part in entry.parts
        for strands in part.needle
    }


def _few_stitches(worked: WorkedChart) -> Iterator[Fault]:
    spans = _first_spans(worked)
    for each in count(worked).threads:
        if each.number < FEW and each.thread.code:
            stitches = "one stitch" if each.number == 1 else f"{each.number} stitches"
            yield Fault(
                f"`{each.thread.label}` is used for only {stitches}, but a whole "
                f"{each.thread.put_up} of it has to be bought.",
                spans.get(each.thread),
                ("another thread of the key might do",),
            )


def _last_of_a_skein(worked: WorkedChart) -> Iterator[Fault]:
    spans = _first_spans(worked)
    fabric = worked.design.ground.fabric
    # Of most threads it is plain without the ways between areas, which take long to find.
    close = {
        most.thread
        for least, most in bounds(worked, fabric)
        if least.buy != most.buy or most.buy - most.skeins < LEAST_LEFT
    }
    for use in estimate_some(worked, fabric, close):
        left = use.buy - use.skeins
        if left < LEAST_LEFT:
            several = "" if use.buy == 1 else "s"
            yield Fault(
                f"Of {use.buy} {use.thread.put_up}{several} of `{use.thread.label}` only "
                f"{max(left, 0):.2f} will be left over.",
                spans.get(use.thread),
                ("tell the stitcher to buy one more, or raise `reserve` under `working`",),
            )


CHECKS = (
    Check("unused-symbol", _unused_symbol),
    Check("same-stitch", _same_stitch),
    Check("not-divided", _not_divided),
    Check("few-stitches", _few_stitches),
    Check("last-of-a-skein", _last_of_a_skein),
)
