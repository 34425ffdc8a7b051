"""Figures that stand more than once: where one is worn, a sound sister tells what was there.

Every connected figure is laid over the whole draft; where it stands again shows by how many of the
sure cells agree. All places are tried at once, by correlation.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import scipy.fft
from numpy.typing import NDArray
from scipy.ndimage import find_objects, label

from .colours import Cells
from .placing import Floats

Mask = NDArray[np.bool_]

_FEWEST, _WIDEST = 8, 80  # crosses of a figure, and of its longer side
_MOST_FIGURES = 80  # the largest ones
_SOUND = 0.8  # of a figure's crosses have to be sure for it to be anybody's sister
_SEEN = 0.5  # of the crosses of the worn one have to be sure
_AGREE = 0.93  # of all that is sure in both


@dataclass(frozen=True, eq=False)
class Filled:
    """Doubtful cells (n, 2), column and row, that a sister tells, and the threads she has there.

    worn, sister: column and row of the first cell of both figures' boxes.
    """

    cells: Cells
    threads: Cells
    worn: tuple[int, int]
    sister: tuple[int, int]


def filled(cells: Cells, sure: Mask, worn: Mask) -> tuple[Filled, ...]:
    """Return what sisters tell of worn cells; none twice, and none on which sisters disagree.

    cells: (height, width) threads. sure: which of them count as known. worn: which are asked for.
    """
    if not worn.any():
        return ()
    places = _Places(cells, sure)
    told: dict[tuple[int, int], list[tuple[float, int, int]]] = {}
    matches: list[tuple[tuple[int, int], tuple[int, int]]] = []
    for box in _figures(cells, sure):
        figure, known = cells[box], sure[box]
        top, left = box[0].start, box[1].start
        for row, column, share in places.of(figure, known):
            if (row, column) == (top, left):
                continue
            there = np.s_[row : row + figure.shape[0], column : column + figure.shape[1]]
            asked = worn[there] & known
            if not asked.any():
                continue
            matches.append(((column, row), (left, top)))
            for down, right in np.argwhere(asked).tolist():
                says = share, int(figure[down, right]), len(matches) - 1
                told.setdefault((row + down, column + right), []).append(says)
    by_match: dict[int, list[tuple[int, int, int]]] = {}
    for (row, column), answers in sorted(told.items()):
        if len({thread for _, thread, _ in answers}) == 1:
            _, thread, match = max(answers)
            by_match.setdefault(match, []).append((column, row, thread))
    return tuple(
        Filled(
            np.array([place[:2] for place in found], dtype=np.int32),
            np.array([place[2] for place in found], dtype=np.int32),
            *matches[match],
        )
        for match, found in sorted(by_match.items())
    )


def _figures(cells: Cells, sure: Mask) -> Iterator[tuple[slice, slice]]:
    """Give the boxes of connected figures that are sound, the largest first."""
    joined, many = label(cells > 0, structure=np.ones((3, 3)))
    sizes = np.bincount(joined.ravel(), minlength=many + 1)
    known = np.bincount(joined.ravel(), sure.ravel(), minlength=many + 1)
    boxes = find_objects(joined)
    order = (1 + np.argsort(-sizes[1:], kind="stable")).tolist()
    given = 0
    for number in order:
        box = boxes[number - 1]
        longer = max(part.stop - part.start for part in box)
        if sizes[number] < _FEWEST or longer > _WIDEST or known[number] < _SOUND * sizes[number]:
            continue
        given += 1
        if given > _MOST_FIGURES:
            break
        yield box


class _Places:
    """Where figures stand again in a draft."""

    def __init__(self, cells: Cells, sure: Mask) -> None:
        self._shape = cells.shape
        self._room = [scipy.fft.next_fast_len(side + _WIDEST) for side in cells.shape]
        self._threads = {
            thread: self._waves((cells == thread) & sure) for thread in np.unique(cells).tolist()
        }
        self._sure = self._waves(sure)

    def _waves(self, mask: Mask) -> NDArray[np.complex64]:
        waves: NDArray[np.complex64] = scipy.fft.rfft2(mask.astype(np.float32), self._room)
        return waves

    def of(self, figure: Cells, known: Mask) -> Iterator[tuple[int, int, float]]:
        """Give row, column and the share that agrees of the places where a figure stands."""
        agree = both = np.zeros(1, dtype=np.complex64)
        stitched = both
        for thread in np.unique(figure[known]).tolist():
            mine = np.conj(self._waves((figure == thread) & known))
            agree = agree + self._threads[thread] * mine
            both = both + self._sure * mine
            if thread > 0:
                stitched = stitched + self._threads[thread] * mine
        right, all_, crosses = (self._back(each, figure.shape) for each in (agree, both, stitched))
        needed = _SEEN * int(((figure > 0) & known).sum())
        share = right / np.maximum(all_, 1)
        for row, column in np.argwhere((share >= _AGREE) & (crosses >= needed)).tolist():
            yield row, column, float(share[row, column])

    def _back(self, waves: NDArray[np.complex64], shape: tuple[int, ...]) -> Floats:
        """Return sums at all places where a figure of that shape lies inside."""
        height, width = (whole - own + 1 for whole, own in zip(self._shape, shape, strict=True))
        sums: Floats = np.rint(scipy.fft.irfft2(waves, self._room)[:height, :width])
        return sums
