"""Threads and stitches by name, and what became of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from ..core.model import Kind, Part, Thread
from .differences import Differences, Stitches
from .keypairs import thread_name

_CROSSES = {
    Kind.FULL: ("cross", "crosses"),
    Kind.HALF: ("half cross", "half crosses"),
    Kind.QUARTER: ("quarter cross", "quarter crosses"),
    Kind.THREE_QUARTER: ("three-quarter cross", "three-quarter crosses"),
    Kind.UPRIGHT: ("upright cross", "upright crosses"),
    Kind.BACK: ("back stitch", "back stitches"),
    Kind.STRAIGHT: ("straight stitch", "straight stitches"),
    Kind.KNOT: ("knot", "knots"),
    Kind.BEAD: ("bead", "beads"),
}
_PARTED = ("cross of two part stitches", "crosses of two part stitches")


@dataclass(frozen=True)
class Signs:
    """What stands between two figures, and between what was and what is."""

    to: str
    becomes: str


TERMINAL = Signs("-", "->")
PRINT = Signs("\N{EN DASH}", "\N{RIGHTWARDS ARROW}")


class Namer:
    """Names the threads and stitches of two charts."""

    def __init__(self, found: Differences, signs: Signs = TERMINAL) -> None:
        self.found = found
        self.signs = signs

    @cached_property
    def _names(self) -> dict[str, int]:
        """How many threads of both charts share a name."""
        threads = {
            thread_name(each.thread): each.thread.name
            for worked in (self.found.old, self.found.new)
            for entry in worked.design.key
            for part in entry.parts
            for each in part.needle
        }
        names = list(threads.values())
        return {name: names.count(name) for name in names}

    def thread(self, thread: Thread) -> str:
        """Return a thread by its name, or by range and code where the name does not tell it."""
        if thread.name and self._names.get(thread.name, 0) < 2:
            return thread.name
        return thread.label

    def thread_in_full(self, thread: Thread) -> str:
        """Return a thread by range, code and name."""
        return f"{thread.label} {thread.name}" if thread.code and thread.name else thread.label

    def needle(self, part: Part) -> str:
        """Return what is in the needle."""
        return " with ".join(dict.fromkeys(self.thread(each.thread) for each in part.needle))

    def threads(self, index: int, *, new: bool) -> str:
        """Return the threads of a key line."""
        return " and ".join(dict.fromkeys(self.needle(part) for part in self.parts(index, new=new)))

    def parts(self, index: int, *, new: bool) -> tuple[Part, ...]:
        """Return the stitches of a key line."""
        worked = self.found.new if new else self.found.old
        return worked.entry(index).parts

    def noun(self, index: int, number: int, *, new: bool) -> str:
        """Return what so many stitches of a key line are called."""
        parts = self.parts(index, new=new)
        words = _PARTED if len(parts) > 1 else _CROSSES[parts[0].kind]
        return words[number != 1]

    def how(self, index: int, *, new: bool) -> str:
        """Return how a key line is worked, apart from its thread."""
        told = []
        for part in self.parts(index, new=new):
            strands = sum(each.strands for each in part.needle)
            way = f" {part.way.value}" if part.way else ""
            told.append(f"{part.kind.value}{way}, {strands} strand{'s' if strands != 1 else ''}")
        return " and ".join(told)

    def stitches(self, each: Stitches) -> str:
        """Return what changed in so many cells: `14 crosses madder -> flax`."""
        if not each.old:
            noun = self.noun(each.new, each.number, new=True)
            return f"{each.number:,} {noun} {self.threads(each.new, new=True)} added"
        before = self.threads(each.old, new=False)
        noun = self.noun(each.old, each.number, new=False)
        if not each.new:
            return f"{each.number:,} {noun} {before} removed"
        after = self.threads(each.new, new=True)
        if before == after:
            how = self.change(self.how(each.old, new=False), self.how(each.new, new=True))
            return f"{each.number:,} {noun} {before}: {how}"
        was, now = noun, self.noun(each.new, each.number, new=True)
        after = after if was == now else f"{now} {after}"
        return f"{each.number:,} {noun} {self.change(before, after)}"

    def change(self, before: str, after: str) -> str:
        """Return what was and what is."""
        return f"{before} {self.signs.becomes} {after}"

    def in_key(self, index: int, *, new: bool) -> str:
        """Return a key line in full: threads by code and name, and how they are worked."""
        told = []
        for part in self.parts(index, new=new):
            threads = " with ".join(self.thread_in_full(each.thread) for each in part.needle)
            strands = sum(each.strands for each in part.needle)
            way = f" {part.way.value}" if part.way else ""
            kind = "" if part.kind is Kind.FULL else f", {part.kind.value}{way}"
            told.append(f"{threads}{kind}, {strands} strand{'s' if strands != 1 else ''}")
        return " + ".join(told)
