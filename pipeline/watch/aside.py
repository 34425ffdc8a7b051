"""Work that a copy of this process does while this one goes on."""

from __future__ import annotations

import gc
import os
import signal
import sys
from collections.abc import Callable, Mapping
from contextlib import suppress
from multiprocessing import Pipe
from multiprocessing.connection import Connection

from ..pdf.pressroom import processors

Makes = Mapping[str, Callable[[], object]]


class Aside:
    """Things that are being made.

    A copy of the process has everything at hand, so that nothing needs to be loaded or sent. Where
    there is none to be had, or it comes to grief, each thing is made here when it is asked for.
    """

    def __init__(self) -> None:
        self._makes: Makes = {}
        self._copy: tuple[int, Connection] | None = None
        self._made: Mapping[str, object] = {}

    def begin(self, makes: Makes) -> None:
        """Begin to make things, by name, in place of any before."""
        self.end()
        self._makes = makes
        # Elsewhere a copy may not call what the system itself provides.
        if sys.platform != "linux" or processors() < 2 or not makes:
            return
        ours, theirs = Pipe(duplex=False)
        try:
            copy = os.fork()
        except OSError:  # too little memory, or too many processes
            ours.close()
            theirs.close()
            return
        if not copy:
            try:
                gc.disable()  # a search would copy the memory that the two still share
                ours.close()
                theirs.send({name: make() for name, make in makes.items()})
            finally:
                os._exit(0)
        theirs.close()
        self._copy = copy, ours

    def __contains__(self, name: str) -> bool:
        """Tell whether a thing is being made."""
        return name in self._makes

    def take(self, name: str) -> object:
        """Return what was to be made, once all is."""
        if self._copy is not None:
            with suppress(EOFError, OSError):
                self._made = self._copy[1].recv()
            self._part()
        return self._made[name] if name in self._made else self._makes[name]()

    def end(self) -> None:
        """Let go of what is made, or still being made."""
        self._part()
        self._makes, self._made = {}, {}

    def _part(self) -> None:
        if self._copy is not None:
            copy, connection = self._copy
            self._copy = None
            connection.close()
            os.kill(copy, signal.SIGKILL)  # it has ended, or is no longer wanted
            os.waitpid(copy, 0)
