"""What a stitcher has to know before going on, and what changed in the words of a booklet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from .differences import Differences, KeyChange, Tally, Worded
from .naming import PRINT
from .words import Teller, quoted

_TOLD_FACTS = ("fabric", "fabric colour", "stitched area", "fabric to cut")
_TOLD_WORDS = ("needs", "copyright", "note", "departure", "inferred", "kept")


@dataclass(frozen=True)
class Notice:
    """A change without a place. old, new: the lines of the keys that it speaks of, or 0."""

    heading: str
    told: tuple[str, ...]
    begun: str = ""
    old: int = 0
    new: int = 0


def notices(found: Differences) -> tuple[Notice, ...]:
    """Return what changed in numbering, key, thread, fabric and size."""
    teller = Teller(found, PRINT)
    return (
        *_shift(found, teller),
        *(_key(each, teller) for each in found.key if each.number and _in_other_stitches(each)),
        *_symbols(found, teller),
        *_thread(found, teller),
        *_facts(found),
    )


def _shift(found: Differences, teller: Teller) -> Iterator[Notice]:
    told = []
    x, y = found.shift
    if (x, y) != (0, 0):
        told.append(f"The whole chart stands {teller.by((x, y))} on its grid.")
    told += [f"{_capital(teller.strip(each))}." for each in found.strips]
    if not told:
        return
    counts = [
        f"{'add' if by > 0 else 'take'} {abs(by)} {'to' if by > 0 else 'from'} each {word} number"
        for by, word in ((x, "column"), (y, "row"))
        if by
    ]
    begun = ""
    if counts:
        begun = (
            "What is stitched is right. To find your place on the new chart, "
            f"{' and '.join(counts)} of the old one; and see that enough fabric is left around."
        )
    yield Notice("Numbering", tuple(told), begun)


def _in_other_stitches(each: KeyChange) -> bool:
    """Tell whether a key line came, went, or is worked otherwise."""
    return not each.what or "stitch" in each.what


def _key(each: KeyChange, teller: Teller) -> Notice:
    if not each.new:
        was = teller.in_key(each.old, new=False)
        return Notice("Key", (f"No longer in the key: {was}.",), old=each.old)
    now = teller.in_key(each.new, new=True)
    if not each.old:
        return Notice("Key", (f"New in the key: {now}.",), new=each.new)
    many = f"all {each.number:,} stitches" if each.number != 1 else "the one stitch"
    was = teller.in_key(each.old, new=False)
    told = [f"Now {now}, instead of {was}: {many} of this line of the key."]
    begun = (
        "Go on as you began, with enough thread for all of it, or take out what is stitched; "
        "both side by side would show."
    )
    return Notice("Key", tuple(told), begun, each.old, each.new)


def _symbols(found: Differences, teller: Teller) -> Iterator[Notice]:
    told = [
        f"{found.old.entry(each.old).symbol} is now {found.new.entry(each.new).symbol}: "
        f"{teller.in_key(each.new, new=True)}."
        for each in found.key
        if "symbol" in each.what and "stitch" not in each.what
    ]
    if told:
        yield Notice("Symbols", tuple(told), "Nothing to do: the stitches are the same.")


def _thread(found: Differences, teller: Teller) -> Iterator[Notice]:
    told = [_to_buy(each, teller) for each in found.tallies if _differs(each)]
    if told:
        yield Notice("Thread to buy", tuple(told))


def _differs(each: Tally) -> bool:
    if each.bead:
        return each.stitches[0] != each.stitches[1]
    return each.buy is not None and each.buy[0] != each.buy[1]


def _to_buy(each: Tally, teller: Teller) -> str:
    name = teller.thread_in_full(each.thread)
    before, after = each.stitches if each.bead or each.buy is None else each.buy
    unit = "bead" if each.bead else each.thread.put_up
    if not after:
        return f"{name}: none."
    many = f"{after:,} {unit}{'' if after == 1 else 's'}"
    return f"{name}: {many} instead of {before:,}." if before else f"{name}: {many}, new."


def _facts(found: Differences) -> Iterator[Notice]:
    told = [
        f"{_capital(each.what)}: {each.new} instead of {each.old}."
        for each in found.facts
        if each.what in _TOLD_FACTS and each.old and each.new
    ]
    if told:
        yield Notice("Size and fabric", tuple(told))


def words_changed(found: Differences) -> tuple[str, ...]:
    """Return what changed in notes, needs and rights: words that a stitcher works by."""
    return tuple(_said(each) for each in found.words if each.what.startswith(_TOLD_WORDS))


def _said(each: Worded) -> str:
    what = _capital(each.what)
    if each.what.endswith(", place"):
        return f"{what}: {each.new} instead of {each.old}."
    if not each.new:
        return f"{what} is left out: {quoted(each.old)}"
    return f"{what} {'reads' if each.old else 'is new'}: {quoted(each.new)}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
