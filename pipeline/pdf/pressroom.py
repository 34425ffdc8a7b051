"""The second processor sets the pages while the first draws what stands on them.

What sets the pages takes longer to load than a chart takes to be read and checked, so the other
process is started before anything else is done. Each message is pickled and goes after its length.
This module itself loads next to nothing.
"""

from __future__ import annotations

import os
import pickle
import struct
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from queue import Empty, SimpleQueue
from threading import Thread
from typing import IO, TYPE_CHECKING

from ..core.output import working_folder
from ..core.system import NO_MEMORY, MissingLibrary

if TYPE_CHECKING:
    from .document import Finisher, Press, Printed, Sheet

_LENGTH = struct.Struct(">Q")


@dataclass(frozen=True)
class Ready:
    """The process is there. home: the folder of the package that it has loaded."""

    home: Path


@dataclass(frozen=True)
class Order:
    """What to set. later: the size of what comes while the pages are laid out, by address."""

    sheet: Sheet
    later: Mapping[str, tuple[float, float]]


@dataclass(frozen=True)
class Delivered:
    """What belongs at an address of an order."""

    address: str
    made: object


@dataclass(frozen=True)
class LastTouch:
    """The finisher of an order (see `pdf.press`); comes when all is drawn."""

    finisher: Finisher | None


@dataclass(frozen=True)
class LaidOut:
    """The page of this number has been laid out."""

    page: int


def put(stream: IO[bytes], message: object) -> None:
    """Send a message."""
    data = pickle.dumps(message, pickle.HIGHEST_PROTOCOL)
    stream.write(_LENGTH.pack(len(data)))
    stream.write(data)
    stream.flush()


def take(stream: IO[bytes]) -> bytes | None:
    """Return the next message as it was sent; None at the end."""
    head = stream.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        return None
    (length,) = _LENGTH.unpack(head)
    data = stream.read(length)
    return data if len(data) == length else None


ALONE = "LINENLEAF_ONE_PROCESS"  # set to anything: everything is done in one process

PagesSet = Callable[[int], None]


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
    wanted = processors() > 1 and not os.environ.get(ALONE)
    with _working_folder() as folder:
        process = _started(folder) if wanted and folder is not None else None
        if process is None:
            yield press_here
            return
        room = _Room(process)
        try:
            yield room.press
        finally:
            room.close()


@contextmanager
def _working_folder() -> Iterator[str | None]:
    """Give a folder for the working files of the other process, however that ends.

    None where there is no room: then this process will tell of it.
    """
    try:
        made = working_folder()
    except OSError:
        yield None
        return
    with made as folder:
        yield folder


def press_here(
    sheet: Sheet,
    progress: PagesSet | None = None,
    finisher: Callable[[], Finisher] | None = None,
    meanwhile: Callable[[], None] | None = None,
) -> Printed:
    """Set the pages in this process; see `sheet.Press`."""
    if meanwhile is not None:
        meanwhile()
    made = {address: each.make() for address, each in sheet.later.items()}
    return _pressed(sheet, made, progress, None if finisher is None else finisher())


def _pressed(
    sheet: Sheet,
    made: Mapping[str, object],
    progress: PagesSet | None,
    last: Finisher | None,
) -> Printed:
    from .renderer import press  # noqa: PLC0415 - half a second to load

    later = {
        address: replace(each, make=partial(made.__getitem__, address))
        for address, each in sheet.later.items()
    }
    return press(replace(sheet, later=later), progress, last)


def _started(folder: str) -> subprocess.Popen[bytes] | None:
    if not sys.executable:
        return None
    # Where no program is found, no compiler is started to look for the system's libraries, which
    # `ctypes` does for each name that a library has on other systems: fifty processes.
    place = {"TMPDIR": folder, "TEMP": folder, "TMP": folder, "PATH": ""}
    # -P: no module comes from the folder that the user happens to be in.
    words = [sys.executable, "-P", "-m", f"{__package__}.pressing", folder]
    with suppress(OSError, ValueError):
        return subprocess.Popen(
            words,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, **place},
        )
    return None


class _Room:
    """The other process, as seen from here."""

    def __init__(self, process: subprocess.Popen[bytes]) -> None:
        self._process = process
        self._lost = False  # it has ended, or is not what it should be
        self._came: SimpleQueue[bytes | None] = SimpleQueue()
        Thread(target=self._read, daemon=True).start()

    def press(
        self,
        sheet: Sheet,
        progress: PagesSet | None = None,
        finisher: Callable[[], Finisher] | None = None,
        meanwhile: Callable[[], None] | None = None,
    ) -> Printed:
        """See `sheet.Press`. If the other process is lost, everything is done here."""
        sizes = {address: (each.width, each.height) for address, each in sheet.later.items()}
        self._tell(Order(replace(sheet, later={}), sizes))
        if meanwhile is not None:
            meanwhile()
        made: dict[str, object] = {}
        for address, each in sheet.later.items():
            made[address] = each.make()
            self._tell(Delivered(address, made[address]))
            self._hear(progress, wait=False)
        last = None if finisher is None else finisher()
        self._tell(LastTouch(last))
        answer = self._hear(progress, wait=True)
        if answer is not None:
            return answer
        self._told_to_end()
        return _pressed(sheet, made, progress, last)

    def _told_to_end(self) -> None:
        """Tell when the system ended the other process: what it could not hold, nor can this one.

        Raises:
            CannotPress: with the sentence for the user.
        """
        from .document import CannotPress  # noqa: PLC0415

        with suppress(subprocess.TimeoutExpired):
            ended = self._process.wait(0.5)
            if ended < 0:
                raise CannotPress(
                    f"The system ended the process that lays out the pages (signal {-ended}). "
                    + NO_MEMORY
                )

    def _tell(self, message: object) -> None:
        assert self._process.stdin is not None
        if not self._lost:
            try:
                put(self._process.stdin, message)
            except OSError:
                self._lost = True

    def _hear(self, progress: PagesSet | None, *, wait: bool) -> Printed | None:
        """Take in what came; wait: until there is an answer, or none to be hoped for."""
        from .document import CannotPress, Printed  # noqa: PLC0415

        while not self._lost:
            try:
                data = self._came.get(block=wait)
            except Empty:
                return None
            match _opened(data):
                case LaidOut(page):
                    if progress is not None:
                        progress(page)
                case Printed() as answer:
                    return answer
                case (CannotPress() | MissingLibrary()) as reason:
                    raise reason
                case Ready(home) if home == Path(__file__).parent:
                    pass
                case _:  # nothing more, or another version of this package from another place
                    self._lost = True
        return None

    def _read(self) -> None:
        stream = self._process.stdout
        assert stream is not None
        with suppress(OSError, ValueError):
            while (data := take(stream)) is not None:
                self._came.put(data)
        self._came.put(None)

    def close(self) -> None:
        """End the other process; its working files are taken away by who made their folder."""
        self._process.kill()
        self._process.wait()
        for stream in (self._process.stdin, self._process.stdout):
            assert stream is not None
            with suppress(OSError):
                stream.close()


def _opened(data: bytes | None) -> object:
    """Return a message; None where it is none."""
    with suppress(Exception):  # pickle raises whatever it comes upon
        return pickle.loads(data or b"")  # from the process started here
    return None
