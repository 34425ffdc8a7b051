"""Pages that are laid out once, for a process that sets the same booklet again and again.

A booklet falls into runs of pages that begin a new page whatever went before: its chapters.
WeasyPrint joins the pages of several documents into one PDF, and works out links, outline and
structure when it writes them (`Document.copy`); so a run can be laid out as a document of its own,
and is needed again as long as it reads the same and begins on the same page.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from xml.etree.ElementTree import Element, SubElement, tostring

from .document import Sheet
from .folios import stating
from .pixels import Pixels

# The number of the first page of a run.
FIRST = "@page :first {{ counter-reset: page {} }}"

ROUNDS = 4  # of laying out, at the most, until numbers of pages that are told are true

RendererRemark = tuple[int, str]
# Lays out the markup of a run that begins after so many pages, with these images at hand and a
# style that states numbers of pages.
Render = Callable[[str, int, dict[str, Any], str], Any]


@dataclass(frozen=True, eq=False)
class _Run:
    """WeasyPrint's document of a run, and what was said while it was laid out."""

    document: Any
    said: tuple[RendererRemark, ...]


_Runs = dict[tuple[object, ...], _Run]


class _Changeable:
    """Stands on a page for an image that may be another one each time the page is written."""

    image: Any = None

    def show(self, image: Any) -> None:
        """Show an image from now on; the same picture keeps what was made of it."""
        same = isinstance(image, Pixels) and isinstance(self.image, Pixels)
        if not same or image.data != self.image.data:
            self.image = image

    def get_intrinsic_size(self, resolution: float, font_size: float) -> tuple[float, float, float]:
        size: tuple[float, float, float] = self.image.get_intrinsic_size(resolution, font_size)
        return size

    def draw(self, stream: Any, width: float, height: float, style: Any) -> None:
        self.image.draw(stream, width, height, style)


class Kept:
    """What is kept from one setting to the next.

    No more than the last one used, and what one that was broken off since then got done.
    """

    def __init__(self) -> None:
        self._frame: object = None
        self._runs: _Runs = {}
        self._begun: _Runs = {}
        self._shown: dict[str, _Changeable] = {}
        self._first = 0  # of the pages that are put in the place of one
        self._where: dict[str, int] = {}  # the pages of all anchors

    def lay_out(
        self,
        root: Element,
        sheet: Sheet,
        images: Mapping[str, Any],
        said: list[RendererRemark],
        render: Render,
    ) -> Any:
        """Return WeasyPrint's document of the whole markup.

        root: the markup of the sheet. images: by address; they may be others each time on the same
        pages. said: what the renderer warns of comes in here, and what it warned of when kept
        pages were laid out.
        """
        head = root.find("head")
        frame = (
            (sheet.base, sheet.css, sheet.sides, sheet.variant.settings, str(sheet.folder)),
            (root.attrib, b"" if head is None else tostring(head)),
        )
        if frame != self._frame:
            self._frame, self._runs, self._begun = frame, {}, {}
        for address, image in images.items():
            self._shown.setdefault(address, _Changeable()).show(image)
        parts = list(_parts(root, sheet.opening))
        for _ in range(ROUNDS):
            first, where = self._first, self._where
            runs = self._round(parts, sheet, images, said, render)
            if (self._first, self._where) == (first, where):
                break  # what was told of the numbers of pages is true
        self._runs, self._begun = self._begun, {}
        self._shown = {address: self._shown[address] for address in images}
        return runs[0].document.copy([page for run in runs for page in run.document.pages])

    def _round(
        self,
        parts: Sequence[Element],
        sheet: Sheet,
        images: Mapping[str, Any],
        said: list[RendererRemark],
        render: Render,
    ) -> list[_Run]:
        """Return the run of each part, laid out where it is not known."""
        known = {**self._runs, **self._begun}
        used: _Runs = {}
        self._begun = used
        apart, before = sheet.apart, 0
        where: dict[str, int] = {}
        for part in parts:
            markup = "<!DOCTYPE html>" + tostring(part, "unicode", "html")
            folios = "" if apart is None else stating(markup, apart, self._first, self._where)
            key = (
                markup,
                before,
                folios,
                tuple(
                    (address, images[address].get_intrinsic_size(96, 16))
                    for address in _sources(part)
                    if address in images
                ),
            )
            run = known.get(key)
            if run is None:
                heard = len(said)
                at_hand: dict[str, Any] = {address: self._shown[address] for address in images}
                run = _Run(render(markup, before, at_hand, folios), tuple(said[heard:]))
            else:
                said.extend(run.said)
            used[key] = run
            pages = run.document.pages
            for number, page in enumerate(pages, before + 1):
                # What goes on over several pages is found where it begins.
                where = {**dict.fromkeys(page.anchors, number), **where}
            if apart is not None:
                for number, page in enumerate(pages, before + 1):
                    if apart.name in page.anchors:
                        self._first = number
                        before += apart.pages - 1
            before += len(pages)
        self._where = where
        return list(used.values())


def _parts(root: Element, opening: str) -> Iterator[Element]:
    """Return the markup of each run, in the order of the pages."""
    body = root.find("body")
    groups: list[list[Element]] = [[]]
    for child in () if body is None else body:
        if groups[-1] and re.fullmatch(opening, child.get("class", "")):
            groups.append([])
        groups[-1].append(child)
    for group in groups:
        part = Element("html", root.attrib)
        part.extend(root.findall("head"))
        SubElement(part, "body", {} if body is None else body.attrib).extend(group)
        yield part


def _sources(part: Element) -> dict[str, None]:
    """Return the addresses of the images of a run."""
    return dict.fromkeys(address for each in part.iter() if (address := each.get("src")))
