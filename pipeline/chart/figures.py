"""Which figures of a chart a page break would cut: motifs, letters, words, and stitches that touch.

What is asked of a figure is only from where to where it reaches across and down.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np
from numpy.typing import NDArray

from ..compose.worked import Placed, WorkedChart

# What it costs to cut a letter, a word, and all that else is a figure, as a share of the side of a
# cell: so much smaller may cells be to spare it.
LETTER, WORD, ALL_ELSE = 0.03, 0.02, 0.25
MOST_ELSE = 0.01  # for one of few


@dataclass(frozen=True, eq=False)
class Figures:
    """boxes: x0, y0, x1, y1 of each figure, in cells of the chart. cost: of cutting each."""

    boxes: NDArray[np.int64]
    cost: NDArray[np.float64]


def figures(worked: WorkedChart) -> Figures:
    """Return the figures of a chart.

    They are what is placed, the words that letters make, lines, and stitches that touch each
    other, be it at a corner.
    """
    letters = [_box(each) for each in worked.placed if each.motif is None]
    words = list(_words(worked.placed))
    other = [_box(each) for each in worked.placed if each.motif is not None]
    for line in worked.lines:
        (x0, y0), (x1, y1) = line.points.min(axis=0), line.points.max(axis=0)
        other.append((x0, y0, x1, y1))
    placed = np.array([*letters, *words, *other], dtype=float).reshape(-1, 4)
    low, high = np.floor(placed[:, :2]), np.ceil(placed[:, 2:])
    stitched = touching(worked.grid != 0)
    many = len(letters), len(words), len(other) + len(stitched)
    return Figures(
        np.concatenate([np.hstack([low, high]).astype(np.int64), stitched]),
        np.repeat([LETTER, WORD, min(MOST_ELSE, ALL_ELSE / max(1, many[2]))], many),
    )


def costs(
    figures: Figures, down: bool, length: int, overlap: int, most: int
) -> NDArray[np.float64]:
    """Return for each grid line from 0 to the length what a break there costs.

    A figure is cut when neither page shows the whole of it. One that no page could show whole,
    for it is longer than `most`, does not count.
    """
    first, last = figures.boxes[:, int(down)], figures.boxes[:, 2 + int(down)]
    start, end = first + overlap, last - overlap
    counted = (end - start > 1) & (last - first <= most)
    start, end = start[counted].clip(0, length), end[counted].clip(0, length)
    steps = np.zeros(length + 2)
    np.add.at(steps, start + 1, figures.cost[counted])
    np.add.at(steps, np.maximum(end, start + 1), -figures.cost[counted])
    return np.cumsum(steps)[: length + 1].round(9)


def _box(placed: Placed) -> tuple[float, float, float, float]:
    return placed.x, placed.y, placed.x + placed.width, placed.y + placed.height


def _words(placed: Sequence[Placed]) -> Iterator[tuple[float, float, float, float]]:
    """Give the extent of each word: of letters that stand no farther apart than any two."""
    letters = (each for each in placed if each.motif is None)
    for _, text in groupby(letters, key=lambda each: each.span):
        for _, several in groupby(text, key=lambda each: each.y + each.height):
            line = [_box(each) for each in several]
            gaps = [after[0] - before[2] for before, after in pairwise(line)]
            word = list(line[:1])
            for gap, box in zip(gaps, line[1:], strict=True):
                if gap > min(gaps):
                    yield _around(word)
                    word = []
                word.append(box)
            if word:
                yield _around(word)


def _around(
    boxes: Sequence[tuple[float, float, float, float]],
) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return min(x0), min(y0), max(x1), max(y1)


def touching(stitched: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Return x0, y0, x1, y1 of all stitches that touch each other, corners included.

    Runs of each row are joined with those of the next that they touch. Each takes the least number
    of those it is joined with, again and again, until nothing changes. (SciPy has this too, but
    takes a fifth of a second to load.)
    """
    height, width = stitched.shape
    edges = np.diff(np.pad(stitched, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    rows, starts = np.nonzero(edges == 1)
    _, ends = np.nonzero(edges == -1)
    # Runs in reading order; of the row below those touch that end at or after the start less one,
    # and begin at or before the end.
    wide = width + 2
    begins, stops = rows * wide + starts, rows * wide + ends
    first = np.searchsorted(stops, begins + wide, "left")
    last = np.searchsorted(begins, stops + wide, "right")
    many = np.maximum(last - first, 0)
    upper = np.repeat(np.arange(len(rows)), many)
    lower = np.arange(many.sum()) - np.repeat(np.cumsum(many) - many, many) + np.repeat(first, many)
    least = np.arange(len(rows))
    while True:
        joined = np.minimum(least[upper], least[lower])
        before = least.copy()
        np.minimum.at(least, least[upper], joined)
        np.minimum.at(least, least[lower], joined)
        least = least[least]
        if (least == before).all() and (least[upper] == least[lower]).all():
            break
    _, which = np.unique(least, return_inverse=True)
    boxes = np.empty((which.max(initial=-1) + 1, 4), np.int64)
    boxes[:, :2], boxes[:, 2:] = max(width, height), 0
    np.minimum.at(boxes[:, 0], which, starts)
    np.minimum.at(boxes[:, 1], which, rows)
    np.maximum.at(boxes[:, 2], which, ends)
    np.maximum.at(boxes[:, 3], which, rows + 1)
    return boxes
