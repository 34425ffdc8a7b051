"""The differences one by one, each with its place and with advice for those who have begun."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from .advice import crosses, for_crosses, for_lines
from .areas import in_blocks
from .closeups import around, drawn_otherwise
from .differences import Area, Differences, Dotted, Patched, Places, Redrawn, Shifted, Spot, Stretch
from .naming import PRINT
from .units import Box, Sort
from .words import Teller

NO_CELLS: Places = np.empty((0, 2), dtype=np.int64)
MOST_ALIKE = 3  # copies of one thing that are shown one by one
MOST_AREAS = 24  # items of changed cells; more of them are told together, place by place
MOST_LISTED = 12  # places of a motif that are named


@dataclass(frozen=True, eq=False)
class Item:
    """One difference that has a place.

    heading: where or what. told: what changed. begun: what to do if it is stitched already.
    old, new: what to look at, each on its own chart. cells: the cells that changed, on the new
    chart. old_rings, new_rings: what to ring besides them, each on its own chart.
    """

    heading: str
    told: tuple[str, ...]
    begun: str
    old: Box | None
    new: Box | None
    cells: Places
    old_rings: tuple[Box, ...] = ()
    new_rings: tuple[Box, ...] = ()


def items(found: Differences) -> list[Item]:
    """Return all differences that have a place, from top to bottom and left to right."""
    made = list(_Items(found).all())
    return sorted(made, key=lambda each: _corner(each.new or each.old))


def _corner(box: Box | None) -> tuple[float, float]:
    assert box is not None
    return box[1], box[0]


def _ringed(
    heading: str, told: tuple[str, ...], begun: str, old: Box | None, new: Box | None
) -> Item:
    """Return an item whose whole places are ringed."""
    rings = [() if each is None else (each,) for each in (old, new)]
    return Item(heading, told, begun, old, new, NO_CELLS, *rings)


class _Items:
    def __init__(self, found: Differences) -> None:
        self.found = found
        self.teller = Teller(found, PRINT)

    def all(self) -> Iterator[Item]:
        found = self.found
        yield from self._areas()
        for moved in found.moved:
            yield from self._moved(moved)
        for redrawn in found.redrawn:
            yield from self._redrawn(redrawn)
        for turned in found.turned:
            told = f"{_capital(turned.name)} {turned.how or 'in other stitches'}."
            yield from self._placed(told, turned.spots, self._stay)
        for arrived in found.arrived:
            what = _capital(self.teller.thing(arrived.sort, arrived.name, 1))
            yield from self._placed(f"{what} is new.", arrived.spots, self._room)
        for gone in found.gone:
            what = _capital(self.teller.thing(gone.sort, gone.name, 1))
            yield from self._placed(f"{what} is left out.", gone.spots, self._taken_out)
        for reworded in found.reworded:
            told = f"{_capital(self.teller.reworded(reworded))}."
            advice = for_crosses([each for area in reworded.areas for each in area.stitches])
            yield self._at(reworded.spot, (told,), advice)
        for patched in found.patched:
            yield from self._patched(patched)
        drawn: list[tuple[Stretch | Dotted, str]] = [
            *((each, self.teller.stretch(each)) for each in found.strokes),
            *((each, self.teller.dotted(each)) for each in found.points),
        ]
        for group in _together(drawn):
            yield self._drawn(group)

    def _placed(
        self, told: str, spots: Sequence[Spot], advice: Callable[[Spot], str]
    ) -> Iterator[Item]:
        """Give an item for each of a few copies, or one for many."""
        if len(spots) <= MOST_ALIKE:
            for spot in spots:
                yield self._at(spot, (told,), advice(spot))
            return
        where = self.teller.corners([each.new or each.old for each in spots])
        freest = min(spots, key=lambda each: each.free)
        more = f"The same in all {len(spots):,} places, at {where}; the first is shown."
        yield self._at(spots[0], (told, more), advice(freest))

    def _at(self, spot: Spot, told: tuple[str, ...], advice: str) -> Item:
        box = spot.new or spot.old
        assert box is not None
        heading = _capital(self.teller.cells(box))
        return _ringed(heading, told, advice, spot.old, spot.new)

    def _patched(self, patched: Patched) -> Iterator[Item]:
        x, y, cell = patched.x, patched.y, patched.cell
        heading = f"{_capital(patched.name)}, off the grid at {self._point(x, y)}"
        for area in patched.areas:
            x0, y0, x1, y1 = area.box
            box = x + x0 * cell, y + y0 * cell, x + x1 * cell, y + y1 * cell
            told = tuple(f"In its own crosses, {each}." for each in self.teller.areas([area]))
            advice = for_crosses(area.stitches)
            yield _ringed(heading, told, advice, self._back(box), box)

    def _point(self, x: float, y: float) -> str:
        return self.teller.corners([(x, y, x, y)])

    def _back(self, box: Box) -> Box:
        """Return a box of the new chart on the old one."""
        x, y = self.found.shift
        return box[0] - x, box[1] - y, box[2] - x, box[3] - y

    def _areas(self) -> Iterator[Item]:
        """Give an item for each area, or where there are many for those near each other."""
        areas = self.found.areas
        if not areas:
            return
        corners = np.array([each.box for each in areas])
        corners -= np.tile(np.minimum(corners[:, :2].min(axis=0), 0), 2)
        block = in_blocks(corners, MOST_AREAS) if len(areas) > MOST_AREAS else np.arange(len(areas))
        for number in range(int(block.max()) + 1):
            yield self._area([areas[at] for at in np.flatnonzero(block == number).tolist()])

    def _area(self, areas: Sequence[Area]) -> Item:
        boxes = np.array([each.box for each in areas])
        x0, y0 = boxes[:, :2].min(axis=0).tolist()
        x1, y1 = boxes[:, 2:].max(axis=0).tolist()
        box: Box = (x0, y0, x1, y1)
        heading = _capital(self.teller.rows_columns(box))
        stitches = [each for area in areas for each in area.stitches]
        if len(areas) == 1:
            told = [f"{self.teller.stitches(each)}." for each in stitches[:MOST_LISTED]]
            rest = sum(each.number for each in stitches[MOST_LISTED:])
            told += [f"{rest:,} more in other colours."] if rest else []
        else:
            told = [f"{_capital(each)}." for each in self.teller.areas(areas[:MOST_LISTED])]
            rest = sum(each.number for each in areas[MOST_LISTED:])
            told += [f"{_capital(crosses(rest))} more in this place."] if rest else []
        cells = np.concatenate([each.cells for each in areas])
        return Item(heading, tuple(told), for_crosses(stitches), self._back(box), box, cells)

    def _moved(self, moved: Shifted) -> Iterator[Item]:
        what = _capital(self.teller.thing(moved.sort, moved.name, 1))
        turned = f", {moved.turned}" if moved.turned else ""
        way = f"{what} is moved {self.teller.by(moved.by)}{turned}"
        if moved.sort is not Sort.GRID and len(moved.spots) == 1:
            before, after = (self.teller.corners([each]) for each in _places(moved.spots[0]))
            way += f": from {before} to {after}"
        return self._placed(f"{way}.", moved.spots, self._stay)

    def _redrawn(self, redrawn: Redrawn) -> Iterator[Item]:
        """Give one item for a motif, shown at its first place."""
        if not redrawn.spots:
            return
        name = _capital(redrawn.name)
        told = [f"In the motif, {each}." for each in self.teller.areas(redrawn.areas)]
        told += [f"In the motif, {self.teller.stretch(each)}." for each in redrawn.strokes]
        told += [f"In the motif, {each}." for each in self.teller.all_dotted(redrawn.points)]
        cells = NO_CELLS
        if redrawn.places:
            where = [self.teller.rows_columns(each.box) for each in redrawn.places]
            rest = len(where) - MOST_LISTED
            listed = "; ".join(where[:MOST_LISTED]) + (f"; and {rest:,} more" if rest > 0 else "")
            told.append(f"On the chart: {listed}.")
            cells = np.concatenate([each.cells for each in redrawn.places])
            advice = for_crosses([each for area in redrawn.places for each in area.stitches])
        else:
            drawn: list[Stretch | Dotted] = [*redrawn.strokes, *redrawn.points]
            advice = for_lines(any(each.new for each in drawn), any(each.old for each in drawn))
        many = len(redrawn.spots)
        heading = f"{name}, in {many:,} places" if many > 1 else f"{name}, drawn otherwise"
        spot = next((each for each in redrawn.spots if each.new is not None), redrawn.spots[0])
        rings: tuple[tuple[Box, ...], tuple[Box, ...]] = ((), ())
        if spot.old is not None and spot.new is not None:
            rings = drawn_otherwise(self.found, spot.old, spot.new)
        yield Item(heading, tuple(told), advice, spot.old, spot.new, cells, *rings)

    def _room(self, spot: Spot) -> str:
        stitched = self._stitched_before(spot.new)
        if not stitched:
            return "The fabric is bare there: it can be stitched at any time."
        return f"{_capital(crosses(stitched))} that stood there before must be taken out for it."

    def _stitched_before(self, box: Box | None) -> int:
        """Return how many of the changed cells in a box were stitched on the old chart."""
        if box is None:
            return 0
        x, y = self.found.changed.T
        inside = (x >= box[0]) & (y >= box[1]) & (x < box[2]) & (y < box[3])
        old = self.found.old
        x, y = x[inside] - self.found.shift[0], y[inside] - self.found.shift[1]
        there = (x >= 0) & (y >= 0) & (x < old.width) & (y < old.height)
        return int(np.count_nonzero(old.grid[y[there], x[there]]))

    def _stay(self, spot: Spot) -> str:
        if spot.free:
            return (
                "If it is stitched already it can stay: nothing else comes to lie there. Count "
                "what follows from the grid, not from it."
            )
        return "If it is stitched already, take it out: other stitches come to lie there."

    def _taken_out(self, spot: Spot) -> str:
        if spot.free:
            return "If it is stitched already it can stay, or be taken out: nothing replaces it."
        return "If it is stitched already, take it out: other stitches come to lie there."

    def _drawn(self, group: Sequence[tuple[Stretch | Dotted, str]]) -> Item:
        """Return one item for lines and knots that lie together."""
        drawn = [each for each, _ in group]
        after = _bounds([each for each in drawn if each.new] or drawn)
        before = _bounds([each for each in drawn if each.old] or drawn)
        heading = f"At {self._point(*drawn[0].points[0])}"
        told = tuple(f"{_capital(words)}." for _, words in group)
        advice = for_lines(any(each.new for each in drawn), any(each.old for each in drawn))
        return _ringed(heading, told, advice, self._back(before), after)


def _bounds(drawn: Sequence[Stretch | Dotted]) -> Box:
    return around([point for each in drawn for point in each.points])


def _places(spot: Spot) -> tuple[Box | None, Box | None]:
    return spot.old, spot.new


def _together(
    drawn: Sequence[tuple[Stretch | Dotted, str]],
) -> list[list[tuple[Stretch | Dotted, str]]]:
    """Group lines and knots whose surroundings touch."""
    groups: list[list[tuple[Stretch | Dotted, str]]] = []
    for each in drawn:
        box = _bounds([each[0]])
        near = [
            group for group in groups if any(_meet(box, _bounds([other])) for other, _ in group)
        ]
        groups = [group for group in groups if group not in near]
        groups.append([*(other for group in near for other in group), each])
    return groups


def _meet(one: Box, other: Box) -> bool:
    return one[0] <= other[2] and other[0] <= one[2] and one[1] <= other[3] and other[1] <= one[3]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
