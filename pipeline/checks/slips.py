"""Likely slips of the pen: one cell that its mirror image, its repeats or its motif lack."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from ..diagnostics import Hint, Level
from ..misplaced import place
from ..model import BARE, KeyEntry, Mirror, Motif
from ..turning import Turn
from ..worked import WorkedChart
from .checking import Check, Fault
from .drawn import Codes, Drawn, codes_of, drawn_chart, drawn_motifs, turned_codes
from .symmetry import broken_pairs
from .windows import RADIUS, odd_cells

LEAST_STITCHES = 24  # of a motif whose symmetry is looked at though nobody stated it
LEAST_CHANGES = 12  # neighbours that differ in a motif that is looked for by its look

_MIRRORS = tuple(Turn.of(mirror) for mirror in Mirror)
_ALL_WAYS = tuple(Turn(flip, quarters) for flip in (False, True) for quarters in range(4))
_BARE = ord(BARE)


def _hand_drawn(worked: WorkedChart) -> Iterator[Drawn]:
    whole = drawn_chart(worked)
    if whole is not None:
        yield whole
    yield from drawn_motifs(worked)


def _lone_stitch(worked: WorkedChart) -> Iterator[Fault]:
    key = worked.design.key
    for drawn in drawn_motifs(worked):
        for cell, image in _one_pair_broken(drawn, key):
            field = _field(drawn.codes, image)
            lone = _field(drawn.codes, cell)
            if field is None or field == _BARE or lone != field:
                cell, image = image, cell  # noqa: PLW2901
                field, lone = lone, field
            if field is None or field == _BARE or lone != field:
                continue
            stitch = drawn.codes[cell]
            if stitch == field or drawn.codes[image] != field:
                continue
            if np.count_nonzero(drawn.codes == stitch) > 1:
                yield Fault(
                    f"A lone `{drawn.symbol(*cell)}` stands at {_at(cell)} of {drawn.name}; at its "
                    f"mirror image, {_at(image)}, there is none, and all else is symmetric.",
                    drawn.cell_span(*cell),
                    (Hint("its mirror image", drawn.cell_span(*image)),),
                )
                break


def _nearly_symmetric(worked: WorkedChart) -> Iterator[Fault]:
    key = worked.design.key
    for drawn in drawn_motifs(worked):
        for cell, image in _one_pair_broken(drawn, key):
            yield Fault(
                f"But for one cell {drawn.name} would be symmetric: `{drawn.symbol(*cell)}` at "
                f"{_at(cell)} against `{drawn.symbol(*image)}` at {_at(image)}.",
                drawn.cell_span(*cell),
                (Hint("its image", drawn.cell_span(*image)),),
            )
            break


def _one_pair_broken(
    drawn: Drawn, key: Sequence[KeyEntry]
) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
    """Yield the one pair of cells by which an unstated symmetry is broken."""
    if drawn.motif is None or drawn.motif.symmetry is not None:
        return
    if np.count_nonzero(drawn.codes != _BARE) < LEAST_STITCHES:
        return
    for turn in _MIRRORS:
        pairs, count = broken_pairs(turned_codes(drawn.codes, key, turn) != drawn.codes, turn, 1)
        if count == 1 and pairs[0][0] != pairs[0][1]:
            yield pairs[0]


def _field(codes: Codes, cell: tuple[int, int]) -> int | None:
    """Return what all eight neighbours of a cell hold, None where they differ or are fewer."""
    row, column = cell
    if not (0 < row < codes.shape[0] - 1 and 0 < column < codes.shape[1] - 1):
        return None
    around = codes[row - 1 : row + 2, column - 1 : column + 2].ravel()
    neighbours = np.delete(around, 4)
    return int(neighbours[0]) if bool((neighbours == neighbours[0]).all()) else None


def _at(cell: tuple[int, int]) -> str:
    return place((cell[1], cell[0]))


def _odd_repeat(worked: WorkedChart) -> Iterator[Fault]:
    key = worked.design.key
    for drawn in _hand_drawn(worked):
        if min(drawn.codes.shape) <= RADIUS:
            continue
        images = [drawn.codes, *(turned_codes(drawn.codes, key, turn) for turn in _MIRRORS)]
        for odd in odd_cells(images):
            if drawn.excused is not None and drawn.excused[odd.row, odd.column]:
                continue
            other = odd.others[0]
            places = " and ".join(_at(each) for each in odd.others[:2])
            yield Fault(
                f"`{drawn.symbol(odd.row, odd.column)}` at {_at((odd.row, odd.column))} of "
                f"{drawn.name} differs from {odd.many} repeats of its surroundings, such as at "
                f"{places}, which have `{drawn.symbol(*other)}`.",
                drawn.cell_span(odd.row, odd.column),
                (Hint("the same surroundings", drawn.cell_span(*other)),),
            )


def _nearly_a_motif(worked: WorkedChart) -> Iterator[Fault]:
    key = worked.design.key
    shapes = [
        (motif, _ways(codes_of(motif.rows), key))
        for motif in worked.design.motifs.values()
        if _lively(codes_of(motif.rows))
    ]
    for target in _hand_drawn(worked):
        finder = _Finder(target.codes)
        for motif, ways in shapes:
            if target.motif is None or _smaller(motif, target.motif):
                for pattern in ways:
                    for start in finder.nearly(pattern):
                        yield from _slip(target, motif, pattern, start)


def _ways(codes: Codes, key: Sequence[KeyEntry]) -> list[Codes]:
    """Return a motif in all the ways in which it looks different."""
    ways: list[Codes] = []
    for turn in _ALL_WAYS:
        pattern = turned_codes(codes, key, turn)
        if not any(np.array_equal(pattern, earlier) for earlier in ways):
            ways.append(pattern)
    return ways


def _smaller(motif: Motif, other: Motif) -> bool:
    return motif.name != other.name and motif.width * motif.height < other.width * other.height


def _slip(target: Drawn, motif: Motif, pattern: Codes, start: tuple[int, int]) -> Iterator[Fault]:
    row, column = start
    there = target.codes[row : row + pattern.shape[0], column : column + pattern.shape[1]]
    down, across = np.argwhere(there != pattern)[0].tolist()
    cell = row + down, column + across
    if target.excused is not None and target.excused[cell]:
        return
    yield Fault(
        f"At {_at(start)} {target.name} holds `{motif.name}` with one cell different: "
        f"`{target.symbol(*cell)}` at {_at(cell)} where the motif has "
        f"`{chr(int(pattern[down, across]))}`.",
        target.cell_span(*cell),
        (Hint("the motif", motif.span), "place the motif instead of drawing it again"),
    )


def _lively(codes: Codes) -> bool:
    changes = np.count_nonzero(codes[:, 1:] != codes[:, :-1])
    changes += np.count_nonzero(codes[1:] != codes[:-1])
    stitches = np.count_nonzero(codes != _BARE)
    return bool(changes >= LEAST_CHANGES and stitches * 2 >= LEAST_STITCHES)


class _Finder:
    """Looks in one grid for patterns that are there but for one cell."""

    def __init__(self, codes: Codes) -> None:
        self._codes = codes
        self._places: dict[int, NDArray[np.int64]] = {}
        self._counts = _counted(codes)

    def nearly(self, pattern: Codes) -> list[tuple[int, int]]:
        """Return the places (row, column) where exactly one cell differs."""
        height, width = pattern.shape
        if height > self._codes.shape[0] or width > self._codes.shape[1]:
            return []
        wanted = _counted(pattern).items()
        if sum(max(0, many - self._counts.get(code, 0)) for code, many in wanted) > 1:
            return []  # most patterns go here: the stitches for them are not there at all
        found: set[tuple[int, int]] = set()
        # With one cell wrong, one of two halves is there whole.
        for half in (np.s_[: height // 2], np.s_[height // 2 :]):
            for row, column in self._whole(pattern, half):
                there = self._codes[row : row + height, column : column + width]
                if np.count_nonzero(there != pattern) == 1:
                    found.add((row, column))
        return sorted(found)

    def _whole(self, pattern: Codes, half: slice) -> Iterator[tuple[int, int]]:
        """Yield where some rows of a pattern are there whole."""
        part = pattern[half]
        if not part.size:
            return
        first = half.start or 0
        cells = [
            (down + first, across, int(part[down, across]))
            for down in range(part.shape[0])
            for across in range(part.shape[1])
        ]
        # The rarest symbol leaves the fewest places to look at.
        cells.sort(key=lambda cell: len(self._of(cell[2])))
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


CHECKS = (
    Check(
        "lone-stitch",
        Level.WARNING,
        "a lone stitch in a field of another colour that its mirror image lacks",
        _lone_stitch,
    ),
    Check(
        "odd-repeat",
        Level.WARNING,
        "one cell that differs where the same surroundings are repeated",
        _odd_repeat,
    ),
    Check(
        "nearly-a-motif",
        Level.WARNING,
        "a motif drawn again by hand with one cell different",
        _nearly_a_motif,
    ),
    Check(
        "nearly-symmetric",
        Level.HINT,
        "a motif that would be symmetric but for one cell",
        _nearly_symmetric,
    ),
)
