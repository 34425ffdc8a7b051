"""Motifs and letters made ready to lay: symbols looked up and swapped, turned as asked.

A stamp is made once and may be laid thousands of times.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..core.items import BARE, Knot, Line, Motif, Point, Swap
from ..core.key import KeyEntry
from ..core.model import Design
from ..stitches.turn import AS_DRAWN, Turn
from .nested import Inside
from .stamp import Cells, Signs, Stamp, StampKnot, StampLine, TurnedStamp
from .turning import TurnedKey, missing_of, turned_key, with_turned
from .worked import IndexGrid, present

UNKNOWN = np.uint16(0xFFFF)  # stands in a grid for a character that no key line explains


class RowTable:
    """The key's cell symbols as a table from code point to key index."""

    def __init__(self, key: Sequence[KeyEntry], swap: Swap = ()) -> None:
        """Take the symbols of all cell lines, some of them swapped for others.

        A symbol that is swapped away need not be in the key: it may come with a motif of
        another file.
        """
        indices: dict[str, int] = {}
        for index, entry in enumerate(key, 1):
            if entry.is_cell and len(entry.symbol) == 1:
                indices.setdefault(entry.symbol, index)
        indices |= {old: indices[new] for old, new in swap if len(old) == 1 and new in indices}
        indices[BARE] = 0
        codes = {ord(symbol): index for symbol, index in indices.items()}
        # One more place than the highest symbol, for every character beyond it.
        self._table: NDArray[np.uint16] = np.full(max(codes) + 2, UNKNOWN, dtype=np.uint16)
        self._table[list(codes)] = list(codes.values())

    def grid(self, rows: Sequence[str]) -> IndexGrid:
        """Return the grid (rows, columns) of rows of one width; UNKNOWN where no line fits."""
        text = "".join(rows).encode("utf-32-le", "surrogatepass")
        codes = np.frombuffer(text, dtype="<u4")
        cells: IndexGrid = self._table.take(codes, mode="clip")
        return cells.reshape(len(rows), -1)


# Takes a motif put together from others, its swap, and the threads that one of its crosses spans.
PutTogether = Callable[[Motif, Swap, int], Inside]


