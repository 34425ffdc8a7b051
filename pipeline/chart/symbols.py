"""Which printed symbol stands for which key line.

Three things are wanted of the choice, in this order:

1. It stays the same from one edition to the next, so that a stitcher with a half-worked piece can
   change over to a corrected chart. Each key line therefore has an order of preference of its own
   among the shapes, drawn from nothing but the character that stands for it in the source. Lines
   choose in the order of the key, each looking only at the lines before it and at wishes: a thread
   added at the end of the key without a wish cannot change the symbol of any other.
2. Symbols that lie side by side differ. Shapes are ranked by how well each sets itself off from
   those ranked before it, and early key lines choose among the first of them. A line leaves its
   first preference only for a reason: the shape looks like that of another line anywhere on the
   chart, or not unlike enough that of a line that it touches much. The shape it left stays set
   aside, so that a change of mind does not run on through the key.
3. Where only black is printed the picture can still be seen: dark threads get symbols of much ink,
   light ones of little, by fixed steps of the lightness of the thread itself. Within its step a
   thread of large areas takes what leaves the page quiet, and part stitches, whose symbol stands
   small in a corner of the cell, get plain ones.

What touches what and how large an area is are taken in coarse steps, so that changing a few crosses
changes hardly any symbol. All colourways share one set of symbols, which the threads of the chart
itself decide on; beyond their lightness colour plays no part, as a copy in black and white has to
work by shape alone. Whoever wants to be sure of a symbol for ever writes
`printed NAME` on the key line.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from functools import cache

import numpy as np
from numpy.typing import NDArray

from ..colour.colour import lightness
from ..compose.worked import IndexGrid, WorkedChart
from ..core.diagnostics import Diagnostic, Diagnostics, Hint, finding, in_order
from ..core.key import KeyEntry
from ..core.model import Design
from ..core.suggest import any_of
from .ink import main_part, needle_colour, symbol_box
from .shapes import PLAINEST, Measures, follower, measures, shape_names

__all__ = ["check_wishes", "choose", "shape_names", "touching"]

MUCH = 0.07  # of the edge of a line, or of the other one: from here on two lines touch much
APART_TOUCHING = 0.5  # difference asked of two symbols that touch much
APART = 0.36  # difference asked of any two symbols of a chart
# From this lightness (L* of CIE 15:2004) on, the least and the most ink of a symbol.
INK = ((80, 0.0, 0.13), (65, 0.1, 0.19), (45, 0.17, 0.26), (25, 0.23, 0.34), (0, 0.29, 0.44))
# From this many crosses on, how much of what its lightness allows it.
QUIET = ((1500, 0.5), (300, 0.75), (0, 1.0))
BEYOND = 0.12  # ink out of these bounds that is still allowed, for as much likeness
HALF_SIZE = 0.65  # of the cell: a symbol that is set smaller has to be one of the plainest
FIRST_CHOICES, MORE_CHOICES = 14, 1.5  # ranks open to the first line, and more for each line after

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]


def choose(worked: WorkedChart) -> dict[int, str]:
    """Return the shape of each cell key line in use, by its index in the key, from 1.

    Wishes are granted first, in key order; one that asks for an unknown shape or for one already
    given is passed over (`check_wishes` reports it). No shape is given twice. Combined shapes come
    only after all drawn ones; if even these run out, the last lines of the key go without, and
    `check_wishes` reports `too-many-symbols`.
    """
    key = worked.design.key
    own = worked.design.own_key or key
    kept = measures()
    # Unused lines choose too, so that using one later on changes nothing for the others.
    cells = [
        index for index, entry in enumerate(key, start=1) if entry.is_cell and not entry.turned_from
    ]
    chosen = _granted(key, kept)
    touches, areas = touching(worked), _areas(worked)
    given = set(chosen.values())
    set_aside = set(given)
    for place, index in enumerate(cells):
        if index in chosen:
            continue
        misfit = _misfit(own[index - 1], areas[index], kept)
        open_to = _open(key[index - 1], place, given, set_aside, kept, misfit)
        if not len(open_to):
            break
        before = np.array([cell for cell in cells if cell in chosen], dtype=int)
        others = np.array([chosen[each] for each in before], dtype=int)
        apart = kept.differences[open_to][:, others]
        unfit = misfit[open_to]
        alike = np.maximum(0, APART - apart).sum(axis=1)
        much = _much(touches, index, before)
        clash = np.maximum(0, np.where(much, APART_TOUCHING, APART) - apart).sum(axis=1)
        home = _first_of_least(alike + unfit)
        best = _first_of_least(clash + unfit)
        chosen[index] = int(open_to[best])
        given.add(int(open_to[best]))
        set_aside |= {int(open_to[best]), int(open_to[home])}
    shapes = {
        index: kept.names[chosen[index]] for index in cells if index in chosen and areas[index] > 0
    }
    return {
        index: shapes[line] for index, line in enumerate(worked.line_of.tolist()) if line in shapes
    }


def touching(worked: WorkedChart) -> Ints:
    """Return how often cells of each two key lines lie side by side or corner to corner.

    The result is symmetric, (n + 1, n + 1) for n key lines, without what touches itself; row 0 is
    bare fabric, that around the chart too. Pieces are counted each for itself, turned stitches with
    their line.
    """
    size = len(worked.design.key) + 1
    counts = np.zeros(size * size, dtype=np.int64)
    for grid in _grids(worked):
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


def _open(
    entry: KeyEntry,
    place: int,
    given: set[int],
    set_aside: set[int],
    kept: Measures,
    misfit: Floats,
) -> Ints:
    # The shapes a line may choose from, best liked first. kept.names is in order of rank, all
    # drawings before all combined shapes.
    drawn = range(kept.drawn)
    fitting = [row for row in drawn if misfit[row] <= BEYOND]
    ranked = fitting[: round(FIRST_CHOICES + MORE_CHOICES * place)]
    combined = range(kept.drawn, len(kept.names))
    stages: list[tuple[Sequence[int], set[int]]] = [
        (ranked, set_aside),
        (drawn, set_aside),
        (drawn, given),
        (combined, given),
    ]
    if symbol_box(entry)[2] <= HALF_SIZE:
        plainest = [row for row in drawn if kept.names[row] in PLAINEST]
        fitting = [row for row in plainest if misfit[row] <= BEYOND]
        stages = [(fitting, set_aside), (plainest, set_aside), (plainest, given), *stages]
    liked = _liking(entry.symbol, kept.names)
    for rows, barred in stages:
        free = np.array([row for row in rows if row not in barred], dtype=np.int64)
        if len(free):
            return free[np.argsort(liked[free], kind="stable")]
    return np.array([], dtype=np.int64)


def _liking(mark: str, names: tuple[str, ...]) -> NDArray[np.uint64]:
    # A number for each pair of mark and shape that depends on nothing else ("highest random
    # weight", D. Thaler, C. Ravishankar, 1998): the order among old shapes outlasts new ones.
    mixed = _hashes(names) ^ np.uint64(_hash(mark))
    # The finishing steps of splitmix64 (G. Steele, D. Lea, C. Flood, 2014).
    mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return mixed ^ (mixed >> np.uint64(31))


@cache
def _hashes(names: tuple[str, ...]) -> NDArray[np.uint64]:
    return np.array([_hash(name) for name in names], dtype=np.uint64)


def _hash(text: str) -> int:
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big")


def _much(touches: Ints, index: int, before: Ints) -> NDArray[np.bool_]:
    # Which of these lines it touches much, seen from either side: by the share of the whole edge,
    # with the bare fabric in and around the chart, so that a thread put there alters no share.
    edge = touches.sum(axis=1)
    much: NDArray[np.bool_] = touches[index, before] > MUCH * np.minimum(edge[index], edge[before])
    return much


def _areas(worked: WorkedChart) -> Floats:
    # In crosses of the chart's own grid, not as a share of it: making the chart larger elsewhere
    # changes nothing here.
    size = len(worked.design.key) + 1
    area = np.bincount(worked.grid.ravel(), minlength=size).astype(np.float64)
    for piece in worked.pieces:
        area += np.bincount(piece.grid.ravel(), minlength=size) * piece.cell**2
    for stand in worked.stands:
        area[stand.index] += 1  # its sign stands only here and there
    return np.bincount(worked.line_of, area, minlength=size).astype(np.float64)


def _misfit(entry: KeyEntry, area: float, kept: Measures) -> Floats:
    # By how much the ink of each shape is out of the bounds for a thread of this lightness.
    part = main_part(entry) if entry.counted is None else entry.parts[0]
    light = lightness(needle_colour(part.needle))
    least, most = next(bounds for lowest, *bounds in INK if light >= lowest)
    most = least + (most - least) * next(share for crosses, share in QUIET if area >= crosses)
    return np.maximum(0, np.maximum(least - kept.coverage, kept.coverage - most))


def _first_of_least(faults: Floats) -> int:
    return int(np.argmin(np.round(faults, 6)))


def _grids(worked: WorkedChart) -> list[IndexGrid]:
    return [worked.grid, *(piece.grid for piece in worked.pieces)]
