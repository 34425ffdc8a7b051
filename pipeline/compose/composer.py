"""Every item of a chart laid in its place, and every motif that is put together from others."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..core.diagnostics import Diagnostic, Hint, finding, has_errors
from ..core.items import Border, Cover, Item, Lettering, Line, Motif, Placement, Swap
from ..core.model import Design
from ..core.source import Span
from ..stitches.turn import Turn
from .border import Side, mends, sides
from .bounds import Bounds
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
    severed,
)
from .nested import Inside, as_chart, drawn
from .positions import corner, threads
from .stamp import MissingTurn, Stamp
from .stamps import Stamps
from .worked import WorkedKnot, WorkedLine


class Workshop:
    """What a chart and all motifs put together for it share.

    insides: those motifs, by name, swap and the threads that one of their crosses spans. findings:
    what went wrong in them.
    """

    def __init__(self, design: Design) -> None:
        """Begin with none."""
        self.design = design
        self.bounds = Bounds()
        self.stamps = Stamps(design, self.inside)
        self.insides: dict[tuple[str, Swap, int], Inside] = {}
        self.findings: dict[Diagnostic, None] = {}

    def inside(self, motif: Motif, swap: Swap, cell: int) -> Inside:
        """Return a motif put together; nothing stands in it where anything in it is at fault."""
        wanted = motif.name, swap, cell
        if wanted not in self.insides:
            self.insides[wanted] = self._put_together(motif, swap, cell)
        return self.insides[wanted]

    def _put_together(self, motif: Motif, swap: Swap, cell: int) -> Inside:
        told: list[Diagnostic] = []
        fits = self.bounds.few_insides(motif.name, motif.span, told.append)
        fits = fits and self.bounds.room(1, motif.width * motif.height, motif.span, told.append)
        if fits:
            composer = Composer(as_chart(self.design, motif, cell, swap), self, swap)
            composer.run()
            told += composer.all_findings()
        self.findings.update(dict.fromkeys(told))
        if not fits or has_errors(told):
            bare = np.zeros((motif.height, motif.width), dtype=np.uint16)
            return Inside(motif, cell, bare, (), (), (), ())
        laying = composer.laying
        stands, pieces = laying.standing.stands(), laying.crossings.pieces
        made = motif, cell, laying.grid, laying.lines, laying.knots, stands, pieces
        return drawn(Inside(*made), [entry.symbol for entry in self.stamps.key])

    def put_together(self) -> dict[str, Motif]:
        """Return all motifs put together from others, as if drawn in rows.

        Those that are placed nowhere are looked at too.
        """
        made: dict[str, Motif] = {}
        for (name, *_), inside in self.insides.items():
            made.setdefault(name, inside.motif)
        for name, motif in self.design.motifs.items():
            if motif.is_put_together and name not in made:
                over = motif.over or self.design.ground.fabric.over
                made[name] = self.inside(motif, (), over).motif
        return made


class Composer:
    """Goes through the items and turns what the laying noticed into findings.

    swap: symbols of the chart's own grid that are stitched as others. workshop: of the whole
    design, where this is a motif of it.
    """

    def __init__(self, design: Design, workshop: Workshop | None = None, swap: Swap = ()) -> None:
        """Begin with bare fabric."""
        self.design = design
        self.over = design.ground.fabric.over
        self.workshop = workshop or Workshop(design)
        self.stamps, self.bounds = self.workshop.stamps, self.workshop.bounds
        self.swap = swap
        self.laying = Laying(design.chart.width, design.chart.height, self.over)
        self.findings: list[Diagnostic] = []
        self.missing_turns: dict[int, list[MissingTurn]] = {}
        self._points = 0

    def run(self) -> None:
        """Lay everything that the chart holds."""
        chart = self.design.chart
        if chart.rows:
            whole = self.stamps.of_rows("grid", chart.rows, self.swap)
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
        motif = self.design.motifs[item.motif]
        cell = item.over or motif.over or self.over
        stamp, missing = self.stamps.motif(item.motif, turn, item.swap, item.part, cell)
        self._note_missing(number, missing)
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
        if not self._room(copies, stamp, item.span):
            return
        every = (start[0], step_x), (start[1], step_y)
        on_grid = cell == self.over and not any(each % self.over for two in every for each in two)
        off_grid = copies * (stamp.cells - (stamp.grid.size if on_grid else 0))
        if off_grid and not self._few_off_grid(off_grid, item.span):
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

    def _room(self, copies: int, stamp: Stamp, span: Span | None) -> bool:
        """Tell whether so many more copies of a stamp may be placed."""
        tell = self.findings.append
        many = copies * (1 + len(stamp.parts))
        return self.bounds.room(
            many, stamp.cells // (1 + len(stamp.parts)), span, tell
        ) and self._few_points(copies * stamp.points, span)

    def _few_off_grid(self, crosses: int, span: Span | None) -> bool:
        return self.bounds.few_off_grid(crosses, span, self.findings.append)

    def _few_points(self, points: int, span: Span | None) -> bool:
        self._points += points
        return self.bounds.few_points(self._points, points, span, self.findings.append)

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
        motif = self.design.motifs[side.motif]
        cell = motif.over or self.over
        stamp, missing = self.stamps.motif(side.motif, side.turn, item.swap, side.part, cell)
        if not side.count or not self._room(side.count, stamp, item.span):
            return
        self._note_missing(number, missing)
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
            cells = line.width * height
            if self.bounds.room(len(line.letters), cells, item.span, self.findings.append):
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
                    spot.strands,
                ),
                letter,
            )
            for letter in line.letters
        ]
        points = sum(stamp.points for stamp, _, _ in letters)
        if not letters or (points and not self._few_points(points, item.span)):
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
            self.laying.lay_drawn(number, stamp, at)
            grid[letter.row : letter.row + stamp.height, column : column + stamp.width] = stamp.grid
        name = "".join(letter.character for letter in line.letters)
        self.laying.lay_piece(number, Stamp(name, grid), spot, cover, item.span)

    def all_findings(self) -> list[Diagnostic]:
        """Return all that went wrong."""
        design, meetings = self.design, self.laying.meetings
        findings = [*self.findings, *missing_turns(design, self.missing_turns)]
        for pair, meeting in meetings.overlaps.items():
            if pair not in meetings.cut:  # else the same is said better below
                findings.append(overlap(design, *pair, meeting))
        findings.extend(cut_piece(design, *pair, each) for pair, each in meetings.cut.items())
        findings.extend(severed(design, meetings.severed))
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
