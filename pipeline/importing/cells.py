"""Cells that are brought in: what each asks for, before threads are chosen, and sheets of them.

A cell says a colour `#rrggbb`, the code or the name of a thread of the range, or anything that the
user has given a meaning; empty, or `.`, is bare fabric. Columns are parted by commas, semicolons
or tabs, whichever the first line has most of.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..core.characters import is_visible
from ..core.diagnostics import Diagnostic, Diagnostics, Hint, finding
from ..core.items import BARE
from ..core.key import Thread
from ..core.source import Source, Span
from ..core.suggest import did_you_mean
from ..resolve.settings import LARGEST_AREA, LARGEST_SIDE

IndexCells = NDArray[np.int32]  # (height, width): 0 bare, else an index counted from 1

LARGEST = f"a chart has at most {LARGEST_SIDE:,} crosses each way, and {LARGEST_AREA:,} in all"


def too_large(width: int, height: int) -> bool:
    """Return whether so many cells are more than a chart holds."""
    return max(width, height) > LARGEST_SIDE or width * height > LARGEST_AREA


@dataclass(frozen=True)
class Wanted:
    """What cells ask for: a colour `#rrggbb`, or a thread by name, and perhaps a symbol."""

    colour: str
    thread: Thread | None = None
    symbol: str = ""


@dataclass(frozen=True, eq=False)
class Cells:
    """A grid of indices into `wanted`, counted from 1; 0 is bare fabric."""

    grid: IndexCells
    wanted: tuple[Wanted, ...]

    @property
    def counts(self) -> NDArray[np.int64]:
        """How many cells ask for each of `wanted`."""
        return np.bincount(self.grid.ravel(), minlength=len(self.wanted) + 1)[1:]


def joined(grid: IndexCells, groups: Sequence[int] | NDArray[np.int64]) -> IndexCells:
    """Return a grid in which index `i` has become `groups[i - 1] + 1`, and bare stays bare."""
    table = np.concatenate(([0], np.asarray(groups, dtype=np.int64) + 1)).astype(np.int32)
    return table[grid]


LARGEST_SHEET = 64 * 1024 * 1024  # bytes
MOST_FAULTS = 10  # cells that are told one by one
_COLOUR = re.compile(r"#[0-9A-Fa-f]{6}")
_PARTS = (",", ";", "\t")


def read_sheet(
    source: Source, threads: Sequence[Thread], meant: Mapping[str, str], bare: str | None
) -> tuple[Cells | None, Diagnostics]:
    """Return the cells of a sheet, or what is wrong with it.

    meant: what a cell stands for where it says neither a colour nor a thread. bare: what a cell of
    bare fabric says, besides nothing and `.`.
    """
    findings: list[Diagnostic] = []
    sheet = _CellSheet(source)
    rows = sheet.rows(findings)
    if findings:
        return None, tuple(findings)
    words: dict[str, int] = {}
    numbers = [[words.setdefault(cell, len(words)) for cell in row] for row in rows]
    index = np.array(numbers, dtype=np.int32)
    known = _Meanings(threads, meant, bare)
    # Cells that ask for the same in different words are one; the first symbol is kept.
    wanted: dict[tuple[str, Thread | None], Wanted] = {}
    place: dict[tuple[str, Thread | None], int] = {}
    group = np.zeros(len(words), dtype=np.int32)
    for number, word in enumerate(words):
        if known.is_bare(word):
            continue
        one = known.wanted(word)
        if one is not None:
            asked = (one.colour, one.thread)
            first = wanted.setdefault(asked, one)
            if not first.symbol:
                wanted[asked] = one
            group[number] = place.setdefault(asked, len(wanted))
            continue
        if len(findings) == MOST_FAULTS:
            findings.append(
                finding(
                    "too-many-findings",
                    "There are more unknown cells.",
                    None,
                    "correct those that are listed, and check again",
                )
            )
            break
        row, column = (int(each) for each in np.argwhere(index == number)[0])
        findings.append(_unknown(word, row, column, sheet.cell(row, column), known))
    if findings:
        return None, tuple(findings)
    return Cells(group[index], tuple(wanted.values())), ()


class _CellSheet:
    """The lines of a sheet, and where their cells stand."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.lines = source.text.split("\n")
        while len(self.lines) > 1 and not self.lines[-1]:
            self.lines.pop()
        self.part = max(_PARTS, key=self.lines[0].count)

    def rows(self, findings: list[Diagnostic]) -> list[list[str]]:
        """Return the cells, row by row, all rows equally wide; fewer after a finding."""
        if not self.source.text.strip():
            findings.append(
                finding(
                    "empty-file",
                    "This file is empty.",
                    self.source.span(0, 0),
                    "check that it is the right file",
                )
            )
            return []
        if len(self.lines) > LARGEST_SIDE:
            message = f"The sheet has {len(self.lines):,} rows."
            findings.append(finding("chart-too-large", message, self.line(LARGEST_SIDE), LARGEST))
            return []
        rows: list[list[str]] = []
        for number in range(len(self.lines)):
            cells = self._cells(number)
            fault = self._finding(number, cells, rows)
            if fault is not None:
                findings.append(fault)
                break
            rows.append(cells or [])
            if too_large(len(rows[0]), len(rows)):
                message = f"The sheet has {len(rows[0]):,} cells a row and {len(rows):,} rows."
                findings.append(finding("chart-too-large", message, self.line(number), LARGEST))
                break
        return rows

    def _cells(self, number: int) -> list[str] | None:
        try:
            cells = next(csv.reader([self.lines[number]], delimiter=self.part, strict=True), [""])
        except csv.Error:
            return None
        return [cell.strip() for cell in cells] or [""]

    def _finding(
        self, number: int, cells: list[str] | None, rows: Sequence[Sequence[str]]
    ) -> Diagnostic | None:
        if cells is None:
            return finding(
                "bad-csv",
                "This line is not well-formed: a double quote is open or out of place.",
                self.line(number),
                "save the sheet again as CSV: commas between cells, UTF-8",
            )
        if len(cells) > LARGEST_SIDE:
            message = f"This row has {len(cells):,} cells."
            return finding("chart-too-large", message, self.line(number), LARGEST)
        if rows and len(cells) != len(rows[0]):
            return finding(
                "ragged-row",
                f"Row {number + 1} has {len(cells):,} cells; the first has {len(rows[0]):,}.",
                self.line(number),
                Hint("the first row", self.line(0)),
                "every row has as many cells; an empty cell is bare fabric",
            )
        return None

    def line(self, number: int) -> Span:
        """Return the place of a line, counted from 0."""
        start = sum(len(line) + 1 for line in self.lines[:number])
        return self.source.span(start, start + len(self.lines[number]))

    def cell(self, row: int, column: int) -> Span:
        """Return the place of a cell, or its line where quotes make that hard to tell."""
        line, text = self.line(row), self.lines[row]
        if '"' in text:
            return line
        pieces = text.split(self.part)
        start = line.start + sum(len(piece) + 1 for piece in pieces[:column])
        start += len(pieces[column]) - len(pieces[column].lstrip())
        return self.source.span(start, start + len(pieces[column].strip()))


