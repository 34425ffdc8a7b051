"""The program as a process of its own: `linenleaf`, or `python -m linenleaf`."""

from __future__ import annotations

import atexit
import errno
import gc
import os
import signal
import sys

# Little is loaded before an interruption is heard.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable
    from types import FrameType
    from typing import NoReturn

    Handler = Callable[[int, FrameType | None], object] | signal.Handlers

FULL = {errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EFBIG}
MISUSE = 2  # exit status, see `console`
INTERRUPTED = 128  # exit status: this and the number of the signal, as shells have it
PATIENCE = 5.0  # seconds after which an interruption that went astray is repeated
AGAIN = 0.02  # seconds, where it is known to have gone astray


class _Interruptions:
    """Ctrl-C, and being told to end by the system or by a terminal that is closed.

    An interruption is raised as KeyboardInterrupt, so that all that is unfinished is tidied away;
    while that is done there is no second one.
    """

    def __init__(self) -> None:
        named = ("SIGINT", "SIGTERM", "SIGHUP")
        numbers = [getattr(signal, name) for name in named if hasattr(signal, name)]
        # One that is ignored, as under `nohup`, stays so.
        self._heeded = [each for each in numbers if signal.getsignal(each) is not signal.SIG_IGN]
        self.number = 0

    def end_at_once(self) -> None:
        """From now on end the process: there is nothing to tidy away."""
        self._answer(lambda number, _: os._exit(INTERRUPTED + number))

    def unwind(self) -> None:
        """From now on raise KeyboardInterrupt."""
        self._answer(self._raise)
        sys.unraisablehook = self._lost

    def _answer(self, handler: Handler) -> None:
        for each in self._heeded:
            signal.signal(each, handler)

    def _raise(self, number: int, _frame: FrameType | None) -> NoReturn:
        self.number = self.number or number
        self._answer(signal.SIG_IGN)
        self._repeat(PATIENCE)
        raise KeyboardInterrupt

    def _lost(self, lost: sys.UnraisableHookArgs) -> None:
        """Take note of what was raised where nothing can be, as in a call from C."""
        if self.number:
            self._repeat(AGAIN)
        else:
            sys.__unraisablehook__(lost)

    def _repeat(self, seconds: float) -> None:
        if hasattr(signal, "setitimer"):
            signal.signal(signal.SIGALRM, self._raise)
            signal.setitimer(signal.ITIMER_REAL, seconds)


def _carried_out() -> int:
    """Carry out the command; return its exit status."""
    # Loaded here, where an interruption is heard.
    from .core.system import NO_MEMORY, is_shortage, look_for_room  # noqa: PLC0415

    # Linear algebra is a trifle here: one thread for it, without 30 MB for each processor.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        look_for_room()
        from .cli import main  # noqa: PLC0415 - now, so that the environment is set before

        main(prog_name="linenleaf")
    except SystemExit as end:
        if isinstance(end.code, int | None):
            return end.code or 0
        raise
    except Exception as fault:
        if isinstance(fault, OSError) and fault.errno in FULL:
            return _unsaid(fault)
        if not is_shortage(fault):
            raise
        fault.__traceback__ = None  # lets go of what was worked on
        sys.stderr.write(f"linenleaf: {NO_MEMORY}\n")
        return MISUSE
    return 0


def run(work: Callable[[], int] = _carried_out) -> None:
    """Carry out one command and end.

    work: returns the exit status.

    The search for circular garbage is off: it would walk a million living objects again and again
    to find what the end of the process gives back anyway. Commands that stay switch it on (see
    `cli`). For the same reason nothing is taken apart at the end.
    """
    interruptions = _Interruptions()
    interruptions.end_at_once()
    _fill_in_closed_streams()
    gc.disable()
    atexit.register(gc.freeze)
    status = 0
    try:
        try:
            interruptions.unwind()
            status = work()
        finally:
            interruptions.end_at_once()
    except BaseException:
        # Whatever comes after an interruption comes of it.
        if not interruptions.number:
            raise
    if interruptions.number:
        _end(INTERRUPTED + interruptions.number)
    elif gc.isenabled():  # a command that stays, with processes of its own to end
        sys.exit(status)
    _end(status)


def _fill_in_closed_streams() -> None:
    """Let nothing be read, or be heard, where a standard stream is closed.

    Otherwise the next file that is opened would have its number, and take what is said.
    """
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest number that is free
    # Python has None for each that was closed when it began.
    sys.stdin = sys.stdin or open(0, encoding="utf-8", closefd=False)  # noqa: SIM115
    sys.stdout = sys.stdout or open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
    sys.stderr = sys.stderr or open(2, "w", encoding="utf-8", closefd=False)  # noqa: SIM115


def _unsaid(reason: OSError) -> int:
    """Tell that what was to be said could not be written; return the exit status."""
    from contextlib import suppress  # noqa: PLC0415

    with suppress(OSError):
        sys.stderr.write(f"linenleaf: the answer cannot be written: {reason.strerror}.\n")
    sys.stdout = None  # what it still holds has nowhere to go
    return 2


def _end(status: int) -> NoReturn:
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
