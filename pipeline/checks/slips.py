"""Likely slips of the pen: one cell that its mirror image, its repeats or its motif lack."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..diagnostics import Hint, Level
from ..misplaced import place
from ..model import BARE, Mirror, Motif
from ..turning import Turn
from ..worked import WorkedChart
from .checking import Check, Fault
from .drawn import Codes, Drawn, Turner, codes_of, drawn_chart, drawn_motifs
from .patterns import Finder, Pattern
from .symmetry import Pair, broken_pairs
from .windows import RADIUS, odd_cells

LEAST_STITCHES = 24  # of a motif whose symmetry is looked at though nobody stated it
MOST_PAIRS = 20_000  # of motifs held to one another
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
    turner = Turner(worked.design.key)
    for drawn in drawn_motifs(worked):
        for pair in _one_pair_broken(drawn, turner):
            lone = _lone(drawn, pair)
            if lone is None:
                continue
            cell, image = lone
            yield Fault(
                f"A lone `{drawn.symbol(*cell)}` stands at {_at(cell)} of {drawn.name}; at its "
                f"mirror image, {_at(image)}, there is none, and all else is symmetric.",
                drawn.cell_span(*cell),
                (Hint("its mirror image", drawn.cell_span(*image)),),
            )
            break


def _nearly_symmetric(worked: WorkedChart) -> Iterator[Fault]:
    turner = Turner(worked.design.key)
    for drawn in drawn_motifs(worked):
        for pair in _one_pair_broken(drawn, turner):
            if _lone(drawn, pair) is None:
                cell, image = pair
                yield Fault(
                    f"But for one cell {drawn.name} would be symmetric: "
                    f"`{drawn.symbol(*cell)}` at {_at(cell)} against `{drawn.symbol(*image)}` "
                    f"at {_at(image)}.",
                    drawn.cell_span(*cell),
                    (Hint("its image", drawn.cell_span(*image)),),
                )
            break


def _lone(drawn: Drawn, pair: Pair) -> Pair | None:
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


def _one_pair_broken(drawn: Drawn, turner: Turner) -> Iterator[Pair]:
    """Yield the one pair of cells by which an unstated symmetry is broken."""
    if drawn.motif is None or drawn.motif.symmetry is not None:
        return
    if np.count_nonzero(drawn.codes != _BARE) < LEAST_STITCHES:
        return
    for turn in _MIRRORS:
        pairs, count = broken_pairs(turner.turned(drawn.codes, turn) != drawn.codes, turn, 1)
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
    turner = Turner(worked.design.key)
    for drawn in _hand_drawn(worked):
        if min(drawn.codes.shape) <= RADIUS:
            continue
        images = [drawn.codes, *(turner.turned(drawn.codes, turn) for turn in _MIRRORS)]
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
    turner = Turner(worked.design.key)
    shapes = [
        (motif, _ways(codes_of(motif.rows), turner))
        for motif in worked.design.motifs.values()
        if _lively(codes_of(motif.rows))
    ]
    targets = list(_hand_drawn(worked))
    for target in targets if len(targets) * len(shapes) <= MOST_PAIRS else targets[:1]:
        finder = Finder(target.codes)
        for motif, ways in shapes:
            if target.motif is None or _smaller(motif, target.motif):
                for pattern in ways:
                    for start in finder.nearly(pattern):
                        yield from _slip(target, motif, pattern.codes, start)


def _ways(codes: Codes, turner: Turner) -> list[Pattern]:
    """Return a motif in all the ways in which it looks different."""
    ways: list[Pattern] = []
    for turn in _ALL_WAYS:
        turned = turner.turned(codes, turn)
        if not any(np.array_equal(turned, earlier.codes) for earlier in ways):
            ways.append(Pattern(turned))
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
