"""Motifs put together from other motifs: which holds which, and how deep that goes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from graphlib import CycleError, TopologicalSorter

from ..core.diagnostics import Diagnostic, Hint, finding
from ..core.items import Border, Item, Knot, Lettering, Line, Motif, Placement, Swap
from ..core.source import Span

DEEPEST = 8  # motifs in motifs in motifs ...
MOST_RINGS = 20  # told of one by one


def names_in(item: Item) -> Sequence[str]:
    """Return the names of the motifs or alphabets that an item places."""
    if isinstance(item, Placement):
        return (item.motif,)
    if isinstance(item, Border):
        return item.motifs
    return item.alphabets if isinstance(item, Lettering) else ()


def placed_names(items: Iterable[Item], motifs: Mapping[str, Motif]) -> set[str]:
    """Return the names of all motifs and alphabets that items place, and those motifs in turn."""
    names: set[str] = set()
    waiting = [*items]
    while waiting:
        for name in names_in(waiting.pop()):
            if name not in names:
                names.add(name)
                waiting += motifs[name].items if name in motifs else ()
    return names


def inner_first(motifs: Mapping[str, Motif]) -> list[str]:
    """Return the names of motifs, each after those that it holds.

    Raises CycleError where motifs hold each other; reading lets none through.
    """
    return list(TopologicalSorter(_held(motifs)).static_order())


def _held(motifs: Mapping[str, Motif]) -> dict[str, list[str]]:
    return {
        name: [
            other
            for item in motif.items
            if not isinstance(item, Lettering)
            for other in names_in(item)
            if other in motifs
        ]
        for name, motif in motifs.items()
    }


def _place(motif: Motif, held: str) -> Span | None:
    """Return the line of a motif that places another."""
    return next((item.span for item in motif.items if held in names_in(item)), motif.span)


def check_nesting(motifs: Mapping[str, Motif], findings: list[Diagnostic]) -> list[str]:
    """Tell of motifs that hold themselves or are too deep; return those not to be looked into."""
    held = _held(motifs)
    left_out: list[str] = []
    order: list[str] | None = None
    while order is None:
        try:
            order = list(TopologicalSorter(held).static_order())
        except CycleError as error:
            ring: list[str] = error.args[1][:0:-1]  # each holds the next, the last the first
            findings.append(_ring(motifs, ring))
            many = len(left_out) < MOST_RINGS
            left_out += ring if many else [name for name in held if held[name]]
            held.update((name, []) for name in left_out)
    depth: dict[str, int] = {}
    for name in order:
        inner = max(held[name], key=lambda each: depth[each], default=None)
        depth[name] = 0 if inner is None else depth[inner] + 1
        if inner is not None and depth[name] > DEEPEST:
            findings.append(
                finding(
                    "motifs-too-deep",
                    f"In `{name}` lie motifs in motifs {depth[name]} deep; they can be {DEEPEST} "
                    "deep.",
                    _place(motifs[name], inner),
                    Hint(f"the motif `{inner}`, {depth[inner]} deep", motifs[inner].span),
                    "draw one of those inside as rows",
                )
            )
            depth[name] = 0
            left_out.append(name)
    return left_out


def _ring(motifs: Mapping[str, Motif], ring: Sequence[str]) -> Diagnostic:
    first, *others = ring
    places = [_place(motifs[name], held) for name, held in zip(ring, [*others, first], strict=True)]
    if not others:
        message = f"The motif `{first}` holds itself."
    else:
        steps = ", and that ".join(f"`{name}`" for name in (*others[:5], first))
        message = f"The motif `{first}` holds {steps}."
    steps_ = zip(others[:5], [*others[1:], first], places[1:], strict=False)
    hints = [Hint(f"`{name}` holds `{held}` here", place) for name, held, place in steps_]
    return finding("ring-of-motifs", message, places[0], *hints, "take one of them out")


def swapped_twice(inner: Swap, outer: Swap) -> Swap:
    """Return one swap that does the work of two, the first of which was made first."""
    pairs = dict(outer)
    both = {old: pairs.get(new, new) for old, new in inner}
    return tuple(sorted({**pairs, **both}.items()))


def swapped(item: Item, swap: Swap) -> Item:
    """Return an item of a motif whose symbols are swapped once it is put together."""
    if not swap:
        return item
    pairs = dict(swap)
    if isinstance(item, Line | Knot):
        return replace(item, symbol=pairs.get(item.symbol, item.symbol))
    both = swapped_twice(item.swap, swap)
    if not isinstance(item, Lettering) or item.turns is None:
        return replace(item, swap=both)
    turns = tuple(
        (old, tuple(pairs.get(new, new) for new in news)) for old, news in item.turns.swaps
    )
    return replace(item, swap=both, turns=replace(item.turns, swaps=turns))
