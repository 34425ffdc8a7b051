"""What the pages of a PDF are made of, and what comes of them; `pdf` sets them.

Nothing here needs the libraries that set the pages: they take half a second to load.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from .variants import Variant

NO_PANGO = "The libraries that set the pages are not installed on this system."
NO_SUBSETTER = (
    "HarfBuzz's subsetter is not installed on this system: fonts are cut down more slowly."
)
PRINT_DPI = 300  # pixels to the inch beyond which pictures are thinned out

Finisher = Callable[[Any, Any], None]


class CannotPress(Exception):
    """The pages cannot be set on this computer; str() says why and what to do."""


@dataclass(frozen=True)
class Later:
    """A drawing, or a picture (bytes, media type), that is made when the pages need it.

    width, height: mm; 0 where its element states the size at which it is shown.
    """

    make: Callable[[], object]
    width: float = 0.0
    height: float = 0.0


@dataclass(frozen=True)
class Apart:
    """Pages that a finisher puts in the place of one that was laid out.

    name: of an anchor on that one. pages: how many there will be. page: the kind of page
    (`page` in CSS) that it is; after: that of all pages behind it. places: on which of them each
    anchor will be, counted from 0; see `folios`.
    """

    name: str
    pages: int
    page: str
    after: str = ""
    places: Mapping[str, int] = field(default_factory=dict)


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
    new page. apart: pages that are put in the place of one. sides: what stands in the style of
    right and of left pages, where they are bound.
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
    apart: Apart | None = None
    sides: tuple[str, str] | None = None


@dataclass(frozen=True)
class Printed:
    """A PDF, its number of pages, and what the renderer had to say (level, words).

    lacking: what this computer lacks, each as a sentence; the PDF is made all the same.
    """

    data: bytes
    pages: int
    remarks: tuple[tuple[int, str], ...]
    lacking: tuple[str, ...] = ()


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
