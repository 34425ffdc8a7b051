"""A press that sets one booklet again and again, and keeps what stays the same."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Self

from ..pdf.document import Finisher, Later, Printed, Sheet
from ..pdf.kept import Kept
from .aside import Aside

if TYPE_CHECKING:
    from ..pdf.renderer import Renderer


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
