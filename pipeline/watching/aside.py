"""Work that a copy of this process does while this one goes on."""

from __future__ import annotations

import gc
import os
import signal
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from multiprocessing import Pipe

from ..printing.pressroom import processors

Makes = Mapping[str, Callable[[], object]]


@contextmanager
def aside(makes: Makes) -> Iterator[Callable[[str], object]]:
    """Begin to make things in a copy of this process; give what returns each, once all are made.

    A copy has everything at hand, so that nothing needs to be loaded or sent. Where there is none
    to be had, or it comes to grief, each thing is made here when it is asked for.
    """
    # Elsewhere a copy may not call what the system itself provides.
    if sys.platform != "linux" or processors() < 2 or not makes:
        yield lambda name: makes[name]()
        return
    ours, theirs = Pipe(duplex=False)
    copy = os.fork()
    if not copy:
        try:
            gc.disable()  # a search would copy the memory that the two still share
            ours.close()
            theirs.send({name: make() for name, make in makes.items()})
        finally:
            os._exit(0)
    theirs.close()

    @cache
    def made() -> Mapping[str, object]:
        try:
            found: Mapping[str, object] = ours.recv()
        except (EOFError, OSError):
            return {}
        return found

    try:
        yield lambda name: made()[name] if name in made() else makes[name]()
    finally:
        ours.close()
        os.kill(copy, signal.SIGKILL)  # it has ended, or is no longer wanted
        os.waitpid(copy, 0)
