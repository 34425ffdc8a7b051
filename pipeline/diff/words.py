"""Differences in words that a stitcher understands.

Rows and columns count from 1 at the top left, as the numbers along the chart do: column 10 ends at
the line marked 10. A position such as 20,14 is the grid lines themselves, as in the source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ..core.model import Kind, Point
from .differences import (
    Area,
    Arrived,
    Dotted,
    KeyChange,
    Patched,
    Redrawn,
    Reworded,
    Shifted,
    Spot,
    Stitches,
    Stretch,
    Strip,
    Turned,
)
from .naming import Namer
from .units import Box, Sort

MOST_PLACES = 6  # named one by one; of the others only the number
MOST_POINTS = 8  # of one line or one kind of knot
MOST_KINDS = 6  # of change in one area


class Teller(Namer):
    """Puts the differences of two charts into words."""

    # --- places ---

    def rows_columns(self, box: Sequence[float]) -> str:
        """Return whole cells by row and column: `rows 44-46, columns 81-92`."""
        x0, y0, x1, y1 = box
        return f"{self._span('row', y0, y1)}, {self._span('column', x0, x1)}"

    def _span(self, word: str, start: float, end: float) -> str:
        first, last = round(start) + 1, round(end)
        return f"{word} {first}" if first >= last else f"{word}s {first}{self.signs.to}{last}"

    def cells(self, box: Box) -> str:
        """Return where something lies: rows and columns, or its corner if it is off the grid."""
        if all(each == round(each) for each in box):
            return self.rows_columns(box)
        return f"at {point(box[:2])}"

    def areas(self, areas: Iterable[Area]) -> list[str]:
        """Return a line for each area: where it is and what changed there."""
        return [
            f"{self.rows_columns(each.box)}: {self.all_stitches(each.stitches)}" for each in areas
        ]

    def all_stitches(self, stitches: Sequence[Stitches]) -> str:
        """Return what changed in an area, the rarest changes only by their number."""
        shown = stitches[:MOST_KINDS] if len(stitches) > MOST_KINDS + 1 else stitches
        told = [self.stitches(each) for each in shown]
        rest = sum(each.number for each in stitches) - sum(each.number for each in shown)
        return "; ".join(told) + (f"; {rest:,} more in other colours" if rest else "")

    def by(self, by: Point) -> str:
        """Return a way in words: `3 columns to the right and 1 row down`."""
        told = []
        if by[0]:
            told.append(f"{_many(abs(by[0]), 'column')} to the {'right' if by[0] > 0 else 'left'}")
        if by[1]:
            told.append(f"{_many(abs(by[1]), 'row')} {'down' if by[1] > 0 else 'up'}")
        return " and ".join(told)

    # --- things placed ---

    def thing(self, sort: Sort, name: str, number: int) -> str:
        """Return what a thing is called, with the number of its copies if there are more."""
        if sort is Sort.TEXT:
            return f"the text “{name}”"
        if not name:
            return "an area" if number == 1 else f"{number} areas"
        return name if number == 1 else f"{name} ({number:,} copies)"

    def corners(self, boxes: Sequence[Box | None]) -> str:
        """Return where things stand, by their upper left corners."""
        return _listed([point(each[:2]) for each in boxes if each is not None], MOST_PLACES)

    def moved(self, each: Shifted) -> str:
        """Return what moved, how far, from where and where to."""
        turned = f", {each.turned}" if each.turned else ""
        way = f"moved {self.by(each.by)}{turned}"
        what = self.thing(each.sort, each.name, len(each.spots))
        if each.sort is Sort.GRID:
            places = [self.cells(spot.old) for spot in each.spots[:MOST_PLACES] if spot.old]
            return f"{what} {way}: {'; '.join(places)}"
        if len(each.spots) > 1:
            return f"{what} {way}; now at {self.corners([spot.new for spot in each.spots])}"
        spot = each.spots[0]
        return f"{what} {way}, from {self.corners([spot.old])} to {self.corners([spot.new])}"

    def arrived(self, each: Arrived) -> str:
        """Return what is new, or gone, and what it is stitched in."""
        gone = type(each) is not Arrived
        what = self.thing(each.sort, each.name, len(each.spots))
        where = self.corners([spot.old if gone else spot.new for spot in each.spots])
        inside = ", ".join(
            f"{number:,} {self.noun(index, number, new=not gone)} "
            f"{self.threads(index, new=not gone)}"
            for index, number in each.stitches
        )
        told = f"{what} {'no longer' if gone else 'new'} at {where}"
        return f"{told}: {inside}" if inside else told

    def turned(self, each: Turned) -> str:
        """Return what stands where it stood, but otherwise."""
        what = self.thing(Sort.MOTIF, each.name, len(each.spots))
        where = self.corners([spot.new for spot in each.spots])
        return f"{what} at {where} {each.how or 'in other stitches'}"

    def reworded(self, each: Reworded) -> str:
        """Return a text that reads otherwise, or is set in other letters."""
        where = self.corners([each.spot.new])
        if each.old == each.new:
            return f"the text “{each.new}” at {where} set in other letters"
        return f"the text at {where}: {self.change(f'“{each.old}”', f'“{each.new}”')}"

    def redrawn(self, each: Redrawn) -> str:
        """Return that a motif is drawn otherwise, and where it is placed."""
        if not each.spots:
            return f"{each.name} drawn otherwise; it is not placed"
        where = self.corners([spot.new for spot in each.spots])
        times = "once" if len(each.spots) == 1 else f"{len(each.spots):,} times"
        told = f"{each.name} drawn otherwise; placed {times}, at {where}"
        if each.resized is None:
            return told
        before, after = (f"{size[0]} x {size[1]}" for size in each.resized)
        return f"{told}; its size {self.change(before, after)}"

    def patched(self, each: Patched) -> str:
        """Return that a piece off the grid has changed, and where it lies."""
        return f"{each.name} off the grid at {point((each.x, each.y))}"

    def strip(self, each: Strip) -> str:
        """Return what only one of the charts has along an edge."""
        what = f"{each.number:,} cross{'es' if each.number != 1 else ''}"
        if each.lost:
            return f"no longer on the chart, {self.rows_columns(each.box)} of the old one: {what}"
        return f"beyond the edge of the old chart, {self.rows_columns(each.box)}: {what}"

    # --- lines, knots, key ---

    def stretch(self, each: Stretch) -> str:
        """Return a stretch of a line that came, went or has another thread."""
        return f"{self._worked(each.old, each.new, 2)}, {self._along(each.points)}"

    def _along(self, points: Sequence[Point]) -> str:
        shown = [point(each) for each in points]
        if len(shown) > MOST_POINTS:
            between = len(shown) - 2
            return f"from {shown[0]} over {between} points to {shown[-1]}"
        return " to ".join(["from " + shown[0], *shown[1:]])

    def dotted(self, each: Dotted) -> str:
        """Return knots or beads that came, went or have another thread."""
        number = len(each.points)
        listed = _listed([point(at) for at in each.points], MOST_POINTS)
        return f"{number:,} {self._worked(each.old, each.new, number)}, at {listed}"

    def all_dotted(self, points: Sequence[Dotted]) -> list[str]:
        """Return all that changed of knots and beads; a single one that moved is told as moved."""
        told = []
        left = sorted(points, key=lambda each: (each.new, each.old))
        for gone in [each for each in left if not each.new]:
            partner = self.found.pairs.partner.get(gone.old)
            for come in left:
                single = len(gone.points) == len(come.points) == 1
                if single and not come.old and come.new == partner:
                    way = self.change(point(gone.points[0]), point(come.points[0]))
                    noun = self.parts(come.new, new=True)[0].kind.value
                    told.append(f"1 {noun} {self.threads(come.new, new=True)} moved, {way}")
                    left = [each for each in left if each is not gone and each is not come]
                    break
        return told + [self.dotted(each) for each in left]

    def _worked(self, old: int, new: int, number: int) -> str:
        index = new or old
        parts = self.parts(index, new=bool(new))
        kind = parts[0].kind
        noun = kind.value + " stitch" if kind in (Kind.BACK, Kind.STRAIGHT) else kind.value
        if number != 1 and kind in (Kind.KNOT, Kind.BEAD):
            noun += "s"
        if old and new:
            before, after = self.threads(old, new=False), self.threads(new, new=True)
            return f"{noun} {self.change(before, after)}"
        return f"{noun} {self.threads(index, new=bool(new))} {'added' if new else 'removed'}"

    def key_change(self, each: KeyChange) -> str:
        """Return what changed in one line of the key."""
        many = f"{each.number:,} stitch{'es' if each.number != 1 else ''}"
        if not each.old:
            entry = self.found.new.entry(each.new)
            return f"{entry.symbol}: new, {self.in_key(each.new, new=True)}; {many}"
        before = self.found.old.entry(each.old)
        if not each.new:
            return f"{before.symbol}: no longer there, was {self.in_key(each.old, new=False)}"
        after = self.found.new.entry(each.new)
        told = []
        if "symbol" in each.what:
            told.append(f"now {after.symbol}")
        if "stitch" in each.what:
            was, now = self.in_key(each.old, new=False), self.in_key(each.new, new=True)
            told.append(f"{self.change(was, now)}; {many}")
        elif "symbol" in each.what:
            told.append(self.in_key(each.new, new=True))
        if "note" in each.what:
            told.append("note " + self.change(quoted(before.note), quoted(after.note)))
        if "printed" in each.what:
            shapes = (one.printed or "chosen automatically" for one in (before, after))
            told.append("printed symbol " + self.change(*shapes))
        return f"{before.symbol}: {'; '.join(told)}"


def quoted(text: str) -> str:
    """Return a text in quotes, or that there is none."""
    return f"“{text}”" if text else "none"


def point(at: Sequence[float]) -> str:
    """Return a position as the source writes it: `20,14`, `40.5,80`."""
    return ",".join(f"{round(each, 3) + 0.0:g}" for each in at)


def all_free(spots: Iterable[Spot]) -> bool:
    """Tell whether nothing else of the new chart is stitched where some things were."""
    return all(each.free for each in spots)


def _listed(words: Sequence[str], most: int) -> str:
    if len(words) > most + 1:
        return f"{', '.join(words[:most])} and {len(words) - most:,} more"
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _many(number: float, one: str) -> str:
    return f"{number:g} {one}" + ("" if number == 1 else "s")
