"""What changed in the key: lines that came, went, or are worked otherwise."""

from __future__ import annotations

from ..count.count import Counts
from .differences import KeyChange
from .keypairs import KeyPairs, stitch


def key_changes(pairs: KeyPairs, old: Counts, new: Counts) -> tuple[KeyChange, ...]:
    """Return the lines of the key that differ, in the order of the new key, those gone last."""
    before = {each.index: each.number for each in old.entries}
    after = {each.index: each.number for each in new.entries}
    partner = {other: index for index, other in pairs.partner.items()}
    found = []
    for index, entry in enumerate(pairs.new, 1):
        number = after.get(index, 0)
        if index not in partner:
            found.append(KeyChange(0, index, (), number))
            continue
        one = pairs.old[partner[index] - 1]
        what = tuple(
            word
            for word, differs in (
                ("symbol", one.symbol != entry.symbol),
                ("stitch", stitch(one) != stitch(entry)),
                ("note", one.note != entry.note),
                ("printed", one.printed != entry.printed),
            )
            if differs
        )
        if what:
            found.append(KeyChange(partner[index], index, what, number))
    found += [
        KeyChange(index, 0, (), before.get(index, 0))
        for index in range(1, len(pairs.old) + 1)
        if index not in pairs.partner
    ]
    return tuple(found)
