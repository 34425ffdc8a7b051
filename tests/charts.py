"""Small designs for tests, built without reading a file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from linenleaf.compose.worked import IndexGrid
from linenleaf.core.ground import Fabric, Ground
from linenleaf.core.items import Alphabet, Item, Knot, Letter, Line, Motif
from linenleaf.core.key import KeyEntry, Kind, Part, Strands, Thread, Way
from linenleaf.core.matter import Booklet
from linenleaf.core.model import Chart, Design
from linenleaf.core.source import Source

MADDER = Thread("estuary", "417", "madder", "#a03a3a")
SEDGE = Thread("estuary", "220", "sedge", "#5f7a4a")
LAMP = Thread("estuary", "512", "lamp", "#e0a030")
INK = Thread("estuary", "900", "ink", "#20242c")


def part(thread: Thread, kind: Kind = Kind.FULL, way: Way | None = None, strands: int = 2) -> Part:
    return Part(kind, (Strands(thread, strands),), way)


def cell(symbol: str, *parts: Part, **more: str) -> KeyEntry:
    return KeyEntry(symbol, parts, **more)


FULLS = (cell("m", part(MADDER)), cell("s", part(SEDGE)), cell("k", part(INK)))
HALVES = (
    cell("/", part(SEDGE, Kind.HALF, Way.UP)),
    cell("\\", part(SEDGE, Kind.HALF, Way.DOWN)),
)
WORDS = (
    KeyEntry("lantern", (part(LAMP, Kind.BACK, strands=1),)),
    KeyEntry("eye", (part(INK, Kind.KNOT, strands=1),)),
)
KEY = FULLS + HALVES + WORDS  # m 1, s 2, k 3, / 4, \ 5, lantern 6, eye 7


def motif(name: str, *rows: str, **more: object) -> Motif:
    return Motif(name, len(rows[0]), len(rows), rows, **more)  # type: ignore[arg-type]


def alphabet(name: str, letters: Mapping[str, Sequence[str]], **more: int) -> Alphabet:
    made = {each: Letter(each, tuple(rows)) for each, rows in letters.items()}
    return Alphabet(name, len(next(iter(made.values())).rows), made, **more)


def design(
    size: tuple[int, int] | None = None,
    *items: Item,
    rows: Sequence[str] = (),
    key: Sequence[KeyEntry] = KEY,
    motifs: Sequence[Motif] = (),
    alphabets: Sequence[Alphabet] = (),
    over: int = 2,
    fabric: Fabric | None = None,
    chart: Chart | None = None,
    **more: object,
) -> Design:
    width, height = size or (len(rows[0]), len(rows))
    return Design(
        source=Source("test.linen", ""),
        folder=Path(),
        version=1,
        booklet=Booklet("Test"),
        ground=Ground(fabric or Fabric("linen", 32, 32, over)),
        threads=(MADDER, SEDGE, LAMP, INK),
        key=tuple(key),
        motifs={each.name: each for each in motifs},
        alphabets={each.name: each for each in alphabets},
        chart=chart or Chart(width, height, tuple(rows), items),
        **more,  # type: ignore[arg-type]
    )


def picture(grid: IndexGrid, key: Sequence[KeyEntry] = KEY) -> list[str]:
    """Return a grid as rows of symbols, to be compared by eye."""
    symbols = np.array([".", *(entry.symbol[0] for entry in key)])
    return ["".join(row) for row in symbols[grid]]


def line(symbol: str, *points: tuple[float, float]) -> Line:
    return Line(symbol, points)


def knot(symbol: str, *points: tuple[float, float]) -> Knot:
    return Knot(symbol, points)
