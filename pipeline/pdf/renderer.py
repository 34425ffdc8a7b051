"""From markup to PDF: the only module that knows WeasyPrint.

Nothing is fetched from a network. Text faces come from installed packages, pictures from the
chart's folder or from memory.
"""

from __future__ import annotations

import gc
import io
import logging
import re
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, redirect_stdout, suppress
from functools import cached_property, lru_cache
from hashlib import md5
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element, ParseError, fromstring

import font_source_sans_pro
import font_source_serif_pro
from PIL import Image

from ..chart.plotted import PX_PER_MM
from ..core.output import why
from .document import (
    PRINT_DPI,
    CannotPress,
    Finisher,
    Later,
    MissingLibraries,
    Printed,
    Refused,
    Sheet,
)
from .libraries import by_exact_name, remember_pages, without_font_tools
from .shortkey import Labels
from .stylesheets import stylesheet

# Should this fail, the imports below look for the libraries everywhere, and say what is missing.
with suppress(OSError), by_exact_name(), without_font_tools(), redirect_stdout(io.StringIO()):
    import weasyprint.text.ffi  # noqa: F401

try:
    import pydyf
    from cssselect2 import ElementWrapper
    from weasyprint import CSS, DEFAULT_OPTIONS, HTML
    from weasyprint.css.counters import CounterStyle
    from weasyprint.images import RasterImage
    from weasyprint.logger import LOGGER, PROGRESS_LOGGER
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    from .kept import FIRST, Kept
    from .written import Pen, Written

    remember_pages(pydyf.PDF)
    _MISSING: str | None = None
except OSError as reason:  # a system library could not be loaded
    _MISSING = str(reason)
    URLFetcher = HTML = object

__all__ = [
    "CannotPress",
    "MissingLibraries",
    "Printed",
    "Refused",
    "Sheet",
    "press",
]

FAMILY = "Leaf "  # how the style sheet names the shipped faces
MOST_LETTERS = 20  # named in a remark

_FACES = {
    "SourceSans": Path(font_source_sans_pro.font_directory),
    "SourceSerif": Path(font_source_serif_pro.font_directory),
}
_FACE_FILE = re.compile(r"(SourceSans|SourceSerif)Pro-[A-Za-z]+\.ttf")


class _Shelf(URLFetcher):  # type: ignore[misc]
    """Hands out what belongs to the booklet and refuses everything else."""

    def __init__(self, sheet: Sheet) -> None:
        super().__init__(allowed_protocols=(), fail_on_errors=False)
        self._sheet = sheet

    def fetch(self, url: str, headers: object = None) -> Any:  # noqa: ARG002
        if url in self._sheet.files:
            data, kind = self._sheet.files[url]
            return URLFetcherResponse(url, data, {"Content-Type": kind})
        scheme, _, rest = url.partition(":")
        if scheme == "face" and _FACE_FILE.fullmatch(rest):
            face = _FACES[rest.partition("Pro-")[0]] / rest
            return URLFetcherResponse(url, face.read_bytes(), {"Content-Type": "font/ttf"})
        raise Refused(f"{url[:80]} lies outside the chart's folder.")


def press(
    sheet: Sheet,
    progress: Callable[[int], None] | None = None,
    finisher: Finisher | None = None,
    kept: Kept | None = None,
) -> Printed:
    """Set the pages and return the PDF.

    progress: called with the number of each page as it is laid out. finisher: called with
    WeasyPrint's document and pydyf's PDF before the file is written. kept: pages laid out before,
    which are used again; the PDF is the same without.

    Raises:
        CannotPress: when Pango and the like are not installed, or when there is no room for the
            files that setting the pages needs for a while.
    """
    if _MISSING is not None:
        raise MissingLibraries
    try:
        return _pressed(sheet, progress, finisher, kept)
    except OSError as reason:
        place = tempfile.tempdir or "the folder for temporary files"
        raise CannotPress(
            f"The pages cannot be set: working files go to {place} (TMPDIR names another), "
            f"but {why(reason)}"
        ) from reason


def _pressed(
    sheet: Sheet,
    progress: Callable[[int], None] | None,
    finisher: Finisher | None,
    kept: Kept | None,
) -> Printed:
    with _remarks() as remarks, _uncollected():
        document = _laid_out(sheet, progress, kept, remarks)
        sheet.variant.prepare(document)

        def finish(document: Any, pdf: Any) -> None:
            _name_links(document)
            if finisher is not None:
                finisher(document, pdf)
            _label_pages(pdf, len(document.pages), sheet.labels)
            sheet.variant.finish(pdf)

        data = document.write_pdf(finisher=finish, dpi=PRINT_DPI, **sheet.variant.settings)
        remarks.extend(_foreign(document))
    return Printed(data, len(document.pages), tuple(dict.fromkeys(remarks)))


def _laid_out(
    sheet: Sheet,
    progress: Callable[[int], None] | None,
    kept: Kept | None,
    remarks: list[tuple[int, str]],
) -> Any:
    """Return WeasyPrint's document with all pages."""
    shelf = _Shelf(sheet)
    faces, base = ready(sheet.base)
    style = CSS(string=sheet.css, url_fetcher=shelf, font_config=faces)

    def render(markup: Any, before: int, images: dict[str, Any]) -> Any:
        first = [CSS(string=FIRST.format(before + 1))] if before else []
        with _counted(progress, before):
            return markup.render(
                font_config=faces,
                stylesheets=[base, style, *first],
                cache=images,
                dpi=PRINT_DPI,
                **sheet.variant.settings,
            )

    # Crop marks are drawn once more each time that WeasyPrint draws a page.
    marked = sheet.variant.purpose.printed
    root = None if kept is None or marked else _root(sheet.html)
    if kept is None or root is None:
        return render(_opened(sheet.html, shelf), 0, _images(sheet))
    return kept.lay_out(
        root,
        sheet.opening,
        sheet.folder,
        _images(sheet),
        (sheet.base, sheet.css, sheet.variant.settings),
        remarks,
        lambda part, before, images: render(_Markup(part, shelf), before, images),
    )


