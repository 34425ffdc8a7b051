"""The program as a process of its own: `linenleaf`, or `python -m linenleaf`."""

import atexit
import errno
import gc
import os
import signal
import sys
from contextlib import suppress
from types import FrameType
from typing import NoReturn

from .cli import main

FULL = {errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EFBIG}


def run() -> None:
    """Carry out one command and end.

    The search for circular garbage is off: it would walk a million living objects again and again
    to find what the end of the process gives back anyway. Commands that stay switch it on (see
    `cli`). For the same reason nothing is taken apart at the end.
    """
    gc.disable()
    atexit.register(gc.freeze)
    for name in ("SIGTERM", "SIGHUP"):
        asked = getattr(signal, name, None)
        # What nohup has told the process not to hear stays unheard.
        if asked is not None and signal.getsignal(asked) is signal.SIG_DFL:
            signal.signal(asked, _told_to_end)
    try:
        main(prog_name="linenleaf")
    except SystemExit as end:
        staying = gc.isenabled()  # with processes of their own to end
        if staying or not isinstance(end.code, int | None):
            raise
        _end(end.code or 0)
    except OSError as reason:
        if reason.errno not in FULL:
            raise
        _end(_unsaid(reason))


def _told_to_end(number: int, _frame: FrameType | None) -> NoReturn:
    """End as after Ctrl-C: working files are taken away and other processes are ended."""
    signal.signal(number, signal.SIG_IGN)
    raise SystemExit(128 + number)


def _unsaid(reason: OSError) -> int:
    """Tell that what was to be said could not be written; return the exit status."""
    with suppress(OSError):
        sys.stderr.write(f"linenleaf: the answer cannot be written: {reason.strerror}.\n")
    sys.stdout = None  # what it still holds has nowhere to go
    return 2


def _end(status: int) -> None:
    """End at once."""
    try:
        for stream in (sys.stdout, sys.stderr):
            if stream is not None:
                stream.flush()
    except OSError as reason:
        status = _unsaid(reason)
    except ValueError:  # a stream that is closed
        sys.exit(status)
    # Temporary folders are gone by now, and no thread is waited for: each was in a `with`.
    os._exit(status)


if __name__ == "__main__":
    run()
