"""Motifs and letters whose drawing differs between two designs, each once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ..compose.rows import UNKNOWN, RowTable
from ..core.model import Design, KeyEntry, Knot, Line, Motif
from .areas import areas
from .canvas import align, lay
from .changes import Lettered, Redrawn
from .keys import KeyPairs
from .stretches import Mark, Run, dotted, stretches, unlike, with_strayed


def redrawn_motifs(old: Design, new: Design, pairs: KeyPairs) -> dict[str, Redrawn]:
    """Return the motifs of both designs that are drawn otherwise, in the order of the new one.

    Where their copies stand is not known here.
    """
    tables = RowTable(old.key), RowTable(new.key)
    redrawn: dict[str, Redrawn] = {}
    for name, motif in new.motifs.items():
        before = old.motifs.get(name)
        if before is None or _same(before, motif):
            continue
        drawing = _compare(before, motif, tables, pairs, new.ground.fabric.over)
        if drawing is not None:
            redrawn[name] = drawing
    return redrawn


def _same(one: Motif, other: Motif) -> bool:
    return (one.rows, one.lines, one.knots) == (other.rows, other.lines, other.knots)


def _compare(
    old: Motif, new: Motif, tables: tuple[RowTable, RowTable], pairs: KeyPairs, over: int
) -> Redrawn | None:
    before, after = (table.grid(each.rows) for table, each in zip(tables, (old, new), strict=True))
    # What the key does not hold is swapped where the motif is placed: here it is left bare.
    before, after = (np.where(each == UNKNOWN, 0, each) for each in (before, after))
    shift = align(pairs.old_class[before], pairs.new_class[after])
    canvas = lay(pairs, before, after, shift)
    lines, more = unlike(
        _runs(old.lines, pairs.old, pairs.old_class, shift),
        _runs(new.lines, pairs.new, pairs.new_class),
    )
    strokes = stretches(lines, more, pairs.old, pairs.new, new.over or over)
    dots = dotted(
        _marks(old.knots, pairs.old, pairs.old_class, shift),
        _marks(new.knots, pairs.new, pairs.new_class),
    )
    drawn = *strokes, *with_strayed(dots, pairs.partner)
    sizes = (old.width, old.height), (new.width, new.height)
    changed = areas(canvas, canvas.changed)
    if not (changed or drawn):
        return None
    return Redrawn(new.name, changed, drawn, sizes if sizes[0] != sizes[1] else None)


def _runs(
    lines: Sequence[Line],
    key: Sequence[KeyEntry],
    classes: np.ndarray[tuple[int, ...], np.dtype[np.int32]],
    shift: tuple[int, int] = (0, 0),
) -> list[Run]:
    index = {entry.symbol: at for at, entry in enumerate(key, 1)}
    return [
        Run(
            index[each.symbol],
            int(classes[index[each.symbol]]),
            np.array(each.points) + shift,
            1.0,
        )
        for each in lines
        if each.symbol in index
    ]


def _marks(
    knots: Sequence[Knot],
    key: Sequence[KeyEntry],
    classes: np.ndarray[tuple[int, ...], np.dtype[np.int32]],
    shift: tuple[int, int] = (0, 0),
) -> list[Mark]:
    index = {entry.symbol: at for at, entry in enumerate(key, 1)}
    return [
        Mark(index[each.symbol], int(classes[index[each.symbol]]), x + shift[0], y + shift[1])
        for each in knots
        if each.symbol in index
        for x, y in each.points
    ]


def redrawn_letters(old: Design, new: Design) -> Iterator[Lettered]:
    """Give by alphabet the letters of both designs that are drawn otherwise."""
    for name, alphabet in new.alphabets.items():
        before = old.alphabets.get(name)
        letters = {} if before is None else before.letters
        redrawn = tuple(
            character
            for character, letter in alphabet.letters.items()
            if character in letters and letters[character].rows != letter.rows
        )
        if redrawn:
            yield Lettered(name, redrawn)
