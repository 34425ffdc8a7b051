"""Symbols for key lines that are brought in: letters that remind of the thread's name."""

from __future__ import annotations

import re
from collections.abc import Sequence
from string import ascii_lowercase, ascii_uppercase, digits

# What is taken when the letters of a name are used up; the easily mistaken come last.
_LATER = "".join(each for each in ascii_lowercase + ascii_uppercase + digits if each not in "lIO01")
SIGNS = _LATER + "+*=/\\~^<>:;-_!?%&@$()[]{}" + "lIO01" + "',`"


def choose_signs(names: Sequence[str], wished: Sequence[str], crosses: Sequence[int]) -> list[str]:
    """Return a symbol of its own for each name, at most as many as there are SIGNS.

    wished: the symbol wished for, empty for none; of two who wish for one, the first has it. The
    thread with most crosses chooses first.
    """
    chosen = [""] * len(names)
    free = dict.fromkeys(SIGNS)
    for at, wish in enumerate(wished):
        if wish and wish not in chosen:
            chosen[at] = wish
            free.pop(wish, None)
    for at in sorted(range(len(names)), key=lambda at: (-crosses[at], at)):
        if not chosen[at]:
            chosen[at] = next(each for each in (*_reminding(names[at]), *free) if each in free)
            del free[chosen[at]]
    return chosen


def _reminding(name: str) -> str:
    """Return letters of a name, those first that remind of it most."""
    words = re.findall(r"[a-z]+", name.lower())
    initials = "".join(word[0] for word in words)
    letters = "".join(words)
    return initials + initials.upper() + letters + letters.upper()
