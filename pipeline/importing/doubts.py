"""Doubtful cells of a draft as areas that a chart can state: few boxes, each with its reason.

Many small areas are joined with their neighbours of the same reason, farther and farther, until
there are few enough to be looked through one by one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import binary_dilation, find_objects, label

from ..core.matter import NoteKind
from ..photograph.drafting import Doubt, Doubtful
from .marks import Box, Whereabouts, mark

MOST_AREAS = 80
# Crosses by which areas are joined to their neighbours; in the end all of one reason.
_REACHES = (0, 1, 2, 3, 5, 8, 13, 21, 34, None)
_AROUND = np.ones((3, 3), dtype=bool)


@dataclass(frozen=True)
class Inferred:
    """An area of a draft, and why it is doubtful, as a sentence."""

    box: Box
    words: str

    def line(self, part: Whereabouts) -> str:
        """Return the line of a chart that says so of a part of it."""
        return mark(NoteKind.INFERRED, self.box, self.words, part)


def inferred(doubts: Sequence[Doubtful], size: tuple[int, int]) -> tuple[Inferred, ...]:
    """Return the areas of a draft of so many crosses, from top to bottom, at most MOST_AREAS."""
    made: list[Inferred] = []
    for reach in _REACHES:
        made = [area for reason in Doubt for area in _areas(reason, doubts, size, reach)]
        if len(made) <= MOST_AREAS:
            break
    return tuple(sorted(made, key=lambda area: (area.box[1], area.box[0], area.words)))


def _areas(
    reason: Doubt, doubts: Sequence[Doubtful], size: tuple[int, int], reach: int | None
) -> Iterator[Inferred]:
    """Yield the areas of one reason, those joined that lie within reach; None joins all."""
    alike = [doubt for doubt in doubts if doubt.reason is reason]
    if reach == 0:
        for doubt in alike:
            yield Inferred(doubt.box, _words(reason, len(doubt.cells), doubt.sister))
        return
    mask = np.zeros((size[1], size[0]), dtype=bool)
    for doubt in alike:
        mask[doubt.cells[:, 1], doubt.cells[:, 0]] = True
    numbers = mask.astype(np.int32)
    if reach is not None:
        numbers *= label(binary_dilation(mask, _AROUND, iterations=reach), _AROUND)[0]
    counts = np.bincount(numbers.ravel())
    for number, at in enumerate(find_objects(numbers), start=1):
        if at is not None:
            rows, columns = at
            box = columns.start, rows.start, columns.stop, rows.stop
            yield Inferred(box, _words(reason, int(counts[number]), None))


def _words(
    reason: Doubt, cells: int, sister: tuple[tuple[int, int], tuple[int, int]] | None
) -> str:
    """Return why so many cells are doubtful, as a sentence of a note."""
    many = "1 cell" if cells == 1 else f"{cells:,} cells"
    if sister is None:
        return f"{many} doubtful in the photograph: {reason.value}."
    (x, y), _ = sister
    return f"{many} doubtful in the photograph: {reason.value} at {x},{y}."
