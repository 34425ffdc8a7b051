"""Which key line holds the stitches of another, mirrored or turned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..core.key import KeyEntry, Part
from ..stitches.kinds import turned_way
from ..stitches.turn import AS_DRAWN, Turn
from .stamp import MissingTurn
from .worked import IndexGrid

_PRIVATE = 0xF0000  # where a plane for private use begins; no symbol of a chart may lie there
Signature = frozenset[tuple[object, int]]


@dataclass(frozen=True)
class TurnedKey:
    """Where each key line goes under one turn.

    table: (len(key) + 1,) new index of each index; 0 where the key has no line for it.
    missing: for those, the parts that a key line would have to hold.
    """

    table: IndexGrid
    missing: dict[int, tuple[Part, ...]]


def signature(parts: Sequence[Part]) -> Signature:
    """Return what makes two cells the same stitches, whatever the order they are written in."""
    return frozenset(
        Counter(
            (
                part.kind,
                part.way,
                part.stitch and part.stitch.name,
                part.second,
                frozenset(Counter(part.needle).items()),
            )
            for part in parts
        ).items()
    )


def with_turned(key: Sequence[KeyEntry], turn: Turn) -> tuple[KeyEntry, ...]:
    """Return the key, and for each line whose stitches it lacks turned a further one for these.

    That stands under the same symbol and is no line of the key: what is counted of it is that of
    the line which it is turned from. A turn made several times comes round, so that it ends.
    """
    grown = tuple(key)
    while missing := turned_key(grown, turn).missing:
        grown += tuple(
            replace(
                grown[index - 1],
                parts=missing[index],
                printed="",
                turned_from=grown[index - 1].turned_from or index,
                sign=chr(_PRIVATE + at),
            )
            for at, index in enumerate(missing, len(grown))
        )
    return grown


def written(key: Sequence[KeyEntry]) -> tuple[KeyEntry, ...]:
    """Return the lines of a key as they were written, without what `with_turned` added."""
    return tuple(entry for entry in key if not entry.turned_from)


def turned_key(key: Sequence[KeyEntry], turn: Turn) -> TurnedKey:
    """Find for each key line the line that holds its stitches turned."""
    table = np.arange(len(key) + 1, dtype=np.uint16)
    missing: dict[int, tuple[Part, ...]] = {}
    if turn == AS_DRAWN:
        return TurnedKey(table, missing)
    by_signature: dict[Signature, int] = {}
    for index, entry in enumerate(key, 1):
        if entry.is_cell:
            by_signature.setdefault(signature(entry.parts), index)
    for index, entry in enumerate(key, 1):
        if not entry.is_cell or all(part.way is None for part in entry.parts):
            continue
        parts = tuple(replace(part, way=turned_way(part, turn)) for part in entry.parts)
        wanted = signature(parts)
        if wanted == signature(entry.parts):
            continue
        table[index] = by_signature.get(wanted, 0)
        if not table[index]:
            missing[index] = parts
    return TurnedKey(table, missing)


def missing_of(turned: TurnedKey, used: Iterable[int]) -> tuple[MissingTurn, ...]:
    """Return which of some key lines a turn misses, with the stitches that they become."""
    if not turned.missing:
        return ()
    indices = set(used)
    return tuple(
        MissingTurn(index, parts) for index, parts in turned.missing.items() if index in indices
    )
