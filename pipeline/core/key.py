"""The key as it was meant: threads, and the stitches that each line stands for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum, StrEnum
from functools import cached_property
from typing import assert_never

from .counted import Counted
from .source import Span


class ThreadKind(StrEnum):
    """What a thread is."""

    STRANDED = "stranded"
    FLAT = "flat"
    PERLE = "perle"
    METALLIC = "metallic"
    BEAD = "bead"
    OVERDYED = "overdyed"

    @property
    def traits(self) -> Traits:
        """What follows from it."""
        return _TRAITS[self]


@dataclass(frozen=True)
class Traits:
    """What follows from the kind of a thread.

    strands: that it divides into where nothing is stated. always: whether it never has others.
    doubled: whether several lengths of one that does not divide may lie in a needle. offered:
    whether it is offered for a cross unasked. bead: it is sewn on. many_coloured: one thread is
    dyed in several colours.
    """

    strands: int = 1
    always: bool = False
    doubled: bool = False
    offered: bool = True
    bead: bool = False
    many_coloured: bool = False


# Common practice, no single source; from memory.
_TRAITS: Mapping[ThreadKind, Traits] = {
    ThreadKind.STRANDED: Traits(strands=6, doubled=True),
    ThreadKind.FLAT: Traits(),
    ThreadKind.PERLE: Traits(always=True),
    ThreadKind.METALLIC: Traits(offered=False),
    ThreadKind.BEAD: Traits(always=True, offered=False, bead=True),
    ThreadKind.OVERDYED: Traits(strands=6, many_coloured=True),
}


@dataclass(frozen=True)
class Thread:
    """One colour of one thread range, and how it is put up for sale.

    colours: of an overdyed one, as they follow each other along it; `colour` stands for them all.
    """

    range: str  # empty for a colour given inline
    code: str  # empty for a colour given inline
    name: str
    colour: str  # sRGB as #rrggbb, lower case
    metres: float = 8.0  # length of one put-up
    strands: int = 6  # strands that it divides into
    put_up: str = "skein"
    span: Span | None = field(default=None, compare=False, repr=False)
    kind: ThreadKind = ThreadKind.STRANDED
    colours: tuple[str, ...] = ()

    @property
    def divides(self) -> bool:
        """Whether it may be worked with as many strands as one likes."""
        return self.strands > 1 or self.kind.traits.doubled

    @property
    def in_packages(self) -> bool:
        """Whether a bead is sold as its range says; how many are in one it does not."""
        return self.kind.traits.bead and self.put_up != Thread.put_up

    @property
    def named(self) -> tuple[str, str]:
        """What no two threads of a chart have both in common: range and label."""
        return self.range, self.label

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
    COUNTED = "counted"  # of its own threads, see `Part.stitch`
    LINED = "lined"  # the same along a line
    WOUND = "wound"  # the same in a hole

    @property
    def lies(self) -> Lies:
        """What it lies on."""
        match self:
            case Kind.FULL | Kind.HALF | Kind.QUARTER | Kind.THREE_QUARTER | Kind.UPRIGHT:
                return Lies.CELL
            case Kind.COUNTED:
                return Lies.CELL
            case Kind.BACK | Kind.STRAIGHT | Kind.LINED:
                return Lies.LINE
            case Kind.KNOT | Kind.BEAD | Kind.WOUND:
                return Lies.POINT
            case _:
                assert_never(self)

    @property
    def covers(self) -> bool:
        """Whether its thread alone covers the whole of its cell, one cross in one colour."""
        match self:
            case Kind.FULL:
                return True
            case Kind.HALF | Kind.QUARTER | Kind.THREE_QUARTER | Kind.UPRIGHT | Kind.COUNTED:
                return False
            case Kind.BACK | Kind.STRAIGHT | Kind.LINED | Kind.KNOT | Kind.BEAD | Kind.WOUND:
                return False
            case _:
                assert_never(self)

    @property
    def by_strokes(self) -> bool:
        """Whether it is a counted stitch, of which `Part.stitch` says how it is worked."""
        match self:
            case Kind.COUNTED | Kind.LINED | Kind.WOUND:
                return True
            case Kind.FULL | Kind.HALF | Kind.QUARTER | Kind.THREE_QUARTER | Kind.UPRIGHT:
                return False
            case Kind.BACK | Kind.STRAIGHT | Kind.KNOT | Kind.BEAD:
                return False
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

    needle holds one entry, or several for a blend worked together. stitch: that is worked where
    the kind is one of counted strokes. second: only those of its second thread.
    """

    kind: Kind
    needle: tuple[Strands, ...]
    way: Way | None = None
    stitch: Counted | None = None
    second: bool = False
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class KeyEntry:
    """One line of the key: the symbol of a cell, or the word for a line, knot or bead."""

    symbol: str  # one character for a cell, a word for anything else
    parts: tuple[Part, ...]
    note: str = ""
    printed: str = ""  # the printed symbol wished for, by name
    span: Span | None = field(default=None, compare=False, repr=False)
    # Of the key line whose stitches these are, mirrored or turned: its index, and a character that
    # no line has, by which drawings tell the one from the other.
    turned_from: int = 0
    sign: str = ""

    @cached_property
    def is_cell(self) -> bool:
        """Whether the entry fills cells (as against lines, knots and beads)."""
        return self.parts[0].kind.lies is Lies.CELL

    @cached_property
    def counted(self) -> Counted | None:
        """The counted stitch that its sign stands for; it takes threads of its own."""
        return self.parts[0].stitch if self.is_cell else None

    @cached_property
    def is_line(self) -> bool:
        """Whether the entry is a back stitch or straight stitch."""
        return self.parts[0].kind.lies is Lies.LINE

    @cached_property
    def is_wide(self) -> bool:
        """Whether the key draws it wider than a cell: a line, or a counted stitch by its sign."""
        return self.is_line or self.counted is not None

    @cached_property
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
