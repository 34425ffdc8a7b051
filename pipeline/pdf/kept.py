"""Pages that are laid out once, for a process that sets the same booklet again and again.

A booklet falls into runs of pages that begin a new page whatever went before: a chapter, a chart
page. WeasyPrint joins the pages of several documents into one PDF, and works out links, outline
and structure when it writes them; so a run can be laid out as a document of its own, and is needed
again as long as it reads the same and begins on the same page.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import unquote
from xml.etree.ElementTree import Element, SubElement, tostring

import pydyf

from .painted import Painted, Shown

FOLDER = "folder:"  # what the addresses of pictures in the chart's folder begin with
# The number of the first page of a run.
FIRST = "@page :first {{ counter-reset: page {} }}"

Remark = tuple[int, str]
# Lays out the markup of a run that begins after so many pages, with these images at hand.
Render = Callable[[Element, int, dict[str, Any]], Any]


class _Encoded:
    """The form of a picture in a PDF, made once for each way in which it is shown."""

    def __init__(self, picture: Any) -> None:
        self._picture = picture
        self._data = picture.image_data.data
        self._make = picture.get_x_object
        self._made: dict[tuple[bool, float], Any] = {}

    def __call__(self, interpolate: bool, ratio: float) -> Any:
        way = interpolate, ratio
        if way not in self._made:
            # The last time may have left it with fewer pixels.
            self._picture.image_data = self._picture.cache_image_data(self._data)
            self._made[way] = _again(self._make(interpolate, ratio))
        # Each PDF numbers its objects, so each gets its own.
        return _again(self._made[way])


def _again(stream: Any) -> Any:
    """Return a stream of the same content."""
    extra = pydyf.Dictionary(stream.extra)
    if "SMask" in extra:
        extra["SMask"] = _again(extra["SMask"])
    held = [each.data if isinstance(each, pydyf.Object) else each for each in stream.stream]
    return pydyf.Stream(held, extra, stream.compress)


@dataclass(frozen=True, eq=False)
class _Run:
    """WeasyPrint's document of a run, and what was said while it was laid out."""

    document: Any
    said: tuple[Remark, ...]


_Runs = dict[tuple[object, ...], _Run]


class Kept:
    """What is kept from one setting to the next.

    No more than the last one used, and what one that was broken off since then got done.
    """

    def __init__(self) -> None:
        self._frame: object = None
        self._runs: _Runs = {}
        self._begun: _Runs = {}
        self._shown: dict[str, Shown] = {}
        self._pictures: dict[tuple[str, object], Any] = {}

    def lay_out(
        self,
        root: Element,
        opening: str,
        folder: Path,
        images: Mapping[str, Any],
        frame: object,
        said: list[Remark],
        render: Render,
    ) -> Any:
        """Return WeasyPrint's document of the whole markup.

        opening: the class (a regular expression) of elements in the body that always begin a
        page. images: by address; they may be others each time on the same pages. frame: all else
        that the layout depends on. said: what the renderer warns of comes in here, and what it
        warned of when kept pages were laid out.
        """
        head = root.find("head")
        whole = frame, str(folder), root.attrib, b"" if head is None else tostring(head)
        if whole != self._frame:
            self._frame, self._runs, self._begun = whole, {}, {}
        for address, image in images.items():
            self._shown.setdefault(address, Shown()).image = image
        known_runs = {**self._runs, **self._begun}
        used: _Runs = {}
        self._begun = used
        pages: list[Any] = []
        pictures: dict[tuple[str, object], Any] = {}
        for part in _parts(root, opening):
            stamps = _stamps(part, folder)
            key = (
                tostring(part),
                len(pages),
                tuple(stamps.items()),
                tuple(
                    (address, images[address].get_intrinsic_size(96, 16))
                    for address in _sources(part)
                    if address in images
                ),
            )
            run = known_runs.get(key)
            if run is None:
                known = {
                    address: self._pictures[address, stamp]
                    for address, stamp in stamps.items()
                    if (address, stamp) in self._pictures
                }
                at_hand = {**{address: self._shown[address] for address in images}, **known}
                before = len(said)
                run = _Run(render(part, len(pages), at_hand), tuple(said[before:]))
                for page in run.document.pages:
                    page.paint = Painted(page)
                for address, stamp in stamps.items():
                    picture = at_hand.get(address)
                    if picture is not None and address not in known:
                        picture.get_x_object = _Encoded(picture)
                        self._pictures[address, stamp] = picture
            else:
                said.extend(run.said)
            used[key] = run
            pages.extend(run.document.pages)
            pictures.update(
                (each, self._pictures[each]) for each in stamps.items() if each in self._pictures
            )
        self._runs, self._begun, self._pictures = used, {}, pictures
        self._shown = {address: self._shown[address] for address in images}
        return next(iter(used.values())).document.copy(pages)


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
    return dict.fromkeys(found for each in part.iter() if (found := each.get("src")))


def _stamps(part: Element, folder: Path) -> dict[str, object]:
    """Return the state of the folder's pictures that a run shows."""
    found: dict[str, object] = {}
    for address in _sources(part):
        if address.startswith(FOLDER):
            try:
                now = (folder / unquote(address.removeprefix(FOLDER))).stat()
            except (OSError, ValueError):
                found[address] = object()  # unlike any other, so that it is looked for again
            else:
                found[address] = now.st_ino, now.st_size, now.st_mtime_ns, now.st_ctime_ns
    return found
