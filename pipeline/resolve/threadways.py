"""How single threads are worked, where that differs from the others."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.ground import Method, ThreadWorking, Working
from ..core.key import Thread
from ..core.source import Span
from ..syntax.nodes import Block, MeasureLine, ThreadHead, WordLine
from ..syntax.phrases import Numeral, Word
from .grounds import LENGTHS, once, tails_too_long
from .needles import MOST_IN_NEEDLE, Basket
from .settings import at_most, millimetres, whole

MOST_BLOCKS = 500  # as many as a key has lines


def resolve_ways(
    blocks: Sequence[Block], basket: Basket, findings: list[Diagnostic]
) -> tuple[ThreadWorking, ...]:
    """Return the ways of a chart's `thread` blocks; one thread has one block."""
    ways: dict[tuple[str, str], ThreadWorking] = {}
    for block in at_most(MOST_BLOCKS, "`thread` blocks", blocks, findings):
        if not isinstance(block.head, ThreadHead):
            continue
        thread = basket.thread(block.head.thread, findings)
        if thread is None:
            continue
        if thread.named in ways:
            findings.append(
                finding(
                    "second-block",
                    f"There is a `thread` block for {thread.label} already.",
                    block.head.thread.span,
                    Hint("the first one is here", ways[thread.named].span),
                    "move the lines below it into the first",
                )
            )
            continue
        ways[thread.named] = _way(thread, block, findings)
    return tuple(ways.values())


def _way(thread: Thread, block: Block, findings: list[Diagnostic]) -> ThreadWorking:
    lengths: dict[str, float] = {}
    method: Method | None = None
    strands: int | None = None
    first: dict[str, Span] = {}
    for line in block.members:
        if isinstance(line, MeasureLine):
            once(line.word.text, line.span, first, findings)
            value = millimetres(line.measure, *LENGTHS[line.word.text], findings)
            if value is not None:
                lengths[line.word.text] = value
        elif isinstance(line, WordLine):
            once(line.word.text, line.span, first, findings)
            given = line.values[0]
            if isinstance(given, Word):
                method = Method(given.text)
            elif isinstance(given, Numeral):
                strands = whole(given, "The number of strands", 1, MOST_IN_NEEDLE, findings)
    span = first.get("tail") or first.get("needleful") or block.span
    return ThreadWorking(
        thread, lengths.get("needleful"), lengths.get("tail"), method, strands, span
    )


def check_ways(working: Working, used: Iterable[Thread], findings: list[Diagnostic]) -> None:
    """Tell of threads that no key line uses, and of tails that leave too little of a needleful."""
    there = {thread.named for thread in used}
    for way in working.own:
        own = working.of([way.thread])
        if way.thread.named not in there:
            findings.append(
                finding(
                    "thread-not-used",
                    f"No key line is worked with {way.thread.label}.",
                    way.span,
                    "take this block out, or name a thread of the key",
                )
            )
        elif own.needleful < 4 * own.tail and (way.needleful or way.tail):
            findings.append(tails_too_long(own.needleful, own.tail, way.span or working.span))
