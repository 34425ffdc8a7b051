"""From markup to PDF: the only module that knows WeasyPrint.

Nothing is fetched from a network. Text faces come from installed packages, pictures from the
chart's folder or from memory. What WeasyPrint does not document but is needed stands in `adapter`.
"""

from __future__ import annotations

import gc
import io
import logging
import os
import re
import tempfile
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stdout
from functools import cached_property
from html import unescape
from pathlib import Path
from typing import Any, Self
from xml.etree.ElementTree import Element, ParseError, fromstring

import font_source_sans_pro
import font_source_serif_pro

from ..chart.plotted import PX_PER_MM
from ..core.output import why, working_folder
from ..core.system import PAGES, MissingLibrary
from .adapter import has_subsetter
from .document import (
    NO_PANGO,
    NO_SUBSETTER,
    CannotPress,
    Finisher,
    Later,
    Printed,
    Refused,
    Sheet,
)
from .folios import counting
from .kept import FIRST, Kept
from .pixels import Pixels
from .remarks import foreign, in_plain_words
from .sides import mirrored
from .typecase import name_fonts, unlike
from .variants import label_pages, name_links

_MISSING = False
# What WeasyPrint prints where a library is missing is told in our own words.
with redirect_stdout(io.StringIO()), warnings.catch_warnings():
    warnings.simplefilter("ignore")
    try:
        from weasyprint import CSS, HTML
        from weasyprint.text.fonts import FontConfiguration
        from weasyprint.urls import URLFetcher, URLFetcherResponse
    except OSError:  # a system library could not be loaded
        _MISSING = True
        URLFetcher = object

__all__ = [
    "CannotPress",
    "Printed",
    "Refused",
    "Renderer",
    "Sheet",
    "press",
]

FAMILY = "Leaf "  # how the style sheet names the shipped faces

_FACES = {
    "SourceSans": Path(font_source_sans_pro.font_directory),
    "SourceSerif": Path(font_source_serif_pro.font_directory),
}
_FACE_FILE = re.compile(r"(SourceSans|SourceSerif)Pro-[A-Za-z]+\.ttf")
_TITLED = re.compile(r'<a [^<>]*?href="([^"]*)" title="([^"]*)"')


class _Shelf(URLFetcher):  # type: ignore[misc]
    """Hands out the text faces and refuses everything else."""

    def __init__(self) -> None:
        super().__init__(allowed_protocols=(), fail_on_errors=False)

    def fetch(self, url: str, headers: object = None) -> Any:  # noqa: ARG002
        scheme, _, rest = url.partition(":")
        if scheme == "face" and _FACE_FILE.fullmatch(rest):
            face = _FACES[rest.partition("Pro-")[0]] / rest
            return URLFetcherResponse(url, face.read_bytes(), {"Content-Type": "font/ttf"})
        raise Refused(f"{url[:80]} lies outside the chart's folder.")


