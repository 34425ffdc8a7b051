"""The nearest names to one that is not known."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

MOST_COMPARED = 1_000  # names looked at; a longer list is not worth the time
LONGEST = 60  # characters compared; longer words are no slip of the fingers


def nearest(word: str, known: Iterable[str], most: int = 3) -> list[str]:
    """Return up to `most` known names that look like the word, best first."""
    if len(word) > LONGEST:
        return []
    names: dict[str, str] = {}
    for name in known:
        names.setdefault(name.casefold(), name)
        if len(names) >= MOST_COMPARED:
            break
    folded = word.casefold()
    found = get_close_matches(folded, names, n=most, cutoff=0.6)
    if folded in names and folded not in found:
        found.insert(0, folded)
    return [names[each] for each in found]


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


def listed(items: Iterable[str], joint: str) -> str:
    """Return items as a list in a sentence."""
    parts = list(items)
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {joint} {parts[-1]}"
