"""Grids as they were drawn by hand, with their places, and all laid out on one sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...compose.turning import turned_key
from ...compose.worked import WorkedChart
from ...core.items import BARE, Motif
from ...core.key import KeyEntry
from ...core.matter import NoteKind
from ...core.source import Span
from ...stitches.turn import Turn

Codes = NDArray[np.uint32]

NO_SYMBOL = np.uint32(0xFFFFFFFF)  # stands for a turned stitch that the key has no symbol for


@dataclass(frozen=True, eq=False)
class HandDrawn:
    """A grid drawn by hand. codes: (rows, columns) the code point of each cell's symbol.

    excused: cells that a note says are kept so on purpose, None where there are none.
    """

    name: str
    codes: Codes
    row_spans: Sequence[Span]
    span: Span | None
    motif: Motif | None
    excused: NDArray[np.bool_] | None = None

    def symbol(self, row: int, column: int) -> str:
        """Return the symbol of a cell."""
        return chr(int(self.codes[row, column]))

    def cell_span(self, row: int, column: int) -> Span | None:
        """Return the place of a cell in its source."""
        if row >= len(self.row_spans):
            return self.span
        start = self.row_spans[row].start + column
        return self.row_spans[row].source.span(start, start + 1)


def codes_of(rows: Sequence[str]) -> Codes:
    """Return rows of characters as code points."""
    text = "".join(rows).encode("utf-32-le", "surrogatepass")
    return np.frombuffer(text, dtype="<u4").reshape(len(rows), -1)


def _filled(codes: Codes, key: Sequence[KeyEntry], over: int) -> Codes:
    """Return a grid in which the signs of counted stitches stand in all cells that they cover."""
    filled = codes
    for entry in key:
        stitch = entry.counted
        if (
            stitch is None
            or stitch.over == (over, over)
            or any(side % over for side in stitch.over)
        ):
            continue
        rows, columns = np.nonzero(codes == ord(entry.symbol))
        filled = filled if filled is not codes else codes.copy()
        for down in range(stitch.over[1] // over):
            for across in range(stitch.over[0] // over):
                inside = (rows + down < codes.shape[0]) & (columns + across < codes.shape[1])
                filled[rows[inside] + down, columns[inside] + across] = ord(entry.symbol)
    return filled


def drawn_motifs(worked: WorkedChart) -> Iterator[HandDrawn]:
    """Yield the motifs that are placed or stand in the chart's own file.

    One put together from others is what it draws itself; or what it came to be, if its symmetry is
    stated.
    """
    placed = {each.motif.name for each in worked.placed if each.motif is not None}
    own = worked.design.source.path
    for name, drawn in worked.design.motifs.items():
        if drawn.is_put_together and drawn.symmetry is None and not drawn.row_spans:
            continue
        motif = drawn if drawn.symmetry is None else worked.motifs[name]
        if motif.name in placed or motif.span is None or motif.span.source.path == own:
            over = motif.over or worked.design.ground.fabric.over
            yield HandDrawn(
                f"the motif `{motif.name}`",
                _filled(codes_of(motif.rows), worked.design.key, over),
                motif.row_spans,
                motif.span,
                motif,
            )


def drawn_letters(worked: WorkedChart) -> Iterator[HandDrawn]:
    """Yield the letters of the chart's own file."""
    own = worked.design.source.path
    for alphabet in worked.design.alphabets.values():
        for letter in alphabet.letters.values():
            if letter.row_spans and letter.row_spans[0].source.path == own:
                yield HandDrawn(
                    f"the letter `{letter.character}` of `{alphabet.name}`",
                    codes_of(letter.rows),
                    letter.row_spans,
                    letter.span,
                    None,
                )


def drawn_chart(worked: WorkedChart) -> HandDrawn | None:
    """Return the whole-chart grid, if there is one."""
    chart = worked.design.chart
    if not chart.rows:
        return None
    codes = _filled(codes_of(chart.rows), worked.design.key, worked.design.ground.fabric.over)
    return HandDrawn("the chart", codes, chart.row_spans, chart.span, None, excused(worked))


def excused(worked: WorkedChart) -> NDArray[np.bool_] | None:
    """Return which cells of the chart lie where a note says that an oddity is kept on purpose."""
    notes = [note for note in worked.design.notes if note.kind is NoteKind.KEPT]
    if not notes:
        return None
    cells = np.zeros((worked.height, worked.width), dtype=np.bool_)
    for note in notes:
        # A point excuses the cells around it.
        left, top = (max(0, int(np.ceil(each)) - 1) for each in (note.x0, note.y0))
        right, bottom = (max(0, int(np.floor(each)) + 1) for each in (note.x1, note.y1))
        if (note.x0, note.y0) != (note.x1, note.y1):
            left, top = (max(0, int(np.floor(each))) for each in (note.x0, note.y0))
            right, bottom = (max(0, int(np.ceil(each))) for each in (note.x1, note.y1))
        cells[top:bottom, left:right] = True
    return cells


