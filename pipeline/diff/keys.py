"""Which key line of one chart is which of another, which stitches are the same, what changed.

A stitch is the same when the same threads, as many strands of each, are worked in the same kind of
stitch lying the same way, whatever its symbol. A key line whose thread was changed is still that
key line: that is one change of the key, not one of each of its crosses.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..core.counted import Counted
from ..core.key import KeyEntry, Part, Thread

ThreadName = tuple[str, str, str]
StitchIdentity = tuple[object, ...]


@dataclass(frozen=True, eq=False)
class KeyPairs:
    """How two keys belong together.

    partner: the new index of each old one that lives on; indices count from 1.
    old_class, new_class: by index, 0 for bare fabric; equal numbers are the same to a stitcher or
    one key line whose thread was changed.
    """

    old: Sequence[KeyEntry]
    new: Sequence[KeyEntry]
    partner: Mapping[int, int]
    old_class: NDArray[np.int32]
    new_class: NDArray[np.int32]

    @property
    def in_place(self) -> bool:
        """Whether an index means the same in both, so that grids compare as they are."""
        return np.array_equal(self.old_class, self.new_class) and len(
            set(self.old_class.tolist())
        ) == len(self.old_class)


def thread_name(thread: Thread) -> ThreadName:
    """Return what tells a thread from all others: its range and code, or its colour and name."""
    if thread.code:
        return thread.range, thread.code, ""
    return "", thread.name, thread.colour


def stitch(entry: KeyEntry) -> StitchIdentity:
    """Return what is worked, without the symbol that stands for it."""
    return tuple(sorted((_part(part) for part in entry.parts), key=str))


def _part(part: Part) -> tuple[object, ...]:
    needle = sorted((thread_name(each.thread), each.strands) for each in part.needle)
    counted = None if part.stitch is None else strokes(part.stitch)
    way = "" if part.way is None else part.way.value
    return part.kind.value, way, tuple(needle), part.second, counted


def strokes(stitch: Counted) -> Counted:
    """Return a counted stitch without its name: what is the same when it is worked the same."""
    return replace(stitch, name="", title="", built_in=False)


def pair(
    old: Sequence[KeyEntry],
    new: Sequence[KeyEntry],
    old_counts: Sequence[int],
    new_counts: Sequence[int],
) -> KeyPairs:
    """Find the pairs of two keys.

    old_counts, new_counts: how many cells there are of each index, from 0. They decide where both
    a line with the same symbol and one with the same stitch could be the partner: the nearer count.
    """
    free = dict(enumerate(new, 1))
    partner: dict[int, int] = {}

    def join(index: int, other: int) -> None:
        partner[index] = other
        del free[other]

    waiting = dict(enumerate(old, 1))
    for index, entry in enumerate(old, 1):
        alike = [at for at, each in free.items() if _alike(each, entry)]
        same = [at for at in alike if free[at].symbol == entry.symbol]
        if same:
            join(index, same[0])
            del waiting[index]
    for index, entry in waiting.items():
        alike = [at for at, each in free.items() if _alike(each, entry)]
        named = [
            at for at, each in free.items() if each.symbol == entry.symbol and _akin(each, entry)
        ]
        options = alike[:1] + named[:1]
        if options:
            apart = [abs(new_counts[at] - old_counts[index]) for at in options]
            join(index, options[apart.index(min(apart))])
    return KeyPairs(old, new, partner, *_classes(old, new, partner))


def _alike(one: KeyEntry, other: KeyEntry) -> bool:
    return stitch(one) == stitch(other)


def _akin(one: KeyEntry, other: KeyEntry) -> bool:
    """Tell whether both are cells, both lines, or both knots or beads, and turned alike."""
    if one.turned_from or other.turned_from:
        ways = ([part.way for part in each.parts] for each in (one, other))
        return bool(one.turned_from and other.turned_from) and next(ways) == next(ways)
    return (one.is_cell, one.is_line) == (other.is_cell, other.is_line)


def _classes(
    old: Sequence[KeyEntry], new: Sequence[KeyEntry], partner: Mapping[int, int]
) -> tuple[NDArray[np.int32], NDArray[np.int32]]:
    """Number what is the same, starting from the new key.

    A line without partner is of the class of a line that works the same stitch, if there is one.
    """
    by_stitch: dict[StitchIdentity, int] = {}
    new_class = np.zeros(len(new) + 1, dtype=np.int32)
    for index, entry in enumerate(new, 1):
        new_class[index] = by_stitch.setdefault(stitch(entry), index)
    old_class = np.zeros(len(old) + 1, dtype=np.int32)
    further = len(new)
    for index, entry in enumerate(old, 1):
        if index in partner:
            old_class[index] = new_class[partner[index]]
        elif stitch(entry) in by_stitch:
            old_class[index] = by_stitch[stitch(entry)]
        else:
            further += 1
            old_class[index] = further
    return old_class, new_class


def differs(pairs: KeyPairs) -> NDArray[np.bool_]:
    """Return for each old and new index (old, new) whether going from one to the other is a change.

    It is none between the same stitches, nor between partners: that is told of the key.
    """
    old = [(), *(stitch(each) for each in pairs.old)]
    new = [(), *(stitch(each) for each in pairs.new)]
    numbers = {each: at for at, each in enumerate(dict.fromkeys([*old, *new]))}
    one = np.array([numbers[each] for each in old])
    other = np.array([numbers[each] for each in new])
    table: NDArray[np.bool_] = one[:, None] != other[None, :]
    for index, partner in pairs.partner.items():
        table[index, partner] = False
    return table