class Renderer:
    """Sets pages, in a context: the text faces lie in a folder of working files for as long."""

    def __init__(self) -> None:
        self._faces: tuple[str, Any, Any] | None = None
        self._place: tempfile.TemporaryDirectory[str] | None = None

    def __enter__(self) -> Self:
        """Make the folder.

        Raises:
            MissingLibrary: when Pango and the like are not installed.
            CannotPress: when there is no room.
        """
        if _MISSING:
            raise MissingLibrary(NO_PANGO, PAGES)
        with _in_words():
            self._place = working_folder()
        return self

    def __exit__(self, *_: object) -> None:
        """Take the folder away."""
        if self._place is not None:
            self._place.cleanup()

    def ready(self, base: str) -> tuple[Any, Any]:
        """Return text faces and a style sheet, made ready for all sheets that begin with it."""
        if self._faces is None or self._faces[0] != base:
            faces = FontConfiguration()
            shelf = _Shelf()
            with self._working():
                sheet = CSS(string=base, url_fetcher=shelf, font_config=faces)
            self._faces = base, faces, sheet
        return self._faces[1:]

    def press(
        self,
        sheet: Sheet,
        progress: Callable[[int], None] | None = None,
        finisher: Finisher | None = None,
        kept: Kept | None = None,
    ) -> Printed:
        """Set the pages and return the PDF.

        progress: called with the number of each page as it is laid out. finisher: called with
        WeasyPrint's document and pydyf's PDF before the file is written. kept: pages laid out
        before, which are used again; the PDF is the same without.

        Raises:
            CannotPress: when there is no room for the files that setting the pages needs.
        """
        with self._working(), _in_words(), _remarks() as remarks, _uncollected(), _undated():
            document = self._laid_out(sheet, progress, kept, remarks)
            sheet.variant.prepare(document)
            titles = {unescape(to): unescape(title) for to, title in _TITLED.findall(sheet.html)}
            strange: list[tuple[str, str]] = []

            def finish(document: Any, pdf: Any) -> None:
                strange.extend(unlike(pdf, FAMILY))
                name_links(pdf, titles)
                if finisher is not None:
                    finisher(document, pdf)
                pages.append(pdf.pages["Count"])
                name_fonts(pdf)
                label_pages(pdf, sheet.labels)
                sheet.variant.finish(pdf)

            pages: list[int] = []
            data = document.write_pdf(finisher=finish, **sheet.variant.settings)
            remarks.extend(foreign(strange))
        said = tuple(dict.fromkeys(in_plain_words(remarks)))
        return Printed(data, pages[0], said, () if has_subsetter() else (NO_SUBSETTER,))

    @contextmanager
    def _working(self) -> Iterator[None]:
        """Let working files of this process go to the folder."""
        assert self._place is not None
        before, tempfile.tempdir = tempfile.tempdir, self._place.name
        try:
            yield
        finally:
            tempfile.tempdir = before

    def _laid_out(
        self,
        sheet: Sheet,
        progress: Callable[[int], None] | None,
        kept: Kept | None,
        remarks: list[tuple[int, str]],
    ) -> Any:
        """Return WeasyPrint's document with all pages."""
        shelf = _Shelf()
        faces, base = self.ready(sheet.base)
        style = CSS(string=sheet.css, url_fetcher=shelf, font_config=faces)

        # Crop marks are drawn once more each time that WeasyPrint draws a page.
        marked = sheet.variant.purpose.printed
        root = None if kept is None or marked else _root(sheet.html)

        def render(markup: str, before: int, images: dict[str, Any], folios: str) -> Any:
            first = [CSS(string=FIRST.format(before + 1))] if before else []
            if sides := mirrored(sheet, before, whole=root is None):
                first.append(CSS(string=sides))
            if folios:
                first.append(CSS(string=folios))
            with _counted(progress, before):
                return HTML(string=markup, url_fetcher=shelf).render(
                    font_config=faces,
                    stylesheets=[base, style, *first],
                    cache=images,
                    **sheet.variant.settings,
                )

        if kept is None or root is None:
            folios = "" if sheet.apart is None else counting(sheet.html, sheet.apart)
            return render(sheet.html, 0, _images(sheet), folios)
        return kept.lay_out(root, sheet, _images(sheet), remarks, render)


def press(
    sheet: Sheet,
    progress: Callable[[int], None] | None = None,
    finisher: Finisher | None = None,
) -> Printed:
    """Set the pages of one sheet and return the PDF; see `Renderer.press`."""
    with Renderer() as renderer:
        return renderer.press(sheet, progress, finisher)


@contextmanager
def _in_words() -> Iterator[None]:
    """Tell of a place for working files that refuses."""
    try:
        yield
    except OSError as reason:
        place = tempfile.tempdir or "the folder for temporary files"
        raise CannotPress(
            f"The pages cannot be set: working files go to {place} (TMPDIR names another), "
            f"but {why(reason)}"
        ) from reason


