"""A process that sets the pages for another one: its whole life.

It loads what sets the pages while the chart is still being read, lays the pages out while the
chart pages are drawn, and ends with the booklet. What it is told comes in on its standard input,
what it has to say goes out on its standard output (see `pressroom`); only the process that
started it holds the other ends.
"""

from __future__ import annotations

import gc
import os
import pickle
import shutil
import signal
import sys
from contextlib import suppress
from dataclasses import replace
from functools import partial
from pathlib import Path
from queue import SimpleQueue
from threading import Thread
from typing import TYPE_CHECKING, BinaryIO

from linenleaf.templates import text

from ..core.system import NO_MEMORY, MissingLibrary, is_shortage
from .document import CannotPress, Finisher, Later, Printed
from .pressroom import Delivered, LaidOut, LastTouch, Order, Ready, put, take

if TYPE_CHECKING:
    from .renderer import Renderer

COMMON_LANGUAGE = "en_GB"


class _Ended(Exception):
    """Nobody is there any more who wants the pages."""


class _Inbox:
    """Messages as they come; they are read at once, so that the sender need not wait."""

    def __init__(self, stream: BinaryIO) -> None:
        self._stream = stream
        self._came: SimpleQueue[bytes | None] = SimpleQueue()
        self._drawn: dict[str, object] = {}
        Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        while (data := take(self._stream)) is not None:
            self._came.put(data)
        self._came.put(None)
        # Nobody is there any more: whatever is being done is not wanted.
        _leave()

    @property
    def empty(self) -> bool:
        return self._came.empty()

    def next(self) -> object:
        data = self._came.get()
        if data is None:
            raise _Ended
        return pickle.loads(data)

    def drawn(self, address: str) -> object:
        """Return what belongs at an address, once it is there."""
        while address not in self._drawn:
            message = self.next()
            assert isinstance(message, Delivered)
            self._drawn[message.address] = message.made
        return self._drawn[address]

    def last_touch(self) -> Finisher | None:
        while True:
            match self.next():
                case LastTouch(finisher):
                    return finisher
                case Delivered():
                    pass  # what no page shows


def work(into: BinaryIO, out: BinaryIO) -> None:
    """Set the pages of one order.

    into, out: where messages come from and go to.
    """
    put(out, Ready(Path(__file__).parent))
    inbox = _Inbox(into)
    answer: Printed | CannotPress | MissingLibrary
    try:
        # Now, not before: this is what takes time.
        from .renderer import Renderer  # noqa: PLC0415

        with Renderer() as renderer:
            answer = _answer(renderer, inbox, out)
    except (CannotPress, MissingLibrary) as reason:
        answer = reason
    put(out, answer)


def _answer(renderer: Renderer, inbox: _Inbox, out: BinaryIO) -> Printed:
    if inbox.empty:
        with suppress(OSError):
            renderer.ready(text("booklet.css"))
    if inbox.empty:
        _hyphens()
    order = inbox.next()
    assert isinstance(order, Order)
    later = {
        address: Later(partial(inbox.drawn, address), *size)
        for address, size in order.later.items()
    }

    def finish(document: object, pdf: object) -> None:
        if (finisher := inbox.last_touch()) is not None:
            finisher(document, pdf)

    sheet = replace(order.sheet, later=later)
    return renderer.press(sheet, lambda page: put(out, LaidOut(page)), finish)


def _hyphens() -> None:
    """Read where the words of most booklets may be divided; pyphen remembers it."""
    import pyphen  # noqa: PLC0415

    pyphen.Pyphen(lang=COMMON_LANGUAGE)


def main() -> None:
    """Work for the process at the other end of standard input and output."""
    gc.disable()  # see __main__
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the other end hears it, and ends this one
    out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever a library prints must not stand among the messages
    with suppress(_Ended, BrokenPipeError):
        try:
            work(sys.stdin.buffer, out)
        except Exception as fault:
            if not is_shortage(fault):
                raise
            fault.__traceback__ = None  # lets go of the pages
            put(out, CannotPress(NO_MEMORY))
    _leave()


def _leave() -> None:
    """End at once, leaving no working files; what is left to tidy away, the system does faster.

    They lie in a folder that was made for this process alone, which is named after the program.
    Who made it takes it away too, for either process may be killed.
    """
    for folder in sys.argv[1:]:
        shutil.rmtree(folder, ignore_errors=True)
    os._exit(0)


if __name__ == "__main__":
    main()
