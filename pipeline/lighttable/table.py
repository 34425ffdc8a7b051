"""What lies on the light table: a chart and its photographs, and what can be done with them.

Everything that the page asks for is worked out from the text of the chart with the block as the
page has it, read like any chart; only `write` changes the file.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from threading import Lock

import numpy as np

from ..checks import examine
from ..checks.photographs import CHECKS
from ..compose.compose import compose
from ..compose.worked import IndexGrid, WorkedChart
from ..core.diagnostics import Diagnostics, has_errors
from ..core.files import LARGEST_PICTURE, LARGEST_TEXT, as_text, beside, read_bytes
from ..core.output import write_whole
from ..core.raster import Damaged
from ..core.source import Source
from ..held.answers import Answer, answered
from ..importing.statement import Laid, blocks_of, laid, with_photograph
from ..photograph.picture import Photograph, open_photograph
from ..photograph.placing import Landmark, Point
from ..resolve.read import read_source
from .asked import Asked, AskedCells, AskedDraft, AskedMark, AskedUnmark, NotAsked
from .entries import Refused, drafted, marked, unmarked, with_crosses

_NAMES = frozenset(check.name for check in CHECKS)
_NEARER = 4  # rounds
_INSET = 0.1  # of the photograph, where corners are laid that nobody has set


@dataclass(frozen=True)
class Sheet:
    """A photograph on the table. at: its block in the chart, None where it has none yet."""

    laid: Laid
    at: int | None
    photograph: Photograph


@dataclass(frozen=True)
class Lying:
    """The chart as it is on the disk, and its photographs."""

    source: Source
    seen: str
    sheets: tuple[Sheet, ...]


@dataclass(frozen=True, eq=False)
class Followed:
    """A photograph whose crosses were followed, and the chart that it was held against."""

    worked: WorkedChart
    answer: Answer
    findings: Diagnostics
    shows: str


class Table:
    """A chart beside its photographs; one request at a time."""

    def __init__(self, chart: Path, more: Sequence[str] = ()) -> None:
        """Lay out a chart. more: photographs that it does not name yet, from its folder."""
        self.chart = chart
        self._more = tuple(more)
        self._lock = Lock()
        self._opened: dict[str, Photograph] = {}
        self._followed: tuple[int, Followed] | None = None

    def lie(self) -> Lying:
        """Return the chart and its photographs as they are now.

        Raises:
            Refused: when the chart cannot be read, or no photograph of it can be opened.
        """
        with self._lock:
            return self._lie()

    def follow(self, asked: Asked) -> Followed:
        """Follow the crosses of a photograph as it is laid, and hold the chart against it.

        Raises:
            Refused: when the chart has errors with it.
        """
        with self._lock:
            followed = self._follow(self._lie(), asked)
            self._followed = asked.sheet, followed
            return followed

    @property
    def last(self) -> Followed | None:
        """What was followed last."""
        return None if self._followed is None else self._followed[1]

    def snap(self, sheet: int, pixel: Point) -> tuple[Landmark, tuple[int, int]]:
        """Return the crossing of threads nearest to a pixel, and column and row of its cross.

        As the crosses were followed last.

        Raises:
            Refused: when they were not followed yet, or the pixel lies outside the part.
        """
        last = self._followed
        if last is None or last[0] != sheet or last[1].answer.reading is None:
            raise Refused("Follow the crosses first; then a landmark can be set on one of them.")
        lattice = last[1].answer.reading.lattice
        width, height = last[1].answer.reading.size
        shown = lattice.placing.places([pixel])
        place = shown
        for _ in range(_NEARER):  # towards the place whose pixel it is
            place = place + shown - lattice.placing.places(lattice.pixels(place))
        crossing = np.rint(place)
        ((x, y),) = crossing.tolist()
        if not (0 <= x <= width and 0 <= y <= height):
            raise Refused("That is outside the part that the photograph shows.")
        ((u, v),) = lattice.pixels(crossing).tolist()
        column, row = np.clip(np.floor(place[0]), 0, (width - 1, height - 1)).astype(int).tolist()
        return Landmark(x, y, round(u, 1), round(v, 1)), (column, row)

    def write(self, asked: Asked) -> Lying:
        """Write the block as it is laid into the chart, in tidy form.

        Raises:
            Refused: when the chart has changed since the page was made, or would have errors.
            CannotWrite: when the file cannot be written.
        """
        with self._lock:
            lying = self._as_seen(asked.seen)
            return self._write(lying, self._text(lying, asked))

    def draft(self, asked: AskedDraft) -> Lying:
        """Write a first draft of a part into the chart, with the block as it is laid.

        Raises:
            Refused: as by `write`, or when the photograph allows no draft.
            CannotWrite: when the file cannot be written.
        """
        with self._lock:
            lying = self._as_seen(asked.laid.seen)
            followed = self._follow(lying, asked.laid)
            text, grid = drafted(followed.worked, followed.answer, asked.laid.shows, asked.known)
            return self._write(lying, text, grid)

    def enter(self, asked: AskedCells) -> Lying:
        """Write crosses into the rows in which they are drawn.

        Raises:
            Refused: as by `write`, or when other cells would change with them.
            CannotWrite: when the file cannot be written.
        """
        with self._lock:
            lying = self._as_seen(asked.seen)
            part = self._last().answer.part
            text, grid = with_crosses(self._worked(lying.source)[0], part, asked.cells)
            return self._write(lying, text, grid)

    def mark(self, asked: AskedMark) -> Lying:
        """Write a mark at cells of the part that was followed last.

        Raises:
            Refused: as by `write`.
            CannotWrite: when the file cannot be written.
        """
        with self._lock:
            lying = self._as_seen(asked.seen)
            return self._write(lying, marked(lying.source, self._last().shows, asked))

    def unmark(self, asked: AskedUnmark) -> Lying:
        """Take a mark out of the chart.

        Raises:
            Refused: as by `write`, or when there is none.
            CannotWrite: when the file cannot be written.
        """
        with self._lock:
            lying = self._as_seen(asked.seen)
            return self._write(lying, unmarked(self._worked(lying.source)[0], asked))

    def _as_seen(self, seen: str) -> Lying:
        lying = self._lie()
        if lying.seen != seen:
            raise Refused("The chart has changed since this page was made: load it again.")
        return lying

    def _last(self) -> Followed:
        if self._followed is None:
            raise Refused("Follow the crosses first.")
        return self._followed[1]

    def _write(self, lying: Lying, text: str, grid: IndexGrid | None = None) -> Lying:
        """Write the chart; grid: what its cells must be then."""
        worked, _ = self._worked(Source(lying.source.path, text))
        if grid is not None and not np.array_equal(worked.grid, grid):
            raise Refused(
                "Those rows are drawn elsewhere too, or turned, and other cells would change with "
                "them: change them by hand."
            )
        write_whole(self.chart, text.encode())
        if self._followed is not None:
            number, followed = self._followed
            self._followed = number, replace(followed, worked=worked)
        return self._lie()

    def _lie(self) -> Lying:
        data, findings = read_bytes(self.chart, str(self.chart), LARGEST_TEXT)
        source = None
        if data is not None:
            source, findings = as_text(data, str(self.chart))
        if data is None or source is None:
            raise Refused("The chart cannot be read.", findings)
        blocks = laid(source)
        named = {block.path for block in blocks}
        sheets = [
            *(self._sheet(block, at) for at, block in enumerate(blocks)),
            *(
                self._sheet(Laid(path, "chart", ()), None)
                for path in self._more
                if path not in named
            ),
        ]
        there = tuple(sheet for sheet in sheets if sheet is not None)
        if not there:
            raise Refused(
                "There is no photograph to lay beside it; name one with --photograph."
                if not sheets
                else "None of its photographs can be opened; `linenleaf check` says why."
            )
        return Lying(source, sha256(data).hexdigest(), there)

    def _sheet(self, block: Laid, at: int | None) -> Sheet | None:
        photograph = self._photograph(block.path)
        if photograph is None:
            return None
        if len(block.corners) != 4:
            block = replace(block, corners=_inset(photograph))
        return Sheet(block, at, photograph)

    def _photograph(self, path: str) -> Photograph | None:
        if path not in self._opened:
            blame = Source(str(self.chart), "").span(0, 0)
            there, _ = beside(self.chart.parent, self.chart.parent, path, blame)
            data = None if there is None else read_bytes(there, path, LARGEST_PICTURE, blame)[0]
            try:
                if data is None:
                    return None
                self._opened[path] = open_photograph(data)
            except Damaged:
                return None
        return self._opened[path]

    def _text(self, lying: Lying, asked: Asked) -> str:
        if asked.sheet >= len(lying.sheets):
            raise NotAsked("That photograph is no longer on the table: load the page again.")
        sheet = lying.sheets[asked.sheet]
        wanted = replace(
            sheet.laid, shows=asked.shows, corners=asked.corners, landmarks=asked.landmarks
        )
        text, findings = with_photograph(lying.source, wanted, sheet.at)
        if text is None:
            raise Refused("The chart cannot be read with it.", findings)
        return text

    def _worked(self, source: Source) -> tuple[WorkedChart, Diagnostics]:
        design, findings = read_source(source, self.chart)
        worked = None
        if design is not None:
            worked, more = compose(design)
            findings += more
        if worked is not None:
            findings += examine(worked, _NAMES)[0]
        if worked is None or has_errors(findings):
            raise Refused("The chart has errors with it.", findings)
        return worked, findings

    def _follow(self, lying: Lying, asked: Asked) -> Followed:
        source = Source(lying.source.path, self._text(lying, asked))
        worked, findings = self._worked(source)
        at = lying.sheets[asked.sheet].at
        head = blocks_of(source)[-1 if at is None else at].head
        assert head is not None
        showing = next(
            each
            for each in worked.design.showings
            if each.span is not None and each.span.start == head.span.start
        )
        last = self._followed
        before = None if last is None or last[0] != asked.sheet else last[1].answer
        return Followed(worked, answered(worked, showing, before), findings, asked.shows)


def _inset(photograph: Photograph) -> tuple[Point, ...]:
    left, top = round(_INSET * photograph.width), round(_INSET * photograph.height)
    right, bottom = photograph.width - left, photograph.height - top
    return (left, top), (right, top), (right, bottom), (left, bottom)
