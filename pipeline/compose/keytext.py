"""A key line in words, for findings that name one to add or to look at."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from ..core.key import KeyEntry, Part, Strands
from ..stitches.kinds import ASSUMED, STITCHES

_MIRROR_IMAGES = {"/": "\\", "\\": "/", "(": ")", ")": "(", "<": ">", ">": "<"} | {
    "[": "]",
    "]": "[",
    "{": "}",
    "}": "{",
    "b": "d",
    "d": "b",
    "p": "q",
    "q": "p",
}
_FREE_SIGNS = (
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789+-*/=%&@$!?~^<>(){}[];:,_"
)


def key_line(symbol: str, parts: Sequence[Part]) -> str:
    """Return a key line as a person would type it, without what would be assumed anyway."""
    return f"{symbol}  {' + '.join(part_text(part) for part in parts)}"


def part_text(part: Part) -> str:
    """Return one stitch of a key line, such as `estuary 220 1 strand half up`."""
    blend = len(part.needle) > 1
    usual = 1 if blend else STITCHES[part.kind].strands
    words = [" with ".join(_strands_text(strands, usual) for strands in part.needle)]
    if part.stitch is not None:
        words.append("second" if part.second else part.stitch.name)
    elif part.kind is not ASSUMED:
        words.append(part.kind.value)
    if part.way is not None:
        words.append(part.way.value)
    return " ".join(words)


def _strands_text(each: Strands, usual: int) -> str:
    thread = each.thread
    # A colour given inline has no range and no code; its name stands in quotes.
    named = thread.label if thread.code else f'{thread.colour} "{thread.name}"'
    if each.strands == (usual if thread.divides else 1):
        return named
    return f"{named} {each.strands} strand{'' if each.strands == 1 else 's'}"


def free_symbol(wanted_for: str, key: Sequence[KeyEntry], also_taken: Collection[str] = ()) -> str:
    """Return a symbol the key does not use yet, the mirror image of the given one if it can be."""
    taken = {entry.symbol for entry in key} | set(also_taken)
    image = _MIRROR_IMAGES.get(wanted_for, "")
    if image and image not in taken:
        return image
    return next((sign for sign in _FREE_SIGNS if sign not in taken), "?")
