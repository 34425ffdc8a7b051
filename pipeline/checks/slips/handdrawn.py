"""Grids as they were drawn by hand: the whole-chart grid and the motifs, with their places."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...compose.turning import Turn, turned_key
from ...compose.worked import WorkedChart
from ...core.model import KeyEntry, Motif, NoteKind
from ...core.source import Span

Codes = NDArray[np.uint32]

NO_SYMBOL = np.uint32(0xFFFFFFFF)  # stands for a turned stitch that the key has no symbol for


@dataclass(frozen=True, eq=False)
class Drawn:
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


def drawn_motifs(worked: WorkedChart) -> Iterator[Drawn]:
    """Yield the motifs that are placed or stand in the chart's own file."""
    placed = {each.motif.name for each in worked.placed if each.motif is not None}
    own = worked.design.source.path
    for motif in worked.design.motifs.values():
        if motif.name in placed or motif.span is None or motif.span.source.path == own:
            yield Drawn(
                f"the motif `{motif.name}`",
                codes_of(motif.rows),
                motif.row_spans,
                motif.span,
                motif,
            )


def drawn_chart(worked: WorkedChart) -> Drawn | None:
    """Return the whole-chart grid, if there is one."""
    chart = worked.design.chart
    if not chart.rows:
        return None
    codes = codes_of(chart.rows)
    return Drawn("the chart", codes, chart.row_spans, chart.span, None, excused(worked))


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
