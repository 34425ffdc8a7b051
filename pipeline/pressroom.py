"""The second processor sets the pages while the first draws what stands on them.

What sets the pages takes longer to load than a chart takes to be read and checked, so the other
process is started before anything else is done. This module itself loads next to nothing.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import replace
from functools import partial
from pathlib import Path
from queue import Empty, SimpleQueue
from threading import Thread
from typing import TYPE_CHECKING

from .pressorders import Drawn, Finisher, LaidOut, LastTouch, Order, Ready, put, take

if TYPE_CHECKING:
    from .sheet import Press, Printed, Sheet

ALONE = "LINENLEAF_ONE_PROCESS"  # set to anything: everything is done in one process

Progress = Callable[[int], None]


def processors() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


@contextmanager
def pressroom() -> Iterator[Press]:
    """Give a press that works in a process of its own, which is started at once.

    Where there is only one processor, or no other process can be had, it works in this one. The
    other process sets one sheet, and ends with the context at the latest.
    """
    process = _started() if processors() > 1 and not os.environ.get(ALONE) else None
    if process is None:
        yield press_here
        return
    room = _Room(process)
    try:
        yield room.press
    finally:
        room.close()


def press_here(
    sheet: Sheet, progress: Progress | None = None, finisher: Finisher | None = None
) -> Printed:
    """Set the pages in this process; see `sheet.Press`."""
    from .pdf import press  # noqa: PLC0415 - half a second to load

    made = {address: make() for address, make in sheet.later.items()}
    return press(_with(sheet, made), progress, finisher)


def _with(sheet: Sheet, made: Mapping[str, object]) -> Sheet:
    later = {address: partial(made.__getitem__, address) for address in sheet.later}
    return replace(sheet, later=later)


def _started() -> subprocess.Popen[bytes] | None:
    if not sys.executable:
        return None
    # -P: no module comes from the folder that the user happens to be in.
    words = [sys.executable, "-P", "-m", f"{__package__}.pressing"]
    with suppress(OSError, ValueError):
        return subprocess.Popen(
            words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        )
    return None


class _Lost(Exception):
    """The other process has ended, or is not what it should be."""


class _Room:
    """The other process, as seen from here."""

    def __init__(self, process: subprocess.Popen[bytes]) -> None:
        self._process = process
        self._came: SimpleQueue[bytes | None] = SimpleQueue()
        Thread(target=self._read, daemon=True).start()

    def press(
        self, sheet: Sheet, progress: Progress | None = None, finisher: Finisher | None = None
    ) -> Printed:
        """See `sheet.Press`. If the other process is lost, everything is done here."""
        made: dict[str, object] = {}
        try:
            return self._press(sheet, progress or _silent, finisher, made)
        except _Lost:
            for address, make in sheet.later.items():
                if address not in made:
                    made[address] = make()
            return press_here(_with(sheet, made), progress, finisher)

    def _press(
        self,
        sheet: Sheet,
        progress: Progress,
        finisher: Finisher | None,
        made: dict[str, object],
    ) -> Printed:
        self._tell(Order(replace(sheet, later={}), tuple(sheet.later)))
        for address, make in sheet.later.items():
            made[address] = make()
            self._tell(Drawn(address, made[address]))
            self._hear(progress, wait=False)
        self._tell(LastTouch(finisher))
        answer = self._hear(progress, wait=True)
        assert answer is not None
        return answer

    def _tell(self, message: object) -> None:
        assert self._process.stdin is not None
        try:
            put(self._process.stdin, message)
        except OSError as reason:
            raise _Lost from reason

    def _hear(self, progress: Progress, *, wait: bool) -> Printed | None:
        """Take in what came; wait: until there is an answer."""
        from .sheet import CannotPress, Printed  # noqa: PLC0415

        while True:
            try:
                data = self._came.get(block=wait)
            except Empty:
                return None
            if data is None:
                raise _Lost
            match pickle.loads(data):
                case LaidOut(page):
                    progress(page)
                case Printed() as answer:
                    return answer
                case CannotPress() as reason:
                    raise reason
                case Ready(home) if home == Path(__file__).parent:
                    pass
                case _:  # another version of this package, from another place
                    raise _Lost

    def _read(self) -> None:
        stream = self._process.stdout
        assert stream is not None
        with suppress(OSError, ValueError):
            while (data := take(stream)) is not None:
                self._came.put(data)
        self._came.put(None)

    def close(self) -> None:
        """End the other process."""
        self._process.kill()
        self._process.wait()
        for stream in (self._process.stdin, self._process.stdout):
            assert stream is not None
            with suppress(OSError):
                stream.close()


def _opened(data: bytes) -> object:
    try:
        return pickle.loads(data)  # from the process started here
    except Exception as reason:  # pickle raises whatever it comes upon
        raise _Lost from reason


def _silent(_page: int) -> None:
    pass