class Stamps:
    """All stamps of one design, each made once."""

    def __init__(self, design: Design, put_together: PutTogether) -> None:
        """Prepare the symbol table of the design's key.

        From the second version of the notation on, what is mirrored or turned needs no line of its
        own: `key` grows by those stitches.
        """
        self._design = design
        self.key = design.key
        self._put_together = put_together
        self._counted = {
            index: entry.counted
            for index, entry in enumerate(design.key, 1)
            if entry.counted is not None
        }
        self._tables: dict[Swap, RowTable] = {}
        self.index = {entry.symbol: index for index, entry in reversed([*enumerate(design.key, 1)])}
        self._turned_keys: dict[Turn, TurnedKey] = {}
        self._motifs: dict[tuple[str, Turn, Swap, Cells | None, int], TurnedStamp] = {}
        self._letters: dict[tuple[str, str, Swap], Stamp] = {}

    def motif(
        self, name: str, turn: Turn, swap: Swap, part: Cells | None, cell: int
    ) -> TurnedStamp:
        """Return a motif swapped and then turned, and the key lines that the turn misses.

        part: its columns and rows that are wanted, as it lies; see `Placement`. cell: threads that
        one of its crosses spans, which tell apart only those put together from others.
        """
        motif = self._design.motifs[name]
        wanted = (name, turn, swap, part, cell if motif.is_put_together else 0)
        if wanted in self._motifs:
            pass
        elif motif.is_put_together:
            inside = self._put_together(motif, swap, cell)
            self._motifs[wanted] = inside.stamp(self._turned_key(turn), turn, part)
        else:
            if part is not None:
                motif = _part_of(motif, turn, part)
            stamp, missing = self._make(motif, turn, swap)
            self._motifs[wanted] = replace(stamp, cut=part is not None), missing
        return self._motifs[wanted]

    def letter(self, alphabet: str, character: str, swap: Swap = ()) -> Stamp:
        """Return one letter of an alphabet, swapped."""
        wanted = (alphabet, character, swap)
        if wanted not in self._letters:
            letter = self._design.alphabets[alphabet].letters[character]
            self._letters[wanted] = replace(
                self.of_rows(character, letter.rows, swap),
                lines=self._lines(letter.lines, dict(swap)),
                knots=self._knots(letter.knots, dict(swap)),
                drawn=letter.drawn,
            )
        return self._letters[wanted]

    def of_rows(self, name: str, rows: Sequence[str], swap: Swap = ()) -> Stamp:
        """Return rows of characters as a stamp."""
        grid = self.grid(rows, swap)
        signs = self._take_signs(grid, AS_DRAWN)
        return Stamp(name, grid, signs=signs)

    def _take_signs(self, grid: IndexGrid, turn: Turn) -> tuple[Signs, ...]:
        """Take the signs of counted stitches out of a grid that is not turned yet."""
        signs = []
        for index in present(grid) if self._counted else ():
            if index in self._counted:
                rows, columns = np.nonzero(grid == index)
                size = grid.shape[1], grid.shape[0]
                signs.append(Signs(index, self._counted[index], columns, rows, size, turn))
                grid[rows, columns] = 0
        return tuple(signs)

    def _make(self, motif: Motif, turn: Turn, swap: Swap) -> TurnedStamp:
        # Swapped first: the symbols named are those of the motif as it is drawn.
        grid = self.grid(motif.rows, swap)
        swapped = dict(swap)
        signs = self._take_signs(grid, turn)
        turned_key = self._turned_key(turn)
        size = motif.width, motif.height
        stamp = Stamp(
            motif.name,
            turn.grid(turned_key.table[grid]),
            self._lines(motif.lines, swapped, turn, size),
            self._knots(motif.knots, swapped, turn, size),
            motif,
            signs,
            drawn=motif.drawn,
        )
        return stamp, missing_of(turned_key, present(grid))

    def grid(self, rows: Sequence[str], swap: Swap = ()) -> IndexGrid:
        """Return rows of characters as a grid of key indices.

        Raises LookupError for a character that the key does not hold: reading lets none through.
        """
        if swap not in self._tables:
            self._tables[swap] = RowTable(self._design.key, swap)
        grid = self._tables[swap].grid(rows)
        if bool((grid == UNKNOWN).any()):
            raise LookupError("a row holds a symbol that the key does not")
        return grid

    def _turned_key(self, turn: Turn) -> TurnedKey:
        kept = self._turned_keys.get(turn)
        if kept is None or len(kept.table) <= len(self.key):  # the key has grown since
            if self._design.version > 1:
                self.key = with_turned(self.key, turn)
            kept = self._turned_keys[turn] = turned_key(self.key, turn)
        return kept

    def _lines(
        self,
        lines: Sequence[Line],
        swapped: Mapping[str, str],
        turn: Turn = AS_DRAWN,
        size: tuple[int, int] = (0, 0),
    ) -> tuple[StampLine, ...]:
        return tuple(
            StampLine(
                self.index[swapped.get(line.symbol, line.symbol)],
                turn.points(np.array(line.points, dtype=np.float64), *size),
                line.span,
            )
            for line in lines
        )

    def _knots(
        self,
        knots: Sequence[Knot],
        swapped: Mapping[str, str],
        turn: Turn = AS_DRAWN,
        size: tuple[int, int] = (0, 0),
    ) -> tuple[StampKnot, ...]:
        made: list[StampKnot] = []
        for knot in knots:
            points = np.array(knot.points, dtype=np.float64)
            index = self.index[swapped.get(knot.symbol, knot.symbol)]
            turned = turn.points(points, *size)
            made.extend(StampKnot(index, x, y, knot.span) for x, y in turned.tolist())
        return tuple(made)


def _part_of(motif: Motif, turn: Turn, part: Cells) -> Motif:
    """Return a part of a motif as it is drawn; of lines and knots those that lie wholly in it.

    part: as it lies after the turn.
    """
    corners = np.array([part[:2], part[2:]], dtype=np.float64)
    back = turn.back().points(corners, *turn.size(motif.width, motif.height))
    (x0, y0), (x1, y1) = (
        back.min(axis=0).astype(int).tolist(),
        back.max(axis=0).astype(int).tolist(),
    )

    def held(shape: Line | Knot) -> bool:
        return all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in shape.points)

    def moved(points: Sequence[Point]) -> tuple[Point, ...]:
        return tuple((x - x0, y - y0) for x, y in points)

    return replace(
        motif,
        width=x1 - x0,
        height=y1 - y0,
        rows=tuple(row[x0:x1] for row in motif.rows[y0:y1]),
        lines=tuple(replace(line, points=moved(line.points)) for line in motif.lines if held(line)),
        knots=tuple(replace(knot, points=moved(knot.points)) for knot in motif.knots if held(knot)),
    )
