"""Positions held to whole threads of the fabric.

A needle goes between two threads, so a position is a multiple of 1/over. A block weave is
pierced in the middle of a block too, but only for lines, knots and beads.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..core.diagnostics import Diagnostic, finding
from ..core.model import (
    Alphabet,
    Chart,
    Fabric,
    Knot,
    Lettering,
    Line,
    Motif,
    Placement,
    Point,
)
from ..core.places import Sort
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
    checker = _ThreadChecker(fabric, spots, findings)
    for item in chart.items:
        if isinstance(item, Placement):
            # The middle of a motif with an odd number of crosses lies inside a cross.
            parts = 2 if 0.5 in item.anchor.share else 1
            checker.look((item.x, item.y), fabric.over * parts, item.at_span)
            checker.look(item.step, fabric.over, spots.option(item.span, "step"))
            motif = motifs.get(item.motif)
            if motif is not None:
                over = item.over or motif.over or fabric.over
                checker.shapes(motif.drawn, over)
        elif isinstance(item, Lettering):
            place = spots.option(item.span, "at")
            checker.look((0.0, item.y), fabric.over, place)
            checker.look((item.x, 0.0), fabric.over * (2 if item.centred else 1), place)
            for name in item.alphabets:
                if name in alphabets:
                    checker.letters(alphabets[name], item.over or fabric.over)
        elif isinstance(item, Line | Knot):
            checker.shapes((item,), fabric.over)
    for thing in chart.things:
        if thing.sort is Sort.PLACE:
            checker.look(thing.at, fabric.over, thing.span)
            checker.look(thing.size, fabric.over, thing.span)
    for motif in motifs.values():
        checker.shapes(motif.drawn, motif.over or fabric.over)
    for alphabet in alphabets.values():
        checker.letters(alphabet, fabric.over)


class _ThreadChecker:
    def __init__(self, fabric: Fabric, spots: Spots, findings: list[Diagnostic]) -> None:
        self.fabric = fabric
        self.spots = spots
        self.findings = findings
        self.told: set[tuple[str, int]] = set()
        self.seen: set[tuple[int, int]] = set()

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
