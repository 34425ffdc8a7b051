"""A press that sets one booklet again and again, and keeps what stays the same."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from ..printing.kept import Kept
from ..printing.sheet import Finisher, Printed, Sheet
from .aside import aside


class WarmPress:
    """Sets pages in this process, see `sheet.Press`; a copy of it makes the pictures meanwhile."""

    def __init__(self) -> None:
        self._kept = Kept()

    def __call__(
        self,
        sheet: Sheet,
        progress: Callable[[int], None] | None = None,
        finisher: Callable[[], Finisher] | None = None,
        meanwhile: Callable[[], None] | None = None,
    ) -> Printed:
        """Return the PDF, the same as of any other press."""
        if meanwhile is not None:
            meanwhile()
        with aside({name: each.make for name, each in sheet.later.items() if each.apart}) as apart:
            from ..printing.pdf import press  # noqa: PLC0415 - half a second to load

            drawn = {name: each.make() for name, each in sheet.later.items() if not each.apart}
            makes = {
                name: partial(apart if each.apart else drawn.__getitem__, name)
                for name, each in sheet.later.items()
            }
            later = {name: replace(each, make=makes[name]) for name, each in sheet.later.items()}
            last = None if finisher is None else finisher()
            return press(replace(sheet, later=later), progress, last, self._kept)
