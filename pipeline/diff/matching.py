"""Which thing of an old chart is which of the new one: the same, moved, drawn anew, or neither."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from ..core.items import Point
from .canvas import Offset
from .changes import Sort
from .units import Unit

MOST_PAIRS = 250_000  # of alike things whose every offset is looked at; beyond, order decides

_Thing = TypeVar("_Thing")


@dataclass(frozen=True, eq=False)
class Matched:
    """One thing, before and after; None where it was not there.

    by: how far it moved, apart from a shift of the whole chart.
    """

    old: Unit | None
    new: Unit | None
    by: Point = (0.0, 0.0)

    @property
    def moved(self) -> bool:
        """Whether it stands elsewhere."""
        return self.by != (0.0, 0.0)

    @property
    def altered(self) -> bool:
        """Whether its cells differ."""
        if self.old is None or self.new is None:
            return True
        return self.old.content != self.new.content or self.old.over != self.new.over

    @property
    def plain(self) -> bool:
        """Whether nothing happened to it."""
        return not self.moved and not self.altered


def match(old: Iterable[Unit], new: Iterable[Unit], shift: Offset) -> list[Matched]:
    """Pair the things of two charts; shift: how far the whole old chart lies on the new one.

    The surest pairs come first: the same cells at the same place, the same name at the same
    place, the same cells elsewhere, the same name elsewhere, a text where a text was.
    """
    before, after = list(old), list(new)
    matches: list[Matched] = []

    def place(unit: Unit, x: float = 0, y: float = 0) -> tuple[float, float]:
        return round(unit.x + x, 3), round(unit.y + y, 3)

    def pair(of_old: Callable[[Unit], Hashable], of_new: Callable[[Unit], Hashable]) -> None:
        matches.extend(Matched(*each) for each in _pair(before, after, of_old, of_new))

    # A chart has one grid of its own at most, wherever a shift has put its corner.
    pair(
        lambda each: each.sort if each.sort is Sort.GRID else id(each),
        lambda each: each.sort if each.sort is Sort.GRID else id(each),
    )
    pair(
        lambda each: (each.sort, each.name, each.over, each.content, place(each, *shift)),
        lambda each: (each.sort, each.name, each.over, each.content, place(each)),
    )
    pair(
        lambda each: (each.sort, each.over, each.content, place(each, *shift)),
        lambda each: (each.sort, each.over, each.content, place(each)),
    )
    pair(
        lambda each: (each.sort, each.name, each.over, place(each, *shift)),
        lambda each: (each.sort, each.name, each.over, place(each)),
    )
    matches.extend(_moved(before, after, shift, lambda each: (each.sort, each.over, each.content)))
    matches.extend(
        _moved(
            before,
            after,
            shift,
            lambda each: (each.sort, each.name) if each.sort is Sort.MOTIF else id(each),
        )
    )
    matches.extend(_texts(before, after, shift))
    matches.extend(Matched(each, None) for each in before)
    matches.extend(Matched(None, each) for each in after)
    return matches


def _pair(
    old: list[_Thing],
    new: list[_Thing],
    of_old: Callable[[_Thing], Hashable],
    of_new: Callable[[_Thing], Hashable],
) -> list[tuple[_Thing, _Thing]]:
    """Take from both lists, in order, what is alike, and return it in pairs."""
    waiting: dict[Hashable, list[_Thing]] = {}
    for thing in reversed(new):
        waiting.setdefault(of_new(thing), []).append(thing)
    pairs = []
    rest = []
    for thing in old:
        alike = waiting.get(of_old(thing))
        if alike:
            pairs.append((thing, alike.pop()))
        else:
            rest.append(thing)
    taken = {id(other) for _, other in pairs}
    old[:] = rest
    new[:] = [thing for thing in new if id(thing) not in taken]
    return pairs


def _moved(
    old: list[Unit], new: list[Unit], shift: Offset, alike: Callable[[Unit], Hashable]
) -> list[Matched]:
    pairs = by_votes(
        [(alike(unit), (unit.x + shift[0], unit.y + shift[1])) for unit in old],
        [(alike(unit), (unit.x, unit.y)) for unit in new],
    )
    moved = [Matched(old[one], new[other], by) for one, other, by in pairs]
    gone, come = {one for one, _, _ in pairs}, {other for _, other, _ in pairs}
    old[:] = [each for at, each in enumerate(old) if at not in gone]
    new[:] = [each for at, each in enumerate(new) if at not in come]
    return moved


def by_votes(
    old: Sequence[tuple[Hashable, Point]], new: Sequence[tuple[Hashable, Point]]
) -> list[tuple[int, int, Point]]:
    """Pair things that are alike so that as many as can be moved together.

    Each thing is what it is like and where it stands. Returns old number, new number and offset;
    the offset that most pairs share comes first, of those shared by as many the shortest.
    """
    places: dict[Hashable, list[int]] = {}
    for at, (alike, _) in enumerate(new):
        places.setdefault(alike, []).append(at)
    many: dict[Hashable, int] = {}
    for alike, _ in old:
        many[alike] = many.get(alike, 0) + 1
    votes: dict[Point, list[tuple[int, int]]] = {}
    queues = {
        alike: iter(each)
        for alike, each in places.items()
        if many.get(alike, 0) * len(each) > MOST_PAIRS
    }
    for at, (alike, place) in enumerate(old):
        options: Iterable[int] = places.get(alike, ())
        if alike in queues:
            options = [each for each in [next(queues[alike], None)] if each is not None]
        for other in options:
            there = new[other][1]
            by = round(there[0] - place[0], 3), round(there[1] - place[1], 3)
            votes.setdefault(by, []).append((at, other))
    free_old, free_new = [True] * len(old), [True] * len(new)
    paired = []
    order = sorted(
        votes.items(), key=lambda each: (-len(each[1]), abs(each[0][0]) + abs(each[0][1]), each[0])
    )
    for by, pairs in order:
        for one, other in pairs:
            if free_old[one] and free_new[other]:
                free_old[one] = free_new[other] = False
                paired.append((one, other, by))
    return paired


def _texts(old: list[Unit], new: list[Unit], shift: Offset) -> list[Matched]:
    """Pair texts that were set where another text stood: they were reworded."""
    reworded = []
    for one in [unit for unit in old if unit.sort is Sort.TEXT]:
        x0, y0, x1, y1 = one.box
        x0, y0, x1, y1 = x0 + shift[0], y0 + shift[1], x1 + shift[0], y1 + shift[1]
        for other in new:
            left, top, right, bottom = other.box
            meets = left < x1 and right > x0 and top < y1 and bottom > y0
            if other.sort is Sort.TEXT and meets:
                reworded.append(Matched(one, other))
                old.remove(one)
                new.remove(other)
                break
    return reworded
