"""Folders for files that are needed for a while, and gone however the process ends."""

from __future__ import annotations

import os
import signal
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from threading import current_thread, main_thread


def working_folder() -> tempfile.TemporaryDirectory[str]:
    """Make a folder that goes with the value returned, or with the process.

    An interruption waits until it is known that the folder is there to be taken away.

    Raises:
        OSError: when there is no room for it.
    """
    with unheard():
        return tempfile.TemporaryDirectory(prefix="linenleaf-", ignore_cleanup_errors=True)


@contextmanager
def unheard() -> Iterator[None]:
    """Let Ctrl-C, and being told to end, wait until the block is done.

    Libraries have threads that hear signals for this one, so it is not enough to block them here;
    a process that is started meanwhile does not hear them either.
    """
    if os.name != "posix" or current_thread() is not main_thread():
        yield
        return
    ends = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
    heard: list[int] = []
    handlers = {end: signal.signal(end, lambda number, _: heard.append(number)) for end in ends}
    before = signal.pthread_sigmask(signal.SIG_BLOCK, ends)
    try:
        yield
    finally:
        for end, handler in handlers.items():
            signal.signal(end, handler)
        for number in heard[:1]:
            signal.raise_signal(number)
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
