"""The nearest names to one that is not known."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from difflib import get_close_matches
from heapq import nsmallest

MOST_COMPARED = 200  # names compared letter by letter; of more, the likeliest
LONGEST = 60  # characters compared; longer words are no slip of the fingers


def nearest(word: str, known: Iterable[str], most: int = 3) -> list[str]:
    """Return up to `most` known names that look like the word, best first."""
    if len(word) > LONGEST:
        return []
    folded = word.casefold()
    names = {name.casefold(): name for name in known if len(name) <= LONGEST}
    if len(names) > MOST_COMPARED:
        likely = nsmallest(MOST_COMPARED, names, key=lambda name: _unlikeness(folded, name))
    else:
        likely = list(names)
    near = get_close_matches(folded, likely, n=most, cutoff=0.6)
    return [names[each] for each in near]


def _unlikeness(word: str, name: str) -> int:
    # A rough measure, for choosing which of many names to compare at all.
    return abs(len(word) - len(name)) + 2 * (word[:1] != name[:1]) + (word[-1:] != name[-1:])


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return `did you mean ...?` with the nearest names, or an empty string."""
    names = nearest(word, known)
    return f"did you mean {any_of(names)}?" if names else ""


def any_of(names: Iterable[str]) -> str:
    """Return names in backticks as a list: `a`, `b` or `c`."""
    return listed((f"`{name}`" for name in names), "or")


def all_of(names: Iterable[str]) -> str:
    """Return names in backticks as a list: `a`, `b` and `c`."""
    return listed((f"`{name}`" for name in names), "and")


def named(what: str, names: Collection[str]) -> str:
    """Return which there are, up to a dozen: the motifs are `a`, `b` and `c`."""
    are = f"{what} is" if len(names) == 1 else f"{what}s are"
    return f"the {are} {all_of(sorted(names)[:12])}"


def listed(items: Iterable[str], joint: str) -> str:
    """Return items as a list in a sentence."""
    parts = list(items)
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {joint} {parts[-1]}"
