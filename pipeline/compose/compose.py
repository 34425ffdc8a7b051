"""From what was meant to every stitch at its place: `compose` is the one way in.

The whole-chart grid is laid first, then each item in the order of the source. Nothing is covered
unless the source says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ..core.diagnostics import Diagnostic, Diagnostics, Hint, finding, has_errors, in_order
from ..core.model import Border, Chart, Cover, Design, Item, Lettering, Line, Motif, Placement
from ..core.source import Span
from ..resolve.settings import LARGEST_AREA, LARGEST_SIDE, MOST_POINTS
from ..stitches.turn import Turn
from .arrange import arrange
from .border import Side, mends, sides
from .crossings import GridSpot
from .laying import Laying
from .lettering import SetLine, line_start, set_text, span_inside, text_height
from .misplaced import (
    GRID,
    between_threads,
    cut_piece,
    missing_letters,
    missing_turns,
    outside,
    overlap,
    remainder,
)
from .openwork import gaps
from .positions import corner, threads
from .stamps import MissingTurn, Stamp, Stamps
from .worked import WorkedChart, WorkedKnot, WorkedLine

MOST_COPIES = 200_000  # motifs, letters and border parts, all told
MOST_CELLS = 100_000_000  # cells of all copies, bare ones too


def compose(design: Design) -> tuple[WorkedChart | None, Diagnostics]:
    """Place everything that a design holds.

    Returns the worked chart and findings. The chart is None where any finding is an error, since
    a chart with one stitch wrong is not to be stitched from.
    """
    arranged: Diagnostics = ()
    if design.version > 1 or _hangs(design.chart):
        design, arranged = arrange(design)
        if has_errors(arranged):
            return None, in_order(arranged)
    chart = design.chart
    if not (0 < chart.width <= LARGEST_SIDE and 0 < chart.height <= LARGEST_SIDE):
        return None, (
            finding(
                "chart-size",
                f"The chart is {chart.width} x {chart.height} crosses; "
                f"it can be at most {LARGEST_SIDE} each way.",
                chart.span,
                "divide a larger work into several charts",
            ),
        )
    composer = _Composer(design)
    composer.run()
    withdrawn, faults = gaps(design)
    findings = in_order([*arranged, *composer.all_findings(), *faults])
    if has_errors(findings):
        return None, findings
    laying = composer.laying
    if composer.stamps.key is not design.key:
        design = replace(design, key=composer.stamps.key)
    worked = WorkedChart(
        design,
        laying.grid,
        laying.owner,
        laying.crossings.pieces,
        laying.lines,
        laying.knots,
        tuple(laying.placed),
        laying.standing.stands(),
        withdrawn,
    )
    return worked, findings


def _hangs(chart: Chart) -> bool:
    """Tell whether a chart does not state all places and its size itself."""
    return not (chart.width and chart.height) or any(
        thing.across is not None or thing.down is not None or thing.name for thing in chart.things
    )


class _Composer:
    """Goes through the items and turns what the laying noticed into findings."""

    def __init__(self, design: Design) -> None:
        self.design = design
        self.over = design.ground.fabric.over
        self.stamps = Stamps(design)
        self.laying = Laying(design.chart.width, design.chart.height, self.over)
        self.findings: list[Diagnostic] = []
        self.missing_turns: dict[int, list[MissingTurn]] = {}
        self._copies = 0
        self._cells = 0
        self._points = 0
        self._off_grid = 0

    def run(self) -> None:
        chart = self.design.chart
        if chart.rows:
            whole = self.stamps.drawn("grid", chart.rows)
            self.laying.lay(GRID, whole, GridSpot(0, 0, self.over), Cover.NOTHING, chart.span)
        for number, item in enumerate(chart.items):
            self._item(number, item)

    def _item(self, number: int, item: Item) -> None:
        if isinstance(item, Placement):
            self._placement(number, item)
        elif isinstance(item, Border):
            self._border(number, item)
        elif isinstance(item, Lettering):
            self._lettering(number, item)
        elif isinstance(item, Line):
            if not self._few_points(len(item.points), item.span):
                return
            points = np.array(item.points, dtype=np.float64)
            index = self.stamps.index[item.symbol]
            self.laying.add_line(number, WorkedLine(index, points, 1.0, item.span))
        else:
            if not self._few_points(len(item.points), item.span):
                return
            index = self.stamps.index[item.symbol]
            for x, y in item.points:
                self.laying.add_knot(number, WorkedKnot(index, x, y, item.span))

    def _placement(self, number: int, item: Placement) -> None:
        turn = Turn.of(item.mirror, item.turns)
        stamp, missing = self.stamps.motif(item.motif, turn, item.swap, item.part)
        self._note_missing(number, missing)
        motif = self.design.motifs[item.motif]
        cell = item.over or motif.over or self.over
        strands = self._strands(item, cell, motif)
        size = stamp.width * cell, stamp.height * cell
        start = corner((item.x, item.y), item.anchor, size, cell, self.over)
        step_x, step_y = (threads(each, self.over) for each in item.step)
        span = item.at_span or item.span
        if start is None:
            what = f"The position of `{item.motif}`"
            self.findings.append(between_threads(self.design, what, span))
            return
        if step_x is None or step_y is None:
            what = f"The step of `{item.motif}`"
            self.findings.append(between_threads(self.design, what, span))
            return
        copies = item.across * item.down
        if not self._room(copies, stamp.grid.size, item.span):
            return
        if not self._few_points(copies * stamp.points, item.span):
            return
        every = (start[0], step_x), (start[1], step_y)
        on_grid = cell == self.over and not any(each % self.over for two in every for each in two)
        if not on_grid and not self._few_off_grid(copies * stamp.grid.size, item.span):
            return
        for down in range(item.down):
            for across in range(item.across):
                x, y = start[0] + across * step_x, start[1] + down * step_y
                self.laying.lay(number, stamp, GridSpot(x, y, cell, strands), item.cover, item.span)

    def _strands(
        self, item: Placement | Lettering, cell: int, motif: Motif | None = None
    ) -> int | None:
        """Return how many strands the crosses of an item are worked with, None for the key's."""
        if item.strands is None:
            return motif.strands if motif is not None and motif.over == cell else None
        if cell == self.over:
            message = (
                "Its crosses are as large as those of the chart, and their strands are in the "
                "key: `strands` is for what is worked over another number of threads."
            )
            advice = "say over how many threads too, or give it key lines of its own with `with`"
            self.findings.append(finding("strands-of-the-key", message, item.span, advice))
        return item.strands

    def _room(self, copies: int, cells: int, span: Span | None) -> bool:
        """Tell whether so many more copies of so many cells each may be placed."""
        before = self._copies <= MOST_COPIES and self._cells <= MOST_CELLS
        self._copies += copies
        self._cells += copies * cells
        if self._copies <= MOST_COPIES and self._cells <= MOST_CELLS:
            return True
        if before:
            message = (
                f"With this line the chart holds {self._copies:,} copies of motifs and letters and "
                f"{self._cells:,} cells; at most {MOST_COPIES:,} copies and {MOST_CELLS:,} "
                "cells can be placed."
            )
            advice = "draw a larger motif, or give the chart as one grid"
            self.findings.append(finding("too-many-copies", message, span, advice))
        return False

    def _few_off_grid(self, crosses: int, span: Span | None) -> bool:
        """Tell whether so many more crosses may lie off the chart's own grid."""
        self._off_grid += crosses
        told = finding(
            "too-many-copies",
            f"With this {self._off_grid:,} crosses lie off the chart's own grid; "
            f"at most {LARGEST_AREA:,} can.",
            span,
            "divide the work into several charts",
        )
        return self._few(self._off_grid, crosses, LARGEST_AREA, told)

    def _few_points(self, points: int, span: Span | None) -> bool:
        """Tell whether so many more points of lines and knots may be placed."""
        self._points += points
        told = finding(
            "too-many-points",
            f"With this line the chart holds {self._points:,} points of lines, knots and beads; "
            f"at most {MOST_POINTS:,} can be placed.",
            span,
            "draw fewer outlines, or divide the work into several charts",
        )
        return self._few(self._points, points, MOST_POINTS, told)

    def _few(self, number: int, more: int, most: int, told: Diagnostic) -> bool:
        """Tell whether a number is within bounds; of the first `more` that is too many is told."""
        if number - more <= most < number:
            self.findings.append(told)
        return number <= most

    def _note_missing(self, number: int, missing: tuple[MissingTurn, ...]) -> None:
        if missing:
            self.missing_turns.setdefault(number, []).extend(missing)

    def _border(self, number: int, item: Border) -> None:
        motifs = self.design.motifs
        square = None if item.corner is None else motifs[item.corner]
        if square is not None and square.width != square.height and self.design.version == 1:
            message = (
                f"The corner `{square.name}` is {square.width} x {square.height}; "
                "the corner of a border has to be square."
            )
            hint = Hint("drawn here", square.span)
            advice = "draw it square; bare rows or columns may fill it up"
            self.findings.append(finding("border-corner", message, item.span, hint, advice))
            return
        size = self.design.chart.width, self.design.chart.height
        run, remainders = sides(item, motifs, size, self.over)
        for each in remainders:
            near = mends(item, motifs, size, self.over, each)
            self.findings.append(remainder(self.design, item, each, near))
        for side in run:
            self._side(number, item, side)

    def _side(self, number: int, item: Border, side: Side) -> None:
        stamp, missing = self.stamps.motif(side.motif, side.turn, item.swap, side.part)
        if not side.count or not self._room(side.count, stamp.grid.size, item.span):
            return
        if not self._few_points(side.count * stamp.points, item.span):
            return
        self._note_missing(number, missing)
        motif = self.design.motifs[side.motif]
        cell = motif.over or self.over
        for each in range(side.count):
            x, y = side.x + each * side.step_x, side.y + each * side.step_y
            spot = GridSpot(x, y, cell, motif.strands)
            self.laying.lay(number, stamp, spot, Cover.NOTHING, item.span)

    def _lettering(self, number: int, item: Lettering) -> None:
        alphabet = self.design.alphabets[item.alphabet]
        lines = set_text(item, self.design.alphabets)
        height = text_height(item, self.design.alphabets)
        missing = [
            missing_letters(item, alphabet, each, span_inside(span, each.offset, each.length))
            for line, span in zip(lines, item.line_spans or [None] * len(lines), strict=True)
            for each in line.missing
        ]
        cell = item.over or self.over
        strands = self._strands(item, cell)
        y = threads(item.y, self.over)
        starts = [line_start(item, line.width * cell, cell, self.over) for line in lines]
        if y is None or None in starts:
            what = "The position of the text"
            missing.append(between_threads(self.design, what, item.span))
        self.findings.extend(missing)
        if missing or y is None:
            return
        self._tell_width(item, lines)
        advance = (height + item.leading) * cell
        placed = [
            (line, GridSpot(x, y + row * advance, cell, strands))
            for row, (line, x) in enumerate(zip(lines, starts, strict=True))
            if x is not None
        ]
        cover = item.cover
        if cover.clears and placed:
            # The text is one thing: all of its rectangle is emptied before its first letter.
            left = min(spot.x for _, spot in placed)
            right = max(spot.x + line.width * cell for line, spot in placed)
            whole = height + (height + item.leading) * (len(placed) - 1)
            self.laying.clear(number, GridSpot(left, y, cell), -(-(right - left) // cell), whole)
            cover = Cover.NOTHING
        for line, spot in placed:
            if not self.laying.on_grid(spot) and not self._few_off_grid(
                line.width * height, item.span
            ):
                return
            if self._room(len(line.letters), line.width * height, item.span):
                self._line_of_text(number, item, line, spot, cover)

    def _tell_width(self, item: Lettering, lines: Sequence[SetLine]) -> None:
        """Tell of lines that are wider than what they are to be spread over."""
        if item.spread is None:
            return
        wide = [
            f"“{text}” is {line.width} wide, {line.width - item.spread} too many"
            for text, line in zip(item.lines, lines, strict=True)
            if line.width > item.spread
        ]
        if wide:
            message = f"This does not go into {item.spread} crosses: {'; '.join(wide[:5])}."
            advice = "spread it farther, set it with less `spacing` or `space`, or divide the line"
            self.findings.append(finding("text-too-wide", message, item.span, advice))

    def _line_of_text(
        self, number: int, item: Lettering, line: SetLine, spot: GridSpot, cover: Cover
    ) -> None:
        letters = [
            (
                self.stamps.letter(letter.alphabet, letter.character, letter.swap),
                GridSpot(
                    spot.x + letter.column * spot.cell,
                    spot.y + letter.row * spot.cell,
                    spot.cell,
                ),
                letter,
            )
            for letter in line.letters
        ]
        if not letters:
            return
        if self.laying.on_grid(spot):
            for stamp, at, _ in letters:
                self.laying.lay(number, stamp, at, cover, item.span)
            return
        # Off the grid a line of text is one piece: that is how it is found on the fabric.
        height = max(letter.row + stamp.height for stamp, _, letter in letters)
        grid = np.zeros((height, line.width), dtype=np.uint16)
        for stamp, at, letter in letters:
            column = letter.column
            self.laying.record(number, stamp, at, item.span)
            self.laying.lay_signs(number, stamp, at, cover)
            grid[letter.row : letter.row + stamp.height, column : column + stamp.width] = stamp.grid
        name = "".join(letter.character for letter in line.letters)
        self.laying.lay_piece(number, Stamp(name, grid), spot, cover, item.span)

    def all_findings(self) -> list[Diagnostic]:
        design, meetings = self.design, self.laying.meetings
        findings = [*self.findings, *missing_turns(design, self.missing_turns)]
        for pair, meeting in meetings.overlaps.items():
            if pair not in meetings.cut:  # else the same is said better below
                findings.append(overlap(design, *pair, meeting))
        findings.extend(cut_piece(design, *pair, each) for pair, each in meetings.cut.items())
        findings.extend(outside(design, item, each) for item, each in meetings.outside.items())
        fine = self.laying.crossings.too_fine
        if fine and any(placed.piece or placed.signs for placed in self.laying.placed):
            message = (
                f"A chart this large over {self.over} threads has too many thread crossings "
                "to hold anything off its grid."
            )
            advice = "divide the work into several charts"
            findings.append(finding("too-fine", message, design.chart.span, advice))
        return findings
