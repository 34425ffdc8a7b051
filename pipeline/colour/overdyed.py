"""The colours of overdyed thread, as they run one into the next along it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

from ..core.key import Strands, Thread
from .colour import channels

SHADES = 4  # from each colour to the next; each for about one cross of thread
_MOST_STEPS = 480  # of several overdyed threads in one needle, before their run begins anew


@lru_cache(maxsize=1024)
def shades(thread: Thread) -> tuple[str, ...]:
    """Return the colours of a thread as they follow each other, round to the first.

    A thread of one colour has that one.
    """
    if not thread.colours:
        return (thread.colour,)
    round_ = (*thread.colours, thread.colours[0])
    return tuple(
        _between(one, other, step / SHADES)
        for one, other in pairwise(round_)
        for step in range(SHADES)
    )


def _between(one: str, other: str, share: float) -> str:
    """Return a colour so far on the way to another, in steps that the eye takes for even."""
    mixed = (
        round(first + (second - first) * share)
        for first, second in zip(channels(one), channels(other), strict=True)
    )
    return "#" + "".join(f"{each:02x}" for each in mixed)


def steps_of(needle: Sequence[Strands]) -> int:
    """Return how many steps a needle takes until its colours begin anew; 1 where none change."""
    return min(math.lcm(*(len(shades(each.thread)) for each in needle)), _MOST_STEPS)


def dyed(needle: Sequence[Strands], step: int) -> tuple[Strands, ...]:
    """Return a needle with the colours that its threads have at a step."""
    return tuple(replace(each, thread=_at(each.thread, step)) for each in needle)


def _at(thread: Thread, step: int) -> Thread:
    run = shades(thread)
    return replace(thread, colour=run[step % len(run)], colours=()) if thread.colours else thread
