"""The chart as it was meant: what a source says, before anything is placed.

Positions are `x, y` in crosses from the top left corner, on grid lines. The
model knows nothing of drawing. Spans never take part in comparison, so that two
models are equal when they mean the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from .ground import Ground, Working
from .items import Alphabet, Item, Motif, Symmetry
from .key import Colourway, KeyEntry, Thread
from .matter import Booklet, Expectation, Note, Revision, Showing
from .paging import Paging
from .places import Thing
from .source import Source, Span


class Threads(StrEnum):
    """Threads of the fabric by the way they run: those of rows level, those of columns upright."""

    ROWS = "rows"
    COLUMNS = "columns"


@dataclass(frozen=True)
class Withdrawal:
    """Threads to be withdrawn from the fabric, from corner to corner, in crosses."""

    threads: Threads
    x0: float
    y0: float
    x1: float
    y1: float
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Chart:
    """The chart block: its size, an optional whole-chart grid, and what is placed, in order.

    width, height: 0 where they follow from what the chart holds and are not reckoned out. things:
    what the lines of the chart place, in order; with those that hang on others the positions of
    the items count from those, until they are reckoned out.
    """

    width: int
    height: int
    rows: tuple[str, ...] = ()
    items: tuple[Item, ...] = ()
    symmetry: Symmetry | None = None
    row_spans: tuple[Span, ...] = field(default=(), compare=False, repr=False)
    span: Span | None = field(default=None, compare=False, repr=False)
    withdrawals: tuple[Withdrawal, ...] = ()
    things: tuple[Thing, ...] = field(default=(), compare=False)
    called: str = "the chart"  # or a motif that is put together like a chart


@dataclass(frozen=True)
class Design:
    """A whole source, read and resolved: everything that the later stages need.

    key: entries in source order; index `i` in a worked grid means key[i - 1].
    folder: the folder of the chart; no file outside it is opened.
    in_colourway: the colourway that the key now shows, None for the chart's own threads.
    own_key: then the key with those, which decide on the printed symbols; empty otherwise.
    personal: what was replaced for a personal copy: (name, text), lines of one text parted by a
    line end; empty for the chart as published. stock: what it uses of the stock, and in which
    versions.
    """

    source: Source
    folder: Path
    version: int
    booklet: Booklet
    ground: Ground
    threads: tuple[Thread, ...]
    key: tuple[KeyEntry, ...]
    motifs: Mapping[str, Motif]
    alphabets: Mapping[str, Alphabet]
    chart: Chart
    notes: tuple[Note, ...] = ()
    colourways: tuple[Colourway, ...] = ()
    revisions: tuple[Revision, ...] = ()
    expectations: tuple[Expectation, ...] = ()
    working: Working = field(default_factory=Working)
    showings: tuple[Showing, ...] = ()
    in_colourway: Colourway | None = None
    own_key: tuple[KeyEntry, ...] = ()
    personal: tuple[tuple[str, str], ...] = ()
    stock: tuple[tuple[str, int], ...] = ()
    paging: Paging = field(default_factory=Paging)
