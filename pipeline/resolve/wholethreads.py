"""Positions held to whole threads of the fabric.

A needle goes between two threads, so a position is a multiple of 1/over. A block weave is
pierced in the middle of a block too, but only for lines, knots and beads.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..core.diagnostics import Diagnostic, finding
from ..core.ground import Fabric
from ..core.items import Alphabet, Item, Knot, Lettering, Line, Motif, Placement, Point
from ..core.model import Chart
from ..core.places import Sort, Thing
from ..core.source import Span
from .spots import Spots

_TOLERANCE = 0.01  # threads; a third of a cross cannot be written out in full


def check_threads(
    chart: Chart,
    motifs: Mapping[str, Motif],
    alphabets: Mapping[str, Alphabet],
    fabric: Fabric,
    spots: Spots,
    findings: list[Diagnostic],
) -> None:
    """Look at every position of a chart and of the motifs and alphabets given."""
    checker = _ThreadChecker(fabric, alphabets, spots, findings)
    checker.items(chart.items, motifs, fabric.over)
    checker.places(chart.things, fabric.over)
    for motif in motifs.values():
        over = motif.over or fabric.over
        checker.shapes(motif.drawn, over)
        checker.items(motif.items, motifs, over)
        checker.places(motif.things, over)
    for alphabet in alphabets.values():
        checker.letters(alphabet, fabric.over)


class _ThreadChecker:
    def __init__(
        self,
        fabric: Fabric,
        alphabets: Mapping[str, Alphabet],
        spots: Spots,
        findings: list[Diagnostic],
    ) -> None:
        self.fabric = fabric
        self.alphabets = alphabets
        self.spots = spots
        self.findings = findings
        self.told: set[tuple[str, int]] = set()
        self.seen: set[tuple[int, int]] = set()
        self.motifs: set[tuple[str, int]] = set()  # and the threads that their crosses span

    def items(self, items: Sequence[Item], motifs: Mapping[str, Motif], over: int) -> None:
        """Look at what a chart or motif places whose crosses span `over` threads."""
        for item in items:
            if isinstance(item, Placement):
                # The middle of a motif with an odd number of crosses lies inside a cross.
                parts = 2 if 0.5 in item.anchor.share else 1
                self.look((item.x, item.y), over * parts, item.at_span)
                self.look(item.step, over, self.spots.option(item.span, "step"))
                motif = motifs.get(item.motif)
                cell = item.over or (motif and motif.over) or over
                if motif is not None and (item.motif, cell) not in self.motifs:
                    self.motifs.add((item.motif, cell))
                    self.shapes(motif.drawn, cell)
                    self.items(motif.items, motifs, cell)
            elif isinstance(item, Lettering):
                place = self.spots.option(item.span, "at")
                self.look((0.0, item.y), over, place)
                self.look((item.x, 0.0), over * (2 if item.centred else 1), place)
                for name in item.alphabets:
                    if name in self.alphabets:
                        self.letters(self.alphabets[name], item.over or over)
            elif isinstance(item, Line | Knot):
                self.shapes((item,), over)

    def places(self, things: Sequence[Thing], over: int) -> None:
        """Look at the places with names among what a chart or motif holds."""
        for thing in things:
            if thing.sort is Sort.PLACE:
                self.look(thing.at, over, thing.span)
                self.look(thing.size, over, thing.span)

    def shapes(self, shapes: Sequence[Line | Knot], over: int) -> None:
        """Look at the points of shapes whose crosses span `over` threads."""
        step = 2 if self.fabric.block and over == 1 else over
        for shape in shapes:
            if (id(shape), step) in self.seen:
                continue
            self.seen.add((id(shape), step))
            for index, point in enumerate(shape.points):
                if not _fits(point, step):
                    self._tell(step, self.spots.point(shape.span, index))

    def letters(self, alphabet: Alphabet, over: int) -> None:
        """Look at the points of the letters of an alphabet."""
        for letter in alphabet.letters.values():
            self.shapes(letter.drawn, over)

    def look(self, point: Point, step: int, span: Span | None) -> None:
        """Look at one position, which is to be a multiple of 1/step."""
        if not _fits(point, step):
            self._tell(step, span)

    def _tell(self, step: int, span: Span | None) -> None:
        place = ("", 0) if span is None else (span.path, span.start)
        if place in self.told:
            return
        self.told.add(place)
        block = self.fabric.block
        unit = "block" if block else "thread"
        if step == 1:
            advice = f"a cross spans one {unit} here, so write whole numbers"
        else:
            some = ", ".join(f"{index / step:.3g}" for index in range(min(step, 4) + 1))
            advice = f"write a multiple of {1 / step:.4g}: {some} …"
        written = f"`{span.source.text[span.start : span.end]}`" if span else "This position"
        self.findings.append(
            finding("between-threads", f"{written} falls inside a fabric {unit}.", span, advice)
        )


def _fits(point: Point, step: int) -> bool:
    return all(abs(each * step - round(each * step)) <= _TOLERANCE for each in point)