def _root(markup: str) -> Element | None:
    """Return markup that is well-formed XML; None for any other."""
    try:
        root = fromstring(markup)
    except ParseError:  # such as a control character, which XML has no room for
        return None
    return root if root.tag == "html" else None


class _Later:
    """An image that is made when it is drawn."""

    def __init__(self, address: str, later: Later) -> None:
        self._address = address
        self._later = later

    @cached_property
    def _made(self) -> Any:
        made = self._later.make()
        if isinstance(made, tuple):  # a picture is shown at any size
            return Pixels(*made)
        drawn: Any = made
        if self._later.width and not _about(drawn.get_intrinsic_size(96, 16), self._size):
            raise ValueError(f"{self._address} is not as large as was said")
        return drawn

    @property
    def _size(self) -> tuple[float, float, float]:
        width, height = self._later.width or 1.0, self._later.height or 1.0
        return width * PX_PER_MM, height * PX_PER_MM, width / height

    def get_intrinsic_size(
        self, _resolution: float, _font_size: float
    ) -> tuple[float, float, float]:
        return self._size

    def draw(self, stream: Any, width: float, height: float, style: Any) -> None:
        self._made.draw(stream, width, height, style)


def _about(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return all(abs(a - b) < 1e-6 * max(1.0, a) for a, b in zip(one, other, strict=True))


def _images(sheet: Sheet) -> dict[str, object]:
    """Return drawings as WeasyPrint keeps its images."""
    later = {address: _Later(address, each) for address, each in sheet.later.items()}
    pictures = {address: Pixels(*each) for address, each in sheet.files.items()}
    return {**sheet.drawings, **pictures, **later}


class _Listener(logging.Handler):
    def __init__(self, hear: Callable[[logging.LogRecord], None], level: int) -> None:
        super().__init__(level)
        self._hear = hear

    def emit(self, record: logging.LogRecord) -> None:
        self._hear(record)


@contextmanager
def _remarks() -> Iterator[list[tuple[int, str]]]:
    """Collect what the renderer warns of, and keep it from the terminal."""
    said: list[tuple[int, str]] = []
    listener = _Listener(
        lambda record: said.append((record.levelno, record.getMessage())), logging.WARNING
    )
    logger = logging.getLogger("weasyprint")
    handlers, propagate = tuple(logger.handlers), logger.propagate
    for handler in handlers:
        logger.removeHandler(handler)
    logger.addHandler(listener)
    logger.propagate = False
    try:
        yield said
    finally:
        logger.removeHandler(listener)
        logger.propagate = propagate
        for handler in handlers:
            logger.addHandler(handler)


@contextmanager
def _uncollected() -> Iterator[None]:
    """Hold the search for circular garbage: a layout is a million living objects.

    It would be walked again and again for nothing, a tenth of the time.
    """
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


EPOCH = "SOURCE_DATE_EPOCH"


@contextmanager
def _undated() -> Iterator[None]:
    """Let no font bear the time of day; fontTools, which may have to cut them down, asks for it."""
    before = os.environ.get(EPOCH)
    if before is None:
        os.environ[EPOCH] = "0"
    try:
        yield
    finally:
        if before is None:
            del os.environ[EPOCH]


_LAYOUT = re.compile(r"Step 5 - Creating layout - Page (\d+)")


@contextmanager
def _counted(progress: Callable[[int], None] | None, before: int) -> Iterator[None]:
    """Pass on the number of each page that the renderer lays out, after so many before."""
    if progress is None:
        yield
        return

    def hear(record: logging.LogRecord) -> None:
        if match := _LAYOUT.match(record.getMessage()):
            progress(before + int(match[1]))

    listener = _Listener(hear, logging.INFO)
    logger = logging.getLogger("weasyprint.progress")
    level = logger.level
    logger.addHandler(listener)
    logger.setLevel(logging.INFO)
    try:
        yield
    finally:
        logger.removeHandler(listener)
        logger.setLevel(level)
