"""What to change in a text, so that an editor keeps its place in the rest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import accumulate, takewhile

MOST_COMPARED = 1_000  # lines that differ; more are changed as a whole


@dataclass(frozen=True)
class Edit:
    """The characters from start up to, not including, end give way to a text."""

    start: int
    end: int
    text: str


def edits(before: str, after: str) -> Iterator[Edit]:
    """Give the edits that turn one text into the other, line by line, from first to last."""
    old, new = _lines(before), _lines(after)
    first = _alike(old, new)
    last = min(_alike(old[::-1], new[::-1]), min(len(old), len(new)) - first)
    starts = [0, *accumulate(map(len, old))]
    end, new_end = len(old) - last, len(new) - last
    if max(end, new_end) - first > MOST_COMPARED:
        yield Edit(starts[first], starts[end], "".join(new[first:new_end]))
        return
    matcher = SequenceMatcher(None, old[first:end], new[first:new_end], autojunk=False)
    for what, a, b, c, d in matcher.get_opcodes():
        if what != "equal":
            text = "".join(new[first + c : first + d])
            yield Edit(starts[first + a], starts[first + b], text)


def _lines(text: str) -> list[str]:
    *lines, last = text.split("\n")
    return [*(f"{line}\n" for line in lines), last]


def _alike(old: Sequence[str], new: Sequence[str]) -> int:
    """Return how many lines at the beginning are the same."""
    same = takewhile(lambda pair: pair[0] == pair[1], zip(old, new, strict=False))
    return sum(1 for _ in same)
