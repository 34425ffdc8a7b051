"""Motifs and letters made ready to lay: symbols looked up and swapped, turned as asked.

A stamp is made once and may be laid thousands of times.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from ..core.counted import Counted
from ..core.key import KeyEntry, Part
from ..core.model import BARE, Design, Knot, Line, Motif, Point, Swap
from ..core.source import Span
from ..stitches.counted import bar, for_cross, turned
from ..stitches.turn import AS_DRAWN, Turn
from .turning import TurnedKey, turned_key, with_turned
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


@dataclass(frozen=True, eq=False)
class StampLine:
    """A line in crosses of its own stamp, points (n, 2)."""

    index: int
    points: NDArray[np.float64]
    span: Span | None


@dataclass(frozen=True, eq=False)
class StampKnot:
    """A knot or bead in crosses of its own stamp."""

    index: int
    x: float
    y: float
    span: Span | None


@dataclass(frozen=True, eq=False)
class Signs:
    """The signs of one counted stitch in a grid.

    stitch: as it is drawn. columns, rows: of the signs, before the turn. size: of the grid, in
    columns and rows.
    """

    index: int
    stitch: Counted
    columns: NDArray[np.int64]
    rows: NDArray[np.int64]
    size: tuple[int, int]
    turn: Turn

    def standing(self, cell: int) -> Iterator[tuple[Counted, NDArray[np.int64]]]:
        """Yield the stitches as they lie, and the corners of each from that of the grid.

        cell: threads that a sign is wide and high. A stitch takes its threads from the upper left
        corner of its sign. Signs of a stitch in bars that touch below each other are one.
        """
        many = np.ones(len(self.rows), dtype=np.int64)
        columns, rows = self.columns, self.rows
        if self.stitch.stands.in_bars and self.stitch.over[1] == cell:
            order = np.lexsort((rows, columns))
            columns, rows = columns[order], rows[order]
            begins = np.ones(len(rows), dtype=np.bool_)
            begins[1:] = (columns[1:] != columns[:-1]) | (rows[1:] != rows[:-1] + 1)
            first = np.flatnonzero(begins)
            many = np.diff(np.append(first, len(rows)))
            columns, rows = columns[first], rows[first]
        width, height = self.size[0] * cell, self.size[1] * cell
        for length in np.unique(many).tolist():
            stitch = for_cross(self.stitch, cell) if length == 1 else bar(self.stitch, length)
            corner = np.stack([columns[many == length], rows[many == length]], axis=1) * cell
            ends = [
                self.turn.points(each.astype(np.float64), width, height)
                for each in (corner, corner + stitch.over)
            ]
            yield turned(stitch, self.turn), np.rint(np.minimum(*ends)).astype(np.int64)


@dataclass(frozen=True, eq=False)
class Stamp:
    """A thing to lay down as it stands. mask: where grid holds a stitch; full: no bare cell.

    signs: of counted stitches, which take threads of their own and are not in the grid.
    """

    name: str
    grid: IndexGrid
    lines: tuple[StampLine, ...] = ()
    knots: tuple[StampKnot, ...] = ()
    motif: Motif | None = None
    signs: tuple[Signs, ...] = ()
    mask: NDArray[np.bool_] = field(init=False)
    full: bool = field(init=False)

    def __post_init__(self) -> None:
        """Work out what every laying asks for."""
        object.__setattr__(self, "mask", self.grid != 0)
        object.__setattr__(self, "full", bool(self.mask.all()))

    @property
    def points(self) -> int:
        """How many points its lines, knots and beads have."""
        return len(self.knots) + sum(len(line.points) for line in self.lines)

    @property
    def width(self) -> int:
        """Width in its own crosses."""
        return int(self.grid.shape[1])

    @property
    def height(self) -> int:
        """Height in its own crosses."""
        return int(self.grid.shape[0])


@dataclass(frozen=True)
class MissingTurn:
    """A key line used by a motif, and the turned stitch for which the key has no line."""

    index: int
    parts: tuple[Part, ...]


Cells = tuple[int, int, int, int]  # columns and rows, from x0, y0 up to x1, y1
TurnedStamp = tuple[Stamp, tuple[MissingTurn, ...]]


class Stamps:
    """All stamps of one design, each made once."""

    def __init__(self, design: Design) -> None:
        """Prepare the symbol table of the design's key.

        From the second version of the notation on, what is mirrored or turned needs no line of its
        own: `key` grows by those stitches.
        """
        self._design = design
        self.key = design.key
        self._counted = {
            index: entry.counted
            for index, entry in enumerate(design.key, 1)
            if entry.counted is not None
        }
        self._tables: dict[Swap, RowTable] = {}
        self.index = {entry.symbol: index for index, entry in reversed([*enumerate(design.key, 1)])}
        self._turned_keys: dict[Turn, TurnedKey] = {}
        self._motifs: dict[tuple[str, Turn, Swap, Cells | None], TurnedStamp] = {}
        self._letters: dict[tuple[str, str, Swap], Stamp] = {}

    def motif(
        self, name: str, turn: Turn = AS_DRAWN, swap: Swap = (), part: Cells | None = None
    ) -> TurnedStamp:
        """Return a motif swapped and then turned, and the key lines that the turn misses.

        part: its columns and rows that are wanted, as it lies; see `Placement`.
        """
        wanted = (name, turn, swap, part)
        if wanted not in self._motifs:
            motif = self._design.motifs[name]
            if part is not None:
                motif = _part_of(motif, turn, part)
            self._motifs[wanted] = self._make(motif, turn, swap)
        return self._motifs[wanted]

    def letter(self, alphabet: str, character: str, swap: Swap = ()) -> Stamp:
        """Return one letter of an alphabet, swapped."""
        wanted = (alphabet, character, swap)
        if wanted not in self._letters:
            letter = self._design.alphabets[alphabet].letters[character]
            self._letters[wanted] = self.drawn(character, letter.rows, swap)
        return self._letters[wanted]

    def drawn(self, name: str, rows: Sequence[str], swap: Swap = ()) -> Stamp:
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
        missing: tuple[MissingTurn, ...] = ()
        if turned_key.missing:
            used = set(present(grid))
            missing = tuple(
                MissingTurn(index, parts)
                for index, parts in turned_key.missing.items()
                if index in used
            )
        stamp = Stamp(
            motif.name,
            turn.grid(turned_key.table[grid]),
            self._lines(motif.lines, swapped, turn, motif),
            self._knots(motif.knots, swapped, turn, motif),
            motif,
            signs,
        )
        return stamp, missing

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
        if turn not in self._turned_keys:
            if self._design.version > 1:
                self.key = with_turned(self.key, turn)
            self._turned_keys[turn] = turned_key(self.key, turn)
        return self._turned_keys[turn]

    def _lines(
        self, lines: Sequence[Line], swapped: Mapping[str, str], turn: Turn, motif: Motif
    ) -> tuple[StampLine, ...]:
        return tuple(
            StampLine(
                self.index[swapped.get(line.symbol, line.symbol)],
                turn.points(np.array(line.points, dtype=np.float64), motif.width, motif.height),
                line.span,
            )
            for line in lines
        )

    def _knots(
        self, knots: Sequence[Knot], swapped: Mapping[str, str], turn: Turn, motif: Motif
    ) -> tuple[StampKnot, ...]:
        made: list[StampKnot] = []
        for knot in knots:
            points = np.array(knot.points, dtype=np.float64)
            index = self.index[swapped.get(knot.symbol, knot.symbol)]
            turned = turn.points(points, motif.width, motif.height)
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
