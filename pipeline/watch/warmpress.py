"""A press that sets one booklet again and again; what can wait is done aside, by a copy."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Self

from ..pdf.document import Finisher, Later, Printed, Sheet
from ..pdf.kept import Kept

if TYPE_CHECKING:
    from ..pdf.renderer import Renderer


import gc
import os
import signal
import sys
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


class WarmPress:
    """Sets pages in this process, see `document.Press`; a copy of it makes the pictures meanwhile.

    A context, in which it keeps its working files.
    """

    def __init__(self) -> None:
        self._closing = ExitStack()
        self._renderer: Renderer | None = None
        self._kept = Kept()
        self._aside = Aside()

    def __enter__(self) -> Self:
        """Begin; nothing is loaded yet."""
        return self

    def __exit__(self, *_: object) -> None:
        """Let go of the working files."""
        self._closing.close()

    @contextmanager
    def running(self) -> Iterator[None]:
        """Let go of what was begun ahead, however the work on a booklet ends."""
        try:
            yield
        finally:
            self._aside.end()

    def ahead(self, pictures: Mapping[str, Later]) -> None:
        """Begin to make pictures of the next sheet."""
        self._aside.begin({address: each.make for address, each in pictures.items()})

    def press(
        self,
        sheet: Sheet,
        progress: Callable[[int], None] | None = None,
        finisher: Callable[[], Finisher] | None = None,
        meanwhile: Callable[[], None] | None = None,
    ) -> Printed:
        """Return the PDF, the same as of any other press."""
        if self._renderer is None:
            from ..pdf.renderer import Renderer  # noqa: PLC0415 - half a second to load

            self._renderer = self._closing.enter_context(Renderer())
        if meanwhile is not None:
            meanwhile()
        later = {}
        for address, each in sheet.later.items():
            begun = address in self._aside
            make = partial(self._aside.take, address) if begun else _made(each.make())
            later[address] = replace(each, make=make)
        last = None if finisher is None else finisher()
        return self._renderer.press(replace(sheet, later=later), progress, last, self._kept)


def _made(thing: object) -> Callable[[], object]:
    return lambda: thing
