"""Which printed symbol stands for which key line.

It hangs on the key alone, not on which crosses are stitched where, so that a stitcher with a
half-worked piece can change over to a corrected chart. Three things are wanted, in this order:

1. It stays the same from one edition to the next. Each key line has an order of preference of its
   own among the shapes, drawn from nothing but the character that stands for it in the source.
   Lines choose in the order of the key, each looking only at the lines before it and at wishes: a
   thread added at the end of the key without a wish changes the symbol of no other, whatever
   crosses it takes over. One that is put between others may change those of lines after it.
2. Symbols differ. Shapes are ranked by how well each sets itself off from those ranked before it,
   and early ones are preferred more often. A line leaves its first preference where that is not
   unlike enough the symbol of a line before it or one that is wished for.
3. Where only black is printed the picture can still be seen: dark threads get symbols of much ink,
   light ones of little, by fixed steps of the lightness of the thread itself, and none gets so much
   that a large area of it would be loud. Part stitches, whose symbol stands small in a corner of
   the cell, get plain ones.

No rule that looks at the chart can keep the first. Let a line have one symbol on a chart A and
another on a chart B of the same key. Give every cell in which A and B differ to a thread added at
the end of the key: both become the same chart, on which the line has one symbol, so that it
changed in A or in B. Nor can one hold wherever in the key a thread is added: each character would
have one shape in all keys, and there are more characters than shapes.

All colourways share one set of symbols, which the threads of the chart itself decide on; beyond
their lightness colour plays no part, as a copy in black and white has to work by shape alone.
Whoever wants to be sure of a symbol for ever writes `printed NAME` on the key line.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from difflib import get_close_matches
from functools import cache

import numpy as np
from numpy.typing import NDArray

from ..colour.colour import lightness
from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostic, Diagnostics, Hint, finding, in_order
from ..core.key import KeyEntry
from ..core.model import Design
from ..core.suggest import any_of
from .ink import main_part, needle_colour, symbol_box
from .shapes import PLAINEST, Measures, follower, measures, shape_names

__all__ = ["check_wishes", "choose", "of_key", "shape_names"]

APART, LIKE = 0.5, 0.03  # difference asked of any two symbols; what one that has less costs besides
# From this lightness (L* of CIE 15:2004) on, the least and the most ink of a symbol.
INK = ((80, 0.0, 0.065), (65, 0.1, 0.145), (45, 0.17, 0.215), (25, 0.23, 0.285), (0, 0.29, 0.365))
BEYOND, UNFIT = 0.06, 0.6  # ink out of these bounds that is still allowed; likeness it counts as
EARLY = 20  # ranks after which a shape is liked half as often as the first
HALF_SIZE = 0.65  # of the cell: a symbol that is set smaller has to be one of the plainest

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]


def choose(worked: WorkedChart) -> dict[int, str]:
    """Return the shape of each cell key line in use, by its index in the key, from 1."""
    chosen = of_key(worked.design)
    used = set(worked.used)
    return {
        index: chosen[line]
        for index, line in enumerate(worked.line_of.tolist())
        if line in used and line in chosen
    }


def of_key(design: Design) -> dict[int, str]:
    """Return the shape of each key line for cells, by its index in the key, from 1.

    Wishes are granted first, in key order; one that asks for an unknown shape or for one already
    given is passed over (`check_wishes` reports it). No shape is given twice. Combined shapes come
    only after all drawn ones; if even these run out, the last lines of the key go without, and
    `check_wishes` reports `too-many-symbols`.
    """
    key, own = design.key, design.own_key or design.key
    kept = measures()
    chosen = _granted(key, kept)
    # Unused lines choose too, so that using one later on changes nothing for the others.
    for index, entry in enumerate(key, start=1):
        if index in chosen or not entry.is_cell or entry.turned_from:
            continue
        misfit = _misfit(own[index - 1], kept)
        open_to = _open(entry, set(chosen.values()), kept, misfit)
        if not len(open_to):
            break
        short = APART - kept.differences[open_to][:, sorted(chosen.values())]
        alike = np.where(short > 0, short + LIKE, 0).sum(axis=1)
        chosen[index] = int(open_to[np.argmin(np.round(alike + UNFIT * misfit[open_to], 6))])
    return {index: kept.names[shape] for index, shape in sorted(chosen.items())}


def check_wishes(design: Design) -> Diagnostics:
    """Report wishes for a printed symbol that cannot be granted, and a key that is too long."""
    faults: list[Diagnostic] = []
    names = shape_names()
    first: dict[str, KeyEntry] = {}
    for entry in design.key:
        wish = entry.printed
        if not wish:
            continue
        if not entry.is_cell:
            faults.append(
                finding(
                    "printed-unused",
                    f"`{entry.symbol}` is drawn as it is stitched and has no printed symbol.",
                    entry.span,
                    f"leave out `printed {wish}`",
                )
            )
        elif (later := follower(wish)) is not None:
            faults.append(
                finding(
                    "unknown-shape",
                    f"The printed symbol `{wish}` is no longer drawn; `{later}` took its place.",
                    entry.span,
                    f"write `printed {later}`, or leave it out to have one chosen",
                )
            )
        elif wish not in names:
            near = get_close_matches(wish, names, n=3, cutoff=0.5)
            faults.append(
                finding(
                    "unknown-shape",
                    f"There is no printed symbol called `{wish}`.",
                    entry.span,
                    f"did you mean {any_of(near)}?"
                    if near
                    else "names are plain words, such as `ring`, `plank` or `tulip`",
                )
            )
        elif wish in first:
            faults.append(
                finding(
                    "shape-wished-twice",
                    f"`{entry.symbol}` and `{first[wish].symbol}` both ask to be printed as"
                    f" `{wish}`.",
                    entry.span,
                    Hint("first asked for here", first[wish].span),
                    "change one of them, or leave it out to have one chosen",
                )
            )
        else:
            first[wish] = entry
    cells = [entry for entry in design.key if entry.is_cell]
    if len(cells) > len(names):
        faults.append(
            finding(
                "too-many-symbols",
                f"The key has {len(cells)} lines for cells, and there are only {len(names)} printed"
                " symbols that can be told apart.",
                cells[len(names)].span,
                "use fewer threads, or divide the chart into two",
            )
        )
    return in_order(faults)


def _granted(key: Iterable[KeyEntry], kept: Measures) -> dict[int, int]:
    number = kept.number
    granted: dict[int, int] = {}
    for index, entry in enumerate(key, start=1):
        row = number.get(entry.printed)
        if entry.is_cell and row is not None and row not in granted.values():
            granted[index] = row
    return granted


def _open(entry: KeyEntry, given: set[int], kept: Measures, misfit: Floats) -> Ints:
    # The shapes a line may choose from, best liked first. kept.names has all drawings before all
    # combined shapes.
    drawn = range(kept.drawn)
    stages: list[Iterable[int]] = [drawn, range(kept.drawn, len(kept.names))]
    if symbol_box(entry)[2] <= HALF_SIZE:
        stages.insert(0, [row for row in drawn if kept.names[row] in PLAINEST])
    stages[:0] = [[row for row in stages[0] if misfit[row] <= BEYOND]]
    liked = _liking(entry.symbol, kept.names)
    for rows in stages:
        free = np.array([row for row in rows if row not in given], dtype=np.int64)
        if len(free):
            return free[np.argsort(liked[free], kind="stable")]
    return np.array([], dtype=np.int64)


def _liking(mark: str, names: tuple[str, ...]) -> Floats:
    # How late each shape comes in the order of preference of a mark: a number for each pair of
    # mark and shape that depends on nothing else, and shapes of early rank come early more often
    # ("highest random weight", D. Thaler, C. Ravishankar, 1998; weighted as by P. Efraimidis,
    # P. Spirakis, 2006).
    mixed = _hashes(names) ^ np.uint64(_hash(mark))
    # The finishing steps of splitmix64 (G. Steele, D. Lea, C. Flood, 2014).
    mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    mixed = mixed ^ (mixed >> np.uint64(31))
    even = ((mixed >> np.uint64(11)) + 0.5) / 2**53
    late: Floats = -np.log(even) * (EARLY + np.arange(len(names)))
    return late


@cache
def _hashes(names: tuple[str, ...]) -> NDArray[np.uint64]:
    return np.array([_hash(name) for name in names], dtype=np.uint64)


def _hash(text: str) -> int:
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big")


def _misfit(entry: KeyEntry, kept: Measures) -> Floats:
    # By how much the ink of each shape is out of the bounds for a thread of this lightness.
    part = main_part(entry) if entry.counted is None else entry.parts[0]
    light = lightness(needle_colour(part.needle))
    least, most = next(bounds for lowest, *bounds in INK if light >= lowest)
    return np.maximum(0, np.maximum(least - kept.coverage, kept.coverage - most))
