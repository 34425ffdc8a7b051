"""What the pages of a PDF are made of, and what comes of them; `pdf` sets them.

Nothing here needs the libraries that set the pages: they take half a second to load.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from .variants import Variant

APT_COMMAND = "sudo apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 libcairo2"
PRINT_DPI = 300

Finisher = Callable[[Any, Any], None]


class CannotPress(Exception):
    """The pages cannot be set on this computer; str() says why and what to do."""


class MissingLibraries(CannotPress):
    """System libraries for drawing PDF are not installed; str() says what to do."""

    def __init__(self) -> None:
        super().__init__(
            "The libraries that set the pages are not installed on this system. "
            f"On Debian or Ubuntu: {APT_COMMAND}"
        )


@dataclass(frozen=True)
class Later:
    """A drawing, or a picture (bytes, media type), that is made when the pages need it.

    width, height: mm; 0 where its element states the size at which it is shown.
    """

    make: Callable[[], object]
    width: float = 0.0
    height: float = 0.0


@dataclass(frozen=True)
class Sheet:
    """Everything that one PDF is made of.

    html, css: the markup and its style. base: the style that goes before, which is read once
    however many sheets have it.
    folder: where the chart lies.
    files: pictures by address (bytes, media type); nothing else is opened.
    drawings: objects that draw themselves, by the address of their `<img>`.
    later: what is made while the pages are laid out, by address.
    labels: page labels by page, counted from 0, for pages not simply numbered.
    variant: what the PDF is for.
    opening: the class, a regular expression, of those elements in the body that always begin a
    new page.
    """

    html: str
    css: str
    folder: Path
    files: Mapping[str, tuple[bytes, str]] = field(default_factory=dict)
    drawings: Mapping[str, object] = field(default_factory=dict)
    labels: Mapping[int, str] = field(default_factory=dict)
    variant: Variant = field(default_factory=Variant)
    later: Mapping[str, Later] = field(default_factory=dict)
    base: str = ""
    opening: str = ""


@dataclass(frozen=True)
class Printed:
    """A PDF, its number of pages, and what the renderer had to say (level, words)."""

    data: bytes
    pages: int
    remarks: tuple[tuple[int, str], ...]


class Press(Protocol):
    """Sets the pages of a sheet: `pressroom.press_here`, or another process that does the same."""

    def __call__(
        self,
        sheet: Sheet,
        progress: Callable[[int], None] | None = None,
        finisher: Callable[[], Finisher] | None = None,
        meanwhile: Callable[[], None] | None = None,
    ) -> Printed:
        """Return the PDF.

        progress: called with the number of each page as it is laid out. finisher: called when
        all is drawn; gives what is called with WeasyPrint's document and pydyf's PDF before the
        file is written. meanwhile: called as soon as the pages can be laid out without it.

        Raises:
            CannotPress: when the pages cannot be set on this computer.
        """


class Refused(ValueError):
    """An address that a booklet must not open."""
