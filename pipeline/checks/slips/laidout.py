"""What was drawn by hand, laid out on one sheet, so that it is looked at all at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...core.model import BARE
from .handdrawn import NO_SYMBOL, Codes, Drawn, Turner
from .orientations import WAYS

Cells = NDArray[np.uint16]

NOTHING, BARE_CELL = 0, 1  # beyond what is drawn; bare fabric
NO_IMAGE = np.uint16(0xFFFF)  # a turned stitch for which the key has no symbol: like nothing else
GAP = 1  # cells of nothing around each drawing
_CODES = 0x110000


@dataclass(frozen=True, eq=False)
class Sheet:
    """Drawings side by side.

    cells: (rows, columns) a number for each symbol, NOTHING around and between. images: (8,
    numbers) what each symbol becomes under each of WAYS; leans: under which any does. drawn: the
    drawings, by number; corners: row and column of each. number: (rows, columns) of the drawing
    that a cell belongs to, -1 for none.
    """

    cells: Cells
    images: Cells
    leans: tuple[bool, ...]
    drawn: tuple[Drawn, ...]
    corners: tuple[tuple[int, int], ...]
    number: NDArray[np.int32]

    def find(self, row: int, column: int) -> tuple[Drawn, tuple[int, int]]:
        """Return the drawing that a cell belongs to, and its place there."""
        which = int(self.number[row, column])
        top, left = self.corners[which]
        return self.drawn[which], (row - top, column - left)


def sheet_of(drawings: Sequence[Drawn], turner: Turner) -> Sheet:
    """Lay drawings out; at least one."""
    codes, corners, number = _laid_out(drawings)
    table = np.zeros(_CODES, np.uint16)
    table[codes[number >= 0]] = 1
    table[ord(BARE)] = 0
    present = np.flatnonzero(table)
    table[present] = BARE_CELL + 1 + np.arange(len(present))
    table[ord(BARE)] = BARE_CELL
    cells = np.where(number < 0, np.uint16(NOTHING), table[codes])
    images = np.tile(np.arange(BARE_CELL + 1 + len(present), dtype=np.uint16), (len(WAYS), 1))
    for way, turn in enumerate(WAYS):
        for code, image in turner.image(turn).items():
            if table[code] > BARE_CELL:
                known = image != NO_SYMBOL and table[image] > BARE_CELL
                images[way, table[code]] = table[image] if known else NO_IMAGE
    leans = tuple(bool((each != images[0]).any()) for each in images)
    return Sheet(cells, images, leans, tuple(drawings), corners, number)


def _laid_out(
    drawings: Sequence[Drawn],
) -> tuple[Codes, tuple[tuple[int, int], ...], NDArray[np.int32]]:
    """Return the codes of all cells, the corner of each drawing, and which one has each cell."""
    area = sum((d.codes.shape[0] + GAP) * (d.codes.shape[1] + GAP) for d in drawings)
    width = max(round(area**0.5), *(d.codes.shape[1] for d in drawings)) + 2 * GAP
    # On shelves, the highest first, so that little is left bare.
    order = sorted(range(len(drawings)), key=lambda each: -drawings[each].codes.shape[0])
    corners: dict[int, tuple[int, int]] = {}
    top = left = GAP
    shelf = 0
    for each in order:
        height, across = drawings[each].codes.shape
        if left + across + GAP > width:
            top, left, shelf = top + shelf + GAP, GAP, 0
        corners[each] = top, left
        left += across + GAP
        shelf = max(shelf, height)
    codes = np.zeros((top + shelf + GAP, width), np.uint32)
    number = np.full(codes.shape, -1, np.int32)
    for each, (top, left) in corners.items():
        height, across = drawings[each].codes.shape
        area_of = np.s_[top : top + height, left : left + across]
        codes[area_of] = drawings[each].codes
        number[area_of] = each
    return codes, tuple(corners[each] for each in range(len(drawings))), number
