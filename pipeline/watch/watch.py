"""The watch: reads a chart whenever it is saved, tells the findings, and keeps the booklet new.

Reading takes a moment and happens here; drawing and binding take longer and happen in a process
of their own, which a newer save interrupts. The booklet on the disk is always a whole one: it is
written under another name first, and stays as it was while the chart has errors.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from queue import Empty, SimpleQueue

from ..chart.options import Options
from ..compose.copies import Letters, NotChangeable
from ..compose.worked import WorkedChart
from ..core.diagnostics import Diagnostic, Diagnostics, finding, summary
from ..core.files import noting
from ..core.model import Design
from ..core.output import CannotWrite, write_whole
from ..core.system import give_back
from ..flow import Composed, Flow, set_out
from ..reports.placements import place_rows
from .binder import Binder
from .events import FileStamp, FolderEvents, folders, stamp, stamps
from .jobs import BookletDone, Failed, Hopeless, Job, PictureDone, Reply, is_large
from .view import Board, LastBooklet, LastPicture, Phase, State

MOST_PLACES = 2_000  # on the page; all stand in `check --places`
QUIET = 0.03  # seconds without a change after which a save is taken to be over
RESTLESS = 1.0  # seconds after which a chart that changes all the time is read all the same
GONE = 0.5  # seconds in which an editor that takes a file away puts the new one there
LOOK = 0.3  # seconds between looks where no event comes
READINGS = 3  # in a row while the files go on changing

Woken = None  # in the inbox: something happened in a folder


@dataclass(frozen=True)
class News:
    """What the watch has to say. findings: those not told before. line: ends with no newline."""

    findings: Diagnostics
    line: str


@dataclass(frozen=True)
class Asked:
    """What is to be built. letters: new lines of changeable lettering, for a personal copy."""

    options: Options
    letters: Letters


class Watch:
    """Watches one chart until it is interrupted.

    target: where the booklet goes. asked: what is built. tell: called with everything that there
    is to say. board: what the page shows; None for no page, and no picture is drawn then.
    """

    def __init__(
        self,
        chart: Path,
        target: Path,
        asked: Asked,
        tell: Callable[[News], None],
        board: Board | None = None,
    ) -> None:
        self._chart = chart
        self._target = target
        self._asked = asked
        self._tell = tell
        self._picture = board is not None
        self._board = board or Board(State(str(chart)))
        self._files: dict[Path, FileStamp] = {}
        self._number = 0
        self._inbox: SimpleQueue[Reply | None] = SimpleQueue()

    def run(self) -> None:
        """Watch until interrupted (KeyboardInterrupt is passed on).

        Raises:
            CannotWrite: when there is no room for working files.
            MissingLibrary: when this computer lacks what sets the pages.
        """
        with ExitStack() as closing:
            binder = Binder(self._inbox.put)
            closing.callback(binder.close)
            events = FolderEvents(lambda: self._inbox.put(Woken))
            closing.callback(events.close)
            binder.start()
            self._read(binder)
            while True:
                events.follow(folders(self._files))
                self._hear(binder)
                if self._changed():
                    binder.drop()
                    self._read(binder)
                binder.guard()

    def _hear(self, binder: Binder) -> None:
        """Wait until something comes, or for a while, and act on all that has come."""
        try:
            heard = self._inbox.get(timeout=LOOK)
            while True:
                reply = None if heard is None else binder.heard(heard)
                if reply is not None:
                    self._act(reply)
                heard = self._inbox.get_nowait()
        except Empty:
            pass

    def _changed(self) -> bool:
        return stamps(self._files) != self._files

    def _settle(self) -> None:
        """Wait until nothing changes: editors save in steps, and several saves may follow fast."""
        begun = time.monotonic()
        before = stamps(self._files)
        while time.monotonic() - begun < RESTLESS:
            time.sleep(QUIET)
            now = stamps(self._files)
            gone = now.get(self._chart) is None and time.monotonic() - begun < GONE
            if now == before and not gone:
                return
            before = now

    def _read(self, binder: Binder) -> None:
        """Read the chart, have it drawn and bound, and tell the findings.

        The work on the booklet begins as soon as it is known what is stitched, and is dropped
        where the chart turns out to have errors. On that of a large chart it begins once that is
        checked.
        """
        for _ in range(READINGS):
            self._settle()
            # Each file is stamped before it is opened, so that a change while it is read is seen.
            opened = {self._chart: stamp(self._chart)}
            begun, fault = self._following(
                opened, lambda: set_out(self._chart, self._asked.letters)
            )
            if not self._changed():
                break
        self._number += 1
        large = isinstance(begun, Composed) and is_large(begun.worked)
        if isinstance(begun, Composed):
            flow, fault = self._check(begun, opened, binder)
        else:
            flow = begun
        self._tell(News(flow.findings, self._line(flow, fault)))
        self._post(flow)
        if large:
            del begun, flow
            give_back()

    def _check(
        self, begun: Composed, opened: dict[Path, FileStamp], binder: Binder
    ) -> tuple[Flow, str]:
        """Check a chart while it is drawn and bound; see `_following`."""
        missing = self._missing_colourway(begun.worked.design)
        job = Job(self._number, begun.worked, self._asked.options, self._picture)
        large = is_large(begun.worked)
        if missing is None and not large:
            binder.give(job)
        flow, fault = self._following(opened, begun.check)
        assert isinstance(flow, Flow)  # after the checks there is no way left to go
        if missing is not None and flow.worked is not None:
            flow = Flow(None, (*flow.findings, missing))
        if flow.worked is None:
            binder.drop()
        elif large:
            binder.give(job)
        return flow, fault

    def _following(
        self, opened: dict[Path, FileStamp], go: Callable[[], Composed | Flow]
    ) -> tuple[Composed | Flow, str]:
        """Return what became of the chart, and the words of a fault of ours, if there is one.

        opened: the files that were opened on the way, which are added to.
        """
        fault = ""
        with noting(lambda path: opened.setdefault(path, stamp(path))):
            try:
                begun = go()
            except NotChangeable as reason:
                begun = Flow(
                    None,
                    (
                        finding(
                            "not-changeable",
                            str(reason),
                            None,
                            "name lettering that the chart marks as `changeable`",
                        ),
                    ),
                )
            except Exception as caught:
                # A fault of ours must not end the watch: the next save may be better.
                fault = f"{type(caught).__name__}: {caught}"
                begun = Flow(None, ())
        if isinstance(begun, Flow) and begun.worked is None:
            # A broken chart may name fewer files than it will again in a moment.
            opened = {**stamps(self._files.keys() - opened.keys()), **opened}
        self._files = opened
        return begun, fault

    def _missing_colourway(self, design: Design) -> Diagnostic | None:
        """Return an error where the colourway asked for is not in the chart."""
        name = self._asked.options.colourway
        names = [colourway.name for colourway in design.colourways]
        if name is None or name in names:
            return None
        known = ", ".join(names) if names else "none"
        return finding(
            "no-such-colourway",
            f"There is no colourway named {name}. The chart has: {known}.",
            design.chart.span,
            "add it, or restart the watch with another --colourway",
        )

    def _line(self, flow: Flow, fault: str) -> str:
        if fault:
            words = f"linenleaf itself is at fault: {fault}"
        elif not flow.findings:
            words = "all well, nothing to correct"
        else:
            words = summary(flow.findings)
        if flow.worked is None and self._board.state.booklet.at:
            words += f"; the booklet stays as it was at {self._board.state.booklet.at}"
        elif flow.worked is None:
            words += "; no booklet is built"
        return f"{_clock()}  {self._chart}: {words}."

    def _post(self, flow: Flow) -> None:
        state = self._board.state
        worked = flow.worked
        phase = Phase.KEPT if worked is None else Phase.BINDING
        self._board.post(
            number=self._number,
            at=_clock(),
            findings=flow.findings,
            sound=worked is not None,
            title=state.title if worked is None else worked.design.booklet.title,
            columns=state.columns if worked is None else worked.width,
            rows=state.rows if worked is None else worked.height,
            places=state.places if worked is None else _places(worked),
            booklet=LastBooklet(phase, state.booklet.at, state.booklet.pages),
        )

    def _act(self, reply: Reply) -> None:
        match reply:
            case PictureDone(number, data, kind):
                self._board.post(picture=LastPicture(number, data, kind, _clock()))
            case BookletDone():
                self._keep(reply)
            case Failed(_, reason):
                self._fail(reason)
            case Hopeless(missing):
                raise missing

    def _keep(self, bound: BookletDone) -> None:
        """Write the booklet, or tell why there is none."""
        state = self._board.state
        findings = (*state.findings, *bound.findings)
        if not bound.data:
            self._board.post(findings=findings, sound=False)
            self._fail("The findings tell why.", bound.findings)
            return
        try:
            write_whole(self._target, bound.data)
        except CannotWrite as reason:
            self._board.post(findings=findings)
            self._fail(str(reason), bound.findings)
            return
        now = _clock()
        self._board.post(findings=findings, booklet=LastBooklet(Phase.BUILT, now, bound.pages))
        pages = "1 page" if bound.pages == 1 else f"{bound.pages} pages"
        self._tell(News(bound.findings, f"{now}  {self._target}: {pages}."))

    def _fail(self, reason: str, findings: tuple[Diagnostic, ...] = ()) -> None:
        last = self._board.state.booklet
        self._board.post(booklet=LastBooklet(Phase.FAILED, last.at, last.pages, reason))
        self._tell(News(findings, f"{_clock()}  {self._target} is not built. {reason}"))


def _clock() -> str:
    return datetime.now().strftime("%H:%M:%S")


def _places(worked: WorkedChart) -> tuple[tuple[str, ...], ...]:
    """Return what is told of the places of a chart; nothing where each line states its own."""
    chart = worked.design.chart
    hangs = any(thing.box is not None for thing in chart.things)
    return tuple(place_rows(chart)[:MOST_PLACES]) if hangs else ()