class _Meanings:
    """What a cell may say."""

    def __init__(
        self, threads: Sequence[Thread], meant: Mapping[str, str], bare: str | None
    ) -> None:
        self.meant = meant
        self.bare = bare
        self.codes = {thread.code: thread for thread in threads}
        self.names = {thread.name.casefold(): thread for thread in reversed(threads)}

    def is_bare(self, word: str) -> bool:
        """Tell whether a cell is bare fabric."""
        return self.meant.get(word, word) in ("", BARE) or word == self.bare

    def wanted(self, word: str) -> Wanted | None:
        """Return what a cell asks for; None where that is not known."""
        symbol = word if len(word) == 1 and _may_be_symbol(word) else ""
        said = self.meant.get(word, word)
        if _COLOUR.fullmatch(said):
            return Wanted(said.lower(), None, symbol)
        thread = self.codes.get(said) or self.names.get(said.casefold())
        return Wanted(thread.colour, thread, symbol) if thread else None


def _may_be_symbol(char: str) -> bool:
    return char not in '.|#"' and is_visible(char)


def _unknown(word: str, row: int, column: int, place: Span, known: _Meanings) -> Diagnostic:
    short = word if len(word) <= 40 else word[:39] + "…"
    guess = did_you_mean(word, [*known.codes, *known.names])
    # Told by row and column too: in a spreadsheet there are no lines and characters to count.
    return finding(
        "unknown-cell",
        f"Row {row + 1}, column {column + 1}: `{short}` is neither a colour nor the code or name "
        "of a thread in the range.",
        place,
        *([guess] if guess else []),
        f"say what it stands for: --means '{short}=CODE', or a colour, or `.` for bare fabric",
    )
