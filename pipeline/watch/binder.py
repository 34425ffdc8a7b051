"""The watch's end of the process that draws and binds: one job at a time, the newest wins."""

from __future__ import annotations

import signal
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from multiprocessing import get_context, resource_tracker
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from threading import Thread

from ..core.output import CannotWrite, unheard, why, working_folder
from .jobs import Ended, Failed, Hopeless, Job, Reply, Waiting, is_large

PATIENCE = 10.0  # seconds in which a job that is no longer wanted has to stop by itself
PARTING = 2.0  # seconds in which the process has to end when the watch ends


def _work(connection: Connection, place: str) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    tempfile.tempdir = place
    # Loaded in the new process only: the watch itself has no need of what sets the pages.
    from .worker import work  # noqa: PLC0415

    work(connection)


class Binder:
    """Gives jobs to the process and starts it again if it dies. To be closed.

    hear: called from another thread with everything that comes back. The caller hands each reply
    to `heard` in its own thread, and acts on those that come out of it.

    Raises:
        CannotWrite: when there is no room for working files.
    """

    def __init__(self, hear: Callable[[Reply], object]) -> None:
        self._hear = hear
        self._serial = 0
        self._process: BaseProcess | None = None
        self._connection: Connection | None = None
        self._ready = self._loaded = False
        self._doing: int | None = None
        self._large = False  # the chart that it draws or binds
        self._killed = False
        self._waiting: Job | None = None
        self._dropped: float | None = None
        # For the files that setting the pages needs for a while, however the process ends.
        try:
            self._place = working_folder()
        except OSError as reason:
            raise CannotWrite(f"No folder for working files can be made: {why(reason)}") from reason

    def give(self, job: Job) -> None:
        """Do this job next, in place of any other."""
        self.drop()
        self._waiting = job
        if self._process is None:
            self.start()
        self._send()

    def drop(self) -> None:
        """Stop what is being done; it is no longer wanted."""
        self._waiting = None
        if self._doing is not None and self._connection is not None and self._dropped is None:
            if self._large:  # the next chart needs the memory, now
                self._kill()
            else:
                self._dropped = time.monotonic()
                self._put(None)
        self._doing = None

    def heard(self, reply: Reply) -> Reply | None:
        """Take note of a reply; return it where it concerns the job that is being done."""
        match reply:
            case Waiting() if self._killed:  # it was said before
                return None
            case Waiting():
                self._ready = self._loaded = True
                # What is done can no longer be dropped, nor the process ended for it.
                self._doing = self._dropped = None
                self._send()
                return None
            case Hopeless():
                return reply
            case Ended(process):
                return self._ended() if process == self._serial else None
            case _:
                return reply if reply.number == self._doing else None

    def guard(self) -> None:
        """End a process that does not let go of a job that is no longer wanted."""
        if self._dropped is not None and time.monotonic() - self._dropped > PATIENCE:
            self._dropped = None
            self._kill()

    def _kill(self) -> None:
        if self._process is not None:
            self._killed = True  # until its end is heard
            self._process.kill()

    def close(self) -> None:
        """End the process."""
        if self._process is not None:
            self._process.kill()  # it holds nothing that anybody needs
            self._process.join(PARTING)
        self._place.cleanup()

    def start(self) -> None:
        """Start the process, which takes its time to load what it needs."""
        context = get_context("spawn")  # no copy of this process's threads and locks
        self._serial += 1
        ours, theirs = context.Pipe()
        process = context.Process(target=_work, args=(theirs, self._place.name), daemon=True)
        # `multiprocessing` would start it by itself, and let signals through.
        resource_tracker.ensure_running()
        # In a terminal Ctrl-C reaches every process; the new one ends when this one closes it.
        with unheard():
            process.start()
            self._process = process
        theirs.close()  # so that its death is heard
        self._connection, self._ready, self._loaded = ours, False, False
        Thread(target=self._listen, args=(ours, self._serial), daemon=True).start()

    def _listen(self, connection: Connection, serial: int) -> None:
        try:
            while True:
                self._hear(connection.recv())
        except (EOFError, OSError):
            self._hear(Ended(serial))

    def _send(self) -> None:
        if self._ready and self._waiting is not None:
            job, self._waiting = self._waiting, None
            self._ready, self._doing, self._large = False, job.number, is_large(job.worked)
            self._put(job)

    def _put(self, what: Job | None) -> None:
        if self._connection is not None:
            with suppress(OSError):  # it has died; `Ended` is on its way
                self._connection.send(what)

    def _ended(self) -> Reply | None:
        """Return the failure of the job that died with the process; start again if one waits."""
        assert self._process is not None
        self._process.join(PARTING)
        status = self._process.exitcode
        self._process, self._connection, self._dropped = None, None, None
        self._killed = False
        doing, self._doing = self._doing, None
        if self._waiting is not None:
            if self._loaded:
                self.start()
            else:  # it would not start the next time either
                doing, self._waiting = self._waiting.number, None
        if doing is None:
            return None
        return Failed(doing, f"The process that binds it came to an end (status {status}).")
