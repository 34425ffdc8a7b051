"""Motifs and letters whose drawing differs between two designs, each once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..compose.rows import UNKNOWN, RowTable
from ..core.model import Design, KeyEntry, Knot, Line, Motif
from .alignment import align
from .areas import areas
from .canvas import lay
from .differences import Area, Dotted, Stretch
from .keypairs import KeyPairs
from .stretches import Mark, Run, dotted, stretches, unlike


@dataclass(frozen=True, eq=False)
class Drawing:
    """How the drawing of one motif changed, in its own measure; see `differences.Redrawn`."""

    areas: tuple[Area, ...]
    strokes: tuple[Stretch, ...]
    points: tuple[Dotted, ...]
    resized: tuple[tuple[int, int], tuple[int, int]] | None


def redrawn_motifs(old: Design, new: Design, pairs: KeyPairs) -> dict[str, Drawing]:
    """Return the motifs of both designs that are drawn otherwise, in the order of the new one."""
    tables = RowTable(old.key), RowTable(new.key)
    found: dict[str, Drawing] = {}
    for name, motif in new.motifs.items():
        before = old.motifs.get(name)
        if before is None or _same(before, motif):
            continue
        drawing = _compare(before, motif, tables, pairs, new.ground.fabric.over)
        if drawing is not None:
            found[name] = drawing
    return found


def _same(one: Motif, other: Motif) -> bool:
    return (one.rows, one.lines, one.knots) == (other.rows, other.lines, other.knots)


def _compare(
    old: Motif, new: Motif, tables: tuple[RowTable, RowTable], pairs: KeyPairs, over: int
) -> Drawing | None:
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
    points = dotted(
        _marks(old.knots, pairs.old, pairs.old_class, shift),
        _marks(new.knots, pairs.new, pairs.new_class),
    )
    resized = (old.width, old.height) != (new.width, new.height)
    changed = areas(canvas, canvas.changed)
    if not (changed or strokes or points):
        return None
    sizes = ((old.width, old.height), (new.width, new.height)) if resized else None
    return Drawing(changed, strokes, points, sizes)


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


def redrawn_letters(old: Design, new: Design) -> dict[str, tuple[str, ...]]:
    """Return by alphabet the letters of both designs that are drawn otherwise."""
    found = {}
    for name, alphabet in new.alphabets.items():
        before = old.alphabets.get(name)
        if before is None:
            continue
        letters = tuple(
            character
            for character, letter in alphabet.letters.items()
            if character in before.letters and before.letters[character].rows != letter.rows
        )
        if letters:
            found[name] = letters
    return found
