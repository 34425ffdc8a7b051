"""How many strands are in the needle, and the same stitches with another number of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ..core.model import KeyEntry, Part, Strands


def in_needle(part: Part) -> int:
    """Return how many strands are in the needle for a stitch."""
    return sum(each.strands for each in part.needle)


def with_strands(entry: KeyEntry, strands: int) -> KeyEntry:
    """Return a key line whose stitches of cells are worked with so many strands in all.

    Lines, knots and beads stay as they are. A blend keeps a strand of each thread at the least.
    """
    if not entry.is_cell:
        return entry
    parts = (replace(part, needle=shared(part.needle, strands)) for part in entry.parts)
    return replace(entry, parts=tuple(parts))


def shared(needle: Sequence[Strands], strands: int) -> tuple[Strands, ...]:
    """Return the threads of a needle with so many strands in all, in about the same shares.

    Each keeps one at the least, so that there may be more than asked for. What cannot be shared
    out evenly goes to the largest remainders, then to the first named.
    """
    whole = sum(each.strands for each in needle)
    exact = [each.strands * strands / whole for each in needle]
    given = [max(1, int(each)) for each in exact]
    order = sorted(range(len(needle)), key=lambda at: (given[at] - exact[at], at))
    for at in order[: max(0, strands - sum(given))]:
        given[at] += 1
    while sum(given) > max(strands, len(given)):
        # Those below one strand took theirs from what the others were to have.
        several = [at for at in range(len(given)) if given[at] > 1]
        largest = max(several, key=lambda at: (given[at] - exact[at], -at))
        given[largest] -= 1
    return tuple(replace(each, strands=many) for each, many in zip(needle, given, strict=True))
