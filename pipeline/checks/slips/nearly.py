"""Motifs that are nearly symmetric, and grids that nearly hold a motif: but for one cell."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...compose.misplaced import place, squares
from ...compose.worked import WorkedChart
from ...core.diagnostics import Hint
from ...core.items import BARE, Mirror, Motif
from ...stitches.turn import Turn
from ..checking import Fault
from ..symmetry import Pair, broken_pairs
from .handdrawn import (
    WAYS,
    Codes,
    DrawnSheet,
    HandDrawn,
    Turner,
    codes_of,
    drawn_chart,
    drawn_motifs,
)
from .repeats import Repeats


class Pattern:
    """A small grid to look for, with how often it holds each code."""

    def __init__(self, codes: Codes) -> None:
        """Count its cells once, since it is looked for in many grids."""
        self.codes = codes
        self.counts = _counted(codes)


class Finder:
    """Looks in one grid."""

    def __init__(self, codes: Codes) -> None:
        """Take the grid."""
        self._codes = codes
        self._places: dict[int, NDArray[np.int64]] = {}
        self._counts = _counted(codes)

    def nearly(self, pattern: Pattern) -> list[tuple[int, int]]:
        """Return the places (row, column) of a pattern of which exactly one cell differs."""
        height, width = pattern.codes.shape
        if height > self._codes.shape[0] or width > self._codes.shape[1]:
            return []
        lacking = 0
        for code, many in pattern.counts.items():
            lacking += max(0, many - self._counts.get(code, 0))
            if lacking > 1:
                return []  # most patterns go here: the cells for them are not there at all
        cells: set[tuple[int, int]] = set()
        # With one cell wrong, one of two halves is there whole.
        for top, bottom in ((0, height // 2), (height // 2, height)):
            for row, column in self._whole(pattern.codes, top, bottom):
                there = self._codes[row : row + height, column : column + width]
                if np.count_nonzero(there != pattern.codes) == 1:
                    cells.add((row, column))
        return sorted(cells)

    def _whole(self, pattern: Codes, top: int, bottom: int) -> Iterator[tuple[int, int]]:
        """Yield where the rows of a pattern from top to bottom are there whole."""
        cells = [
            (row, column, code)
            for row in range(top, bottom)
            for column, code in enumerate(pattern[row].tolist())
        ]
        if not cells:
            return
        # The rarest code leaves the fewest places to look at.
        cells.sort(key=lambda cell: self._counts.get(cell[2], 0))
        height, width = self._codes.shape
        down, across, code = cells[0]
        rows, columns = np.divmod(self._of(code), width)
        rows, columns = rows - down, columns - across
        inside = (rows >= 0) & (columns >= 0)
        inside &= (rows <= height - pattern.shape[0]) & (columns <= width - pattern.shape[1])
        rows, columns = rows[inside], columns[inside]
        for down, across, code in cells[1:]:
            if not rows.size:
                return
            same = self._codes[rows + down, columns + across] == code
            rows, columns = rows[same], columns[same]
        yield from zip(rows.tolist(), columns.tolist(), strict=True)

    def _of(self, code: int) -> NDArray[np.int64]:
        if code not in self._places:
            self._places[code] = np.flatnonzero(self._codes == code)
        return self._places[code]


def _counted(codes: Codes) -> dict[int, int]:
    kinds, counts = np.unique(codes, return_counts=True)
    return dict(zip(kinds.tolist(), counts.tolist(), strict=True))


LEAST_STITCHES = 24  # of a motif whose symmetry is looked at though nobody stated it
MOST_PAIRS = 20_000  # of motifs held to one another
LEAST_CHANGES = 12  # neighbours that differ in a motif that is looked for by its look

Cell = tuple[int, int]  # row and column of a drawing

_MIRRORS = tuple(Turn.of(mirror) for mirror in Mirror)
_ACROSS = (Turn(flip=True, quarters=1), Turn(flip=True, quarters=3))  # about a diagonal
_BARE = ord(BARE)


@dataclass(frozen=True, eq=False)
class Slip:
    """A cell of a drawing that is likely wrong. name: of the rule that found it."""

    name: str
    drawn: HandDrawn
    cell: Cell
    message: str
    hints: tuple[Hint | str, ...]

    @property
    def fault(self) -> Fault:
        """What is told of it."""
        row, column = self.cell
        hints = self.hints
        if self.drawn.motif is None:
            hints += (f"in print: {squares((column, row, column + 1, row + 1))}",)
        return Fault(self.message, self.drawn.cell_span(row, column), hints)


def hand_drawn(worked: WorkedChart) -> Iterator[HandDrawn]:
    """Yield the whole-chart grid, if there is one, and the motifs."""
    whole = drawn_chart(worked)
    if whole is not None:
        yield whole
    yield from drawn_motifs(worked)


def at(cell: Cell) -> str:
    """Return the place of a cell as it stands in a source."""
    return place((cell[1], cell[0]))


def nearly_symmetric(sheet: DrawnSheet, repeats: Repeats, turner: Turner) -> Iterator[Slip]:
    """Yield for each motif the one cell by which a symmetry that nobody stated is broken.

    Nothing is told where both cells come up elsewhere just so: it is drawn in this way.
    """
    for drawn, (top, left) in zip(sheet.drawn, sheet.corners, strict=True):
        told = set()
        for pair in _one_pair_broken(drawn, turner):
            one, other = ((top + row, left + column) for row, column in pair)
            if repeats.more_of([one], [other]) and repeats.more_of([other], [one]):
                continue
            slip = _against_its_image(drawn, pair)
            if slip.name not in told:
                told.add(slip.name)
                yield slip


def _against_its_image(drawn: HandDrawn, pair: Pair) -> Slip:
    lone = _lone(drawn, pair)
    cell, image = pair if lone is None else lone
    hint = Hint("its mirror image", drawn.cell_span(*image))
    if lone is None:
        return Slip(
            "nearly-symmetric",
            drawn,
            cell,
            f"But for one cell {drawn.name} would be symmetric: `{drawn.symbol(*cell)}` at "
            f"{at(cell)} against `{drawn.symbol(*image)}` at {at(image)}.",
            (hint, "make them alike, or leave it if it is meant"),
        )
    return Slip(
        "lone-stitch",
        drawn,
        cell,
        f"There is a lone `{drawn.symbol(*cell)}` at {at(cell)} of {drawn.name}; at its mirror "
        f"image, {at(image)}, there is none, though all else is symmetric.",
        (hint, f"type `{drawn.symbol(*image)}`, or make its mirror image the same"),
    )


def _lone(drawn: HandDrawn, pair: Pair) -> Pair | None:
    """Return the lone stitch of a pair first, if all around both cells is one other stitch.

    A symbol that stands nowhere else is not taken for a slip: it is an eye, or a berry.
    """
    fields = {_field(drawn.codes, cell) for cell in pair}
    field = fields.pop()
    if fields or field is None or field == _BARE:
        return None
    for cell, image in (pair, pair[::-1]):
        stitch = drawn.codes[cell]
        if stitch != field and drawn.codes[image] == field:
            return (cell, image) if np.count_nonzero(drawn.codes == stitch) > 1 else None
    return None


def _one_pair_broken(drawn: HandDrawn, turner: Turner) -> Iterator[Pair]:
    """Yield the one pair of cells by which an unstated symmetry is broken."""
    if drawn.motif is None or drawn.motif.symmetry is not None:
        return
    if np.count_nonzero(drawn.codes != _BARE) < LEAST_STITCHES:
        return
    height, width = drawn.codes.shape
    for turn in _MIRRORS + (_ACROSS if height == width else ()):
        pairs, count = broken_pairs(turner.turned(drawn.codes, turn) != drawn.codes, turn, 1)
        if count == 1 and pairs[0][0] != pairs[0][1]:
            yield pairs[0]


def _field(codes: Codes, cell: Cell) -> int | None:
    """Return what all eight neighbours of a cell hold, None where they differ or are fewer."""
    row, column = cell
    if not (0 < row < codes.shape[0] - 1 and 0 < column < codes.shape[1] - 1):
        return None
    around = codes[row - 1 : row + 2, column - 1 : column + 2].ravel()
    neighbours = np.delete(around, 4)
    return int(neighbours[0]) if bool((neighbours == neighbours[0]).all()) else None


def nearly_motifs(worked: WorkedChart, turner: Turner) -> Iterator[Slip]:
    """Yield the cell that differs wherever a grid holds a motif but for one cell."""
    shapes = [
        (motif, _ways(codes_of(motif.rows), turner))
        for motif in worked.design.motifs.values()
        if _lively(codes_of(motif.rows))
    ]
    targets = list(hand_drawn(worked))
    for target in targets if len(targets) * len(shapes) <= MOST_PAIRS else targets[:1]:
        finder = Finder(target.codes)
        for motif, ways in shapes:
            if target.motif is None or _smaller(motif, target.motif):
                for pattern in ways:
                    for start in finder.nearly(pattern):
                        yield _differing(target, motif, pattern.codes, start)


def _ways(codes: Codes, turner: Turner) -> list[Pattern]:
    """Return a motif in all the ways in which it looks different."""
    ways: list[Pattern] = []
    for turn in WAYS:
        turned = turner.turned(codes, turn)
        if not any(np.array_equal(turned, earlier.codes) for earlier in ways):
            ways.append(Pattern(turned))
    return ways


def _smaller(motif: Motif, other: Motif) -> bool:
    return motif.name != other.name and motif.width * motif.height < other.width * other.height


def _differing(target: HandDrawn, motif: Motif, pattern: Codes, start: Cell) -> Slip:
    row, column = start
    there = target.codes[row : row + pattern.shape[0], column : column + pattern.shape[1]]
    down, across = np.argwhere(there != pattern)[0].tolist()
    cell = row + down, column + across
    return Slip(
        "nearly-a-motif",
        target,
        cell,
        f"At {at(start)} {target.name} holds `{motif.name}` with one cell different: "
        f"`{target.symbol(*cell)}` at {at(cell)} where the motif has "
        f"`{chr(int(pattern[down, across]))}`.",
        (Hint("the motif", motif.span), "place the motif instead of drawing it again"),
    )


def _lively(codes: Codes) -> bool:
    changes = np.count_nonzero(codes[:, 1:] != codes[:, :-1])
    changes += np.count_nonzero(codes[1:] != codes[:-1])
    stitches = np.count_nonzero(codes != _BARE)
    return bool(changes >= LEAST_CHANGES and stitches * 2 >= LEAST_STITCHES)
