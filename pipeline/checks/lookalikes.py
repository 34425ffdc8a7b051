"""What looks alike side by side: threads to all or some eyes or in grey, printed symbols."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..chart import likeness
from ..chart.ink import main_part, needle_colour
from ..chart.shapes import difference as shape_difference
from ..chart.symbols import APART, check_wishes, choose
from ..colour.vision import Sight, apart
from ..compose.copies import recolour
from ..compose.worked import WorkedChart
from ..core.diagnostics import Hint
from ..core.key import KeyEntry, Thread
from ..core.source import Span
from .checking import Check, Fault


def touching(worked: WorkedChart) -> NDArray[np.int64]:
    """Return how often cells of each two key lines lie side by side or corner to corner.

    The result is symmetric, (n + 1, n + 1) for n key lines, without what touches itself; row 0 is
    bare fabric, that around the chart too. Pieces are counted each for itself, turned stitches with
    their line.
    """
    size = len(worked.design.key) + 1
    counts = np.zeros(size * size, dtype=np.int64)
    for grid in (worked.grid, *(piece.grid for piece in worked.pieces)):
        wide = np.pad(grid.astype(np.int64), 1)
        for one, other in (
            (wide[:, :-1], wide[:, 1:]),
            (wide[:-1], wide[1:]),
            (wide[:-1, :-1], wide[1:, 1:]),
            (wide[:-1, 1:], wide[1:, :-1]),
        ):
            counts += np.bincount((one * size + other).ravel(), minlength=size * size)
    square = counts.reshape(size, size)
    both = square + square.T
    for index in np.flatnonzero(worked.line_of != np.arange(size)).tolist():
        for way in (both, both.T):
            way[worked.line_of[index]] += way[index]
            way[index] = 0
    np.fill_diagonal(both, 0)
    return both


def _wishes(name: str) -> Callable[[WorkedChart], Iterator[Fault]]:
    def look(worked: WorkedChart) -> Iterator[Fault]:
        for each in check_wishes(worked.design):
            if each.name == name:
                yield Fault(each.message, each.span, each.hints)

    return look


def _alike_symbols(worked: WorkedChart) -> Iterator[Fault]:
    key = worked.design.key
    chosen = choose(worked)
    for one, other in np.argwhere(np.triu(touching(worked))).tolist():
        first, second = chosen.get(one), chosen.get(other)
        if first is None or second is None:
            continue
        apart = shape_difference(first, second)
        # What was chosen freely is as far apart as the set allows, unless the key is very long.
        wished = key[one - 1].printed or key[other - 1].printed
        if apart < (WISHED if wished else likeness.ALIKE):
            yield Fault(
                f"`{key[one - 1].symbol}` and `{key[other - 1].symbol}` lie side by side, and "
                f"their printed symbols `{first}` and `{second}` look alike "
                f"(difference {apart:.2f}; at least {WISHED:g} wanted).",
                key[other - 1].span,
                (
                    Hint(f"`{key[one - 1].symbol}` is here", key[one - 1].span),
                    "ask for another symbol, or leave the choice open",
                ),
            )


ALIKE = 5.0  # CIEDE2000; below it two threads are hard to tell apart on the cloth (from memory)
SAME = 3.0  # CIEDE2000; below it nothing but the symbols tells two threads apart (from memory)
SHOWN = 3  # pairs named one by one
WISHED = 0.36  # difference asked of a symbol that is wished for and one that it touches
MUCH = 1 / 10  # of the edge of either: threads that touch less are seldom seen side by side


@dataclass(frozen=True)
class _WayColours:
    """The key in its own threads or those of a colourway."""

    where: str  # `` for its own
    key: tuple[KeyEntry, ...]
    span: Span | None


def _palettes(worked: WorkedChart) -> Iterator[_WayColours]:
    yield _WayColours("", worked.design.key, None)
    for colourway in worked.design.colourways:
        key = recolour(worked, colourway.name).design.key
        yield _WayColours(f"In the colourway `{colourway.name}` ", key, colourway.span)


def _threads(entry: KeyEntry) -> list[Thread]:
    used = {strands.thread for part in entry.parts for strands in part.needle}
    return sorted(used, key=lambda each: each.label)


def _alike_threads(worked: WorkedChart) -> Iterator[Fault]:
    pairs = np.argwhere(np.triu(touching(worked)[1:, 1:], 1)).tolist()
    told: set[frozenset[Thread]] = set()
    for palette in _palettes(worked):
        threads = [_threads(entry) for entry in palette.key]
        sides = [
            (one, other, first, second)
            for one, other in pairs
            # A shade and a blend that holds it are meant to be near each other.
            if not set(threads[one]) & set(threads[other])
            for first in threads[one]
            for second in threads[other]
        ]
        firsts = [first.colour for _, _, first, _ in sides]
        differ = apart(firsts, [second.colour for *_, second in sides], Sight.ALL)
        for at in np.flatnonzero(differ < ALIKE).tolist():
            one, other, first, second = sides[at]
            if frozenset((first, second)) in told:
                continue
            told.add(frozenset((first, second)))
            there = palette.key[one]
            yield Fault(
                _sentence(
                    f"{palette.where}`{first.label}` and `{second.label}` lie side by side and are "
                    f"hard to tell apart: their colours differ by {differ[at]:.1f} (CIEDE2000)."
                ),
                palette.span or palette.key[other].span,
                (
                    Hint(f"`{there.symbol}` is here", there.span),
                    "choose a lighter or darker one of the two, or keep them apart",
                ),
            )


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _to_some(sights: Sequence[Sight], least: float) -> Callable[[WorkedChart], Iterator[Fault]]:
    """Return what looks for threads that touch much and are alike in one of these ways."""

    def look(worked: WorkedChart) -> Iterator[Fault]:
        printed = any(sight.printed for sight in sights)
        shapes = choose(worked) if printed else {}
        pairs = [
            (one, other)
            for one, other in _touching_much(worked)
            if not printed or _symbols_near(shapes, one, other)
        ]
        for palette in _palettes(worked):
            threads = [set(_threads(entry)) for entry in palette.key]
            apart_ones = [(one, other) for one, other in pairs if not threads[one] & threads[other]]
            if not apart_ones:
                continue
            ones, others = (
                [needle_colour(main_part(palette.key[at]).needle) for at in each]
                for each in zip(*apart_ones, strict=True)
            )
            clear = apart(ones, others, Sight.ALL)
            for sight in sights:
                differ = apart(ones, others, sight)
                alike = [
                    (float(differ[at]), *apart_ones[at])
                    for at in np.flatnonzero((differ < least) & (clear >= ALIKE)).tolist()
                ]
                if alike:
                    yield _of_some(palette, sight, sorted(alike))

    return look


def _touching_much(worked: WorkedChart) -> list[tuple[int, int]]:
    """Return key lines for cells, counted from 0, that share much of the edge of either."""
    sides = touching(worked)
    edge = sides.sum(axis=1)
    much = np.triu(sides > MUCH * np.minimum(edge[:, None], edge))[1:, 1:]
    return [(one, other) for one, other in np.argwhere(much).tolist()]


def _symbols_near(shapes: dict[int, str], one: int, other: int) -> bool:
    """Tell whether two key lines, counted from 0, are not told apart at a glance by symbol."""
    if one + 1 not in shapes or other + 1 not in shapes:
        return False
    return shape_difference(shapes[one + 1], shapes[other + 1]) < APART


def _of_some(palette: _WayColours, sight: Sight, alike: list[tuple[float, int, int]]) -> Fault:
    key = palette.key
    named = ", ".join(
        f"`{key[one].symbol}` and `{key[other].symbol}` ({apart:.1f})"
        for apart, one, other in alike[:SHOWN]
    )
    more = f" and {len(alike) - SHOWN} more pairs" if len(alike) > SHOWN else ""
    _, one, other = alike[0]
    advice = (
        "ask for symbols that differ more (`printed NAME`), or choose a lighter or darker thread"
        if sight.printed
        else "choose a lighter or darker thread, so that the chart and the cloth can be read by all"
    )
    return Fault(
        _sentence(
            f"{palette.where}{sight.value} these look alike and lie side by side: {named}{more}."
        ),
        palette.span or key[other].span,
        (Hint(f"`{key[one].symbol}` is here", key[one].span), advice),
    )


CHECKS = (
    Check("alike-threads", _alike_threads),
    Check("alike-to-some", _to_some((Sight.NO_RED, Sight.NO_GREEN, Sight.NO_BLUE), SAME)),
    Check("alike-in-grey", _to_some((Sight.GREY,), SAME)),
    Check("unknown-shape", _wishes("unknown-shape")),
    Check("shape-wished-twice", _wishes("shape-wished-twice")),
    Check("too-many-symbols", _wishes("too-many-symbols")),
    Check("printed-unused", _wishes("printed-unused")),
    Check("alike-symbols", _alike_symbols),
)
