"""The key as it was meant: threads, and the stitches that each line stands for."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum, StrEnum
from typing import assert_never

from .source import Span


@dataclass(frozen=True)
class Thread:
    """One colour of one thread range, and how it is put up for sale."""

    range: str  # empty for a colour given inline
    code: str  # empty for a colour given inline
    name: str
    colour: str  # sRGB as #rrggbb, lower case
    metres: float = 8.0  # length of one put-up
    strands: int = 6  # strands that it divides into
    put_up: str = "skein"
    span: Span | None = field(default=None, compare=False, repr=False)

    @property
    def label(self) -> str:
        """The thread as a person would ask for it: `estuary 417`, or the name alone."""
        return f"{self.range} {self.code}" if self.code else self.name


class Lies(Enum):
    """What a stitch lies on: fills a cell, follows a line, or stands in a hole."""

    CELL = "cell"
    LINE = "line"
    POINT = "point"


class Kind(StrEnum):
    """Kinds of stitch; all else that is known of them stands in `stitches/kinds.py`."""

    FULL = "full"
    HALF = "half"
    QUARTER = "quarter"
    THREE_QUARTER = "three-quarter"
    UPRIGHT = "upright"
    BACK = "back"
    STRAIGHT = "straight"
    KNOT = "knot"
    BEAD = "bead"

    @property
    def lies(self) -> Lies:
        """What it lies on."""
        match self:
            case Kind.FULL | Kind.HALF | Kind.QUARTER | Kind.THREE_QUARTER | Kind.UPRIGHT:
                return Lies.CELL
            case Kind.BACK | Kind.STRAIGHT:
                return Lies.LINE
            case Kind.KNOT | Kind.BEAD:
                return Lies.POINT
            case _:
                assert_never(self)


class Way(StrEnum):
    """Which way a part stitch lies.

    A half cross goes up (bottom left to top right, `/`) or down (top left to bottom
    right). A quarter runs from the named corner to the middle; a three-quarter is that
    quarter and the whole half cross that runs across its corner.
    """

    UP = "up"
    DOWN = "down"
    TOP_LEFT = "top-left"
    TOP_RIGHT = "top-right"
    BOTTOM_LEFT = "bottom-left"
    BOTTOM_RIGHT = "bottom-right"


@dataclass(frozen=True)
class Strands:
    """One thread in the needle and how many strands of it."""

    thread: Thread
    strands: int


@dataclass(frozen=True)
class Part:
    """One stitch of a key line: its kind, which way it lies, and what is in the needle.

    needle holds one entry, or several for a blend worked together.
    """

    kind: Kind
    needle: tuple[Strands, ...]
    way: Way | None = None
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class KeyEntry:
    """One line of the key: the symbol of a cell, or the word for a line, knot or bead."""

    symbol: str  # one character for a cell, a word for anything else
    parts: tuple[Part, ...]
    note: str = ""
    printed: str = ""  # the printed symbol wished for, by name
    span: Span | None = field(default=None, compare=False, repr=False)

    @property
    def is_cell(self) -> bool:
        """Whether the entry fills cells (as against lines, knots and beads)."""
        return self.parts[0].kind.lies is Lies.CELL

    @property
    def is_line(self) -> bool:
        """Whether the entry is a back stitch or straight stitch."""
        return self.parts[0].kind.lies is Lies.LINE

    @property
    def is_point(self) -> bool:
        """Whether the entry is a knot or bead."""
        return self.parts[0].kind.lies is Lies.POINT


@dataclass(frozen=True)
class ThreadChange:
    """New needles for the parts of one key line, in order."""

    symbol: str
    needles: tuple[tuple[Strands, ...], ...]
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Colourway:
    """A named set of thread changes."""

    name: str
    title: str
    changes: tuple[ThreadChange, ...]
    span: Span | None = field(default=None, compare=False, repr=False)