@lru_cache(maxsize=2)
def ready(base: str) -> tuple[Any, Any]:
    """Return text faces and a style sheet, made ready for all sheets that begin with it."""
    faces = FontConfiguration()
    shelf = _Shelf(Sheet("", "", Path()))
    return faces, CSS(string=base, url_fetcher=shelf, font_config=faces)


@lru_cache(maxsize=1)
def elements() -> tuple[Any, Any]:
    """Return the style sheet for elements as such, and the counter styles that it defines."""
    counters = CounterStyle()
    return CSS(string=stylesheet("elements.css"), counter_style=counters), counters


class _Page(HTML):  # type: ignore[misc]
    """Markup of ours, and so with fewer elements than all of HTML has."""

    def _ua_stylesheets(self, forms: bool = False) -> list[Any]:  # noqa: ARG002
        return [elements()[0]]

    def _ua_counter_style(self) -> list[Any]:
        return [elements()[1].copy()]


class _Markup(_Page):
    """Markup that is well-formed XML, read by expat: in a twentieth of the time."""

    def __init__(self, root: Element, shelf: _Shelf) -> None:
        self.base_url = None
        self.url_fetcher = shelf
        self.media_type = "print"
        self.wrapper_element = ElementWrapper.from_html_root(root, content_language=None)
        self.etree_element = self.wrapper_element.etree_element


def _opened(markup: str, shelf: _Shelf) -> Any:
    root = _root(markup)
    return _Page(string=markup, url_fetcher=shelf) if root is None else _Markup(root, shelf)


def _root(markup: str) -> Element | None:
    """Return markup that is well-formed XML; None for any other."""
    try:
        root = fromstring(markup)
    except ParseError:  # such as a control character, which XML has no room for
        return None
    return root if root.tag == "html" else None


class _Later:
    """An image that is made when it is drawn."""

    def __init__(self, address: str, later: Later, pen: Pen) -> None:
        self._address = address
        self._later = later
        self._pen = pen

    @cached_property
    def _made(self) -> Any:
        made = self._later.make()
        if isinstance(made, tuple):
            data, _ = made
            name = md5(self._address.encode(), usedforsecurity=False).hexdigest()
            options = {**DEFAULT_OPTIONS, "dpi": PRINT_DPI}
            return RasterImage(Image.open(io.BytesIO(data)), name, data, options=options)
        image = _image(made, self._pen)
        if self._later.width and not _about(image.get_intrinsic_size(96, 16), self._size):
            raise ValueError(f"{self._address} is not as large as was said")
        return image

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
    pen = Pen()
    images: dict[str, object] = {
        address: _image(each, pen) for address, each in sheet.drawings.items()
    }
    images.update((address, _Later(address, each, pen)) for address, each in sheet.later.items())
    return images


def _image(drawing: object, pen: Pen) -> Any:
    return Written(drawing, pen) if isinstance(drawing, Labels) else drawing


def _foreign(document: Any) -> Iterator[tuple[int, str]]:
    """Tell of letters that no face of the booklet has; another computer may not have them."""
    for font in document.fonts.values():
        family = str(font.family)
        if not family.startswith(FAMILY):
            letters = "".join(sorted(set("".join(font.to_unicode.values()))))[:MOST_LETTERS]
            yield (
                logging.WARNING,
                f"The faces of the booklet lack {letters}: set in {family}, which another "
                "computer may not have.",
            )


def _name_links(document: Any) -> None:
    """Let a link be announced by its title, not by the name of its anchor."""
    for page in document.pages:
        for _, _, _, box in page.links:
            title = box.element.get("title") if box.element is not None else None
            if title and box.link_annotation:
                box.link_annotation["Contents"] = pydyf.String(title)


def _label_pages(pdf: Any, pages: int, labels: Mapping[int, str]) -> None:
    """Write the page labels (ISO 32000-1, 12.4.2): numbers, but for the pages named otherwise."""
    numbers = pydyf.Array()
    plain = False
    for page in range(pages):
        if page in labels:
            numbers.extend([page, pydyf.Dictionary({"P": pydyf.String(labels[page])})])
            plain = False
        elif not plain:
            numbers.extend([page, pydyf.Dictionary({"S": "/D", "St": page + 1})])
            plain = True
    pdf.catalog["PageLabels"] = pydyf.Dictionary({"Nums": numbers})


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
    handlers, LOGGER.handlers = LOGGER.handlers, [listener]
    propagate, LOGGER.propagate = LOGGER.propagate, False
    try:
        yield said
    finally:
        LOGGER.handlers, LOGGER.propagate = handlers, propagate


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
    level = PROGRESS_LOGGER.level
    PROGRESS_LOGGER.addHandler(listener)
    PROGRESS_LOGGER.setLevel(logging.INFO)
    try:
        yield
    finally:
        PROGRESS_LOGGER.removeHandler(listener)
        PROGRESS_LOGGER.setLevel(level)