class Turner:
    """Turns grids of symbols, with each symbol that of its turned stitch."""

    def __init__(self, key: Sequence[KeyEntry]) -> None:
        """Take the key that says which symbols stand for which stitches."""
        self._key = key
        self._images: dict[Turn, dict[int, int]] = {}

    def turned(self, codes: Codes, turn: Turn) -> Codes:
        """Return a grid after a turn; NO_SYMBOL where the key has no line for the stitch."""
        images = self.image(turn)
        if images:
            unique, inverse = np.unique(codes, return_inverse=True)
            table = np.array([images.get(code, code) for code in unique.tolist()], np.uint32)
            codes = table[inverse].reshape(codes.shape)
        flipped = codes[:, ::-1] if turn.flip else codes
        return np.ascontiguousarray(np.rot90(flipped, -turn.quarters))

    def image(self, turn: Turn) -> dict[int, int]:
        """Return the symbols that change under a turn."""
        if turn not in self._images:
            turned = turned_key(self._key, turn)
            self._images[turn] = {
                ord(entry.symbol): ord(self._key[image - 1].symbol) if image else int(NO_SYMBOL)
                for entry, index, image in zip(
                    self._key,
                    range(1, len(self._key) + 1),
                    turned.table[1:].tolist(),
                    strict=True,
                )
                if image != index
            }
        return self._images[turn]


Matrices = NDArray[np.int64]

WAYS: tuple[Turn, ...] = tuple(
    Turn(flip, quarters) for flip in (False, True) for quarters in range(4)
)


def _matrix(way: Turn) -> Matrices:
    mirrored = np.array([[1, 0], [0, -1 if way.flip else 1]])
    clockwise = np.array([[0, 1], [-1, 0]])  # what lies to the right of the middle goes below it
    matrix: Matrices = np.linalg.matrix_power(clockwise, way.quarters) @ mirrored
    return matrix


MATRICES: Matrices = np.array([_matrix(way) for way in WAYS])

_NUMBER = {MATRICES[number].tobytes(): number for number in range(len(WAYS))}

# The way that does the second and then the first; the way that undoes one.
AFTER: Matrices = np.array(
    [[_NUMBER[np.ascontiguousarray(one @ two).tobytes()] for two in MATRICES] for one in MATRICES]
)
BACK: Matrices = np.array(
    [_NUMBER[np.ascontiguousarray(matrix.T).tobytes()] for matrix in MATRICES]
)


CodeGrid = NDArray[np.uint16]

NOTHING, BARE_CELL = 0, 1  # beyond what is drawn; bare fabric
NO_IMAGE = np.uint16(0xFFFF)  # a turned stitch for which the key has no symbol: like nothing else
GAP = 1  # cells of nothing around each drawing


@dataclass(frozen=True, eq=False)
class DrawnSheet:
    """Drawings side by side.

    cells: (rows, columns) a number for each symbol, NOTHING around and between. images: (8,
    numbers) what each symbol becomes under each of WAYS; leans: under which any does. drawn: the
    drawings, by number; corners: row and column of each. number: (rows, columns) of the drawing
    that a cell belongs to, -1 for none.
    """

    cells: CodeGrid
    images: CodeGrid
    leans: tuple[bool, ...]
    drawn: tuple[HandDrawn, ...]
    corners: tuple[tuple[int, int], ...]
    number: NDArray[np.int32]

    def find(self, row: int, column: int) -> tuple[HandDrawn, tuple[int, int]]:
        """Return the drawing that a cell belongs to, and its place there."""
        which = int(self.number[row, column])
        top, left = self.corners[which]
        return self.drawn[which], (row - top, column - left)


def sheet_of(drawings: Sequence[HandDrawn], turner: Turner) -> DrawnSheet:
    """Lay drawings out; at least one."""
    codes, corners, number = _laid_out(drawings)
    table = np.zeros(max(ord(BARE), int(codes.max())) + 1, np.uint16)
    table[codes[number >= 0]] = 1
    table[ord(BARE)] = 0
    present = np.flatnonzero(table)
    table[present] = BARE_CELL + 1 + np.arange(len(present))
    table[ord(BARE)] = BARE_CELL
    cells = np.where(number < 0, np.uint16(NOTHING), table[codes])
    images = np.tile(np.arange(BARE_CELL + 1 + len(present), dtype=np.uint16), (len(WAYS), 1))
    for way, turn in enumerate(WAYS):
        for code, image in turner.image(turn).items():
            if code < len(table) and table[code] > BARE_CELL:
                known = image < len(table) and table[image] > BARE_CELL
                images[way, table[code]] = table[image] if known else NO_IMAGE
    leans = tuple(bool((each != images[0]).any()) for each in images)
    return DrawnSheet(cells, images, leans, tuple(drawings), corners, number)


def _laid_out(
    drawings: Sequence[HandDrawn],
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
