"""Pages of a PDF as PDFium reads them: each letter with its place, its face and its mark.

In the keys that pdfplumber uses, whose words and lines are made of them: it reads the same in
Python, which takes twenty times as long.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import pypdfium2
import pypdfium2.raw as pdfium
from pdfplumber.utils import extract_text, extract_words

Letter = dict[str, Any]
HYPHEN = 2  # what PDFium calls one at the end of a line


@dataclass(frozen=True, eq=False)
class Page:
    """A page. width, height: in points. page_number: from 1."""

    page: pypdfium2.PdfPage
    page_number: int

    @property
    def width(self) -> float:
        """In points."""
        return float(self.page.get_width())

    @property
    def height(self) -> float:
        """In points."""
        return float(self.page.get_height())

    @cached_property
    def chars(self) -> list[Letter]:
        """All letters, in the order of the content."""
        return list(self._letters())

    def extract_text(self) -> str:
        """The text, line by line as it lies on the page."""
        return str(extract_text(self.chars))

    def extract_words(self) -> list[Letter]:
        """All words with their places."""
        return list(extract_words(self.chars))

    def words(self) -> list[Letter]:
        """The words with their places, without symbols and figures of the chart."""
        plain = (each for each in self.chars if "Symbols" not in each["fontname"])
        return list(extract_words(list(plain)))

    def rules(self) -> list[tuple[float, float]]:
        """From where to where all that is drawn with lines reaches across the page."""
        paths = self.page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH])
        return [(left, right) for left, _, right, _ in (each.get_bounds() for each in paths)]

    def _letters(self) -> Iterable[Letter]:
        text, height = self.page.get_textpage(), self.height
        box, matrix = pdfium.FS_RECTF(), pdfium.FS_MATRIX()
        known = dict(self._texts())
        for at in range(text.count_chars()):
            if pdfium.FPDFText_IsGenerated(text, at) == 1:
                continue
            pdfium.FPDFText_GetLooseCharBox(text, at, box)
            pdfium.FPDFText_GetMatrix(text, at, matrix)
            upright = matrix.b == 0 and matrix.c == 0
            size = pdfium.FPDFText_GetFontSize(text, at) * (matrix.c**2 + matrix.d**2) ** 0.5
            bottom = height - box.bottom
            top = bottom - size if upright else height - box.top
            letter = pdfium.FPDFText_GetUnicode(text, at)
            yield {
                "text": "-" if letter == HYPHEN else chr(letter),
                "x0": box.left,
                "x1": box.right,
                "top": top,
                "bottom": bottom,
                "doctop": top,
                "upright": upright,
                "size": size,
                **known[_address(pdfium.FPDFText_GetTextObject(text, at))],
            }

    def _texts(self) -> Iterator[tuple[int, dict[str, Any]]]:
        """What all letters of a text have in common, by its address."""
        parts = [
            (pdfium.FPDFPage_GetObject(self.page, at), (None, None))
            for at in range(pdfium.FPDFPage_CountObjects(self.page))
        ]
        while parts:
            part, around = parts.pop()
            mark = _mark(part) or around
            kind = pdfium.FPDFPageObj_GetType(part)
            if kind == pdfium.FPDF_PAGEOBJ_FORM:
                within = range(pdfium.FPDFFormObj_CountObjects(part))
                parts += [(pdfium.FPDFFormObj_GetObject(part, at), mark) for at in within]
            elif kind == pdfium.FPDF_PAGEOBJ_TEXT:
                tag, number = mark
                yield _address(part), {"fontname": _face(part), "tag": tag, "mcid": number}


def _address(part: Any) -> int:
    return ctypes.addressof(part.contents)


def _face(part: Any) -> str:
    room = ctypes.create_string_buffer(200)
    pdfium.FPDFFont_GetBaseFontName(pdfium.FPDFTextObj_GetFont(part), room, len(room))
    return room.value.decode()


def _mark(part: Any) -> tuple[str, int | None] | None:
    """The tag, such as `Artifact`, and the number of the innermost marked content around a part."""
    marks = pdfium.FPDFPageObj_CountMarks(part)
    if marks < 1:
        return None
    room, length = (pdfium.FPDF_WCHAR * 100)(), ctypes.c_ulong()
    mark = pdfium.FPDFPageObj_GetMark(part, marks - 1)
    pdfium.FPDFPageObjMark_GetName(mark, room, ctypes.sizeof(room), length)
    number = pdfium.FPDFPageObj_GetMarkedContentID(part)
    tag = bytes(room)[: length.value].decode("utf-16-le").rstrip("\0")
    return tag, None if number < 0 else int(number)


def pages_of(data: bytes) -> list[Page]:
    """The pages of a PDF."""
    document = pypdfium2.PdfDocument(data)
    return [Page(document[at], at + 1) for at in range(len(document))]


QUARTER = 0.25  # no page is less full, but for the last of a part that no other can join


def lines(page: Page) -> list[list[Letter]]:
    """The lines of words of a page, downwards: their letters, without the running foot."""
    rows: dict[int, list[Letter]] = {}
    for letter in page.chars:
        if letter["upright"] and "Symbols" not in letter["fontname"] and letter["text"].strip():
            rows.setdefault(round(letter["bottom"]), []).append(letter)
    return [rows[each] for each in sorted(rows)][:-1]


def fill(page: Page) -> float:
    """The share of a page, from what stands first to the running foot, that is taken."""
    kinds = [pdfium.FPDF_PAGEOBJ_FORM, pdfium.FPDF_PAGEOBJ_IMAGE]
    boxes = [each.get_bounds() for each in page.page.get_objects(kinds, 1)]
    foot = max(each["bottom"] for each in page.chars if each["upright"])
    tops = [row[0]["top"] for row in lines(page)] + [page.height - each[3] for each in boxes]
    ends = [row[0]["bottom"] for row in lines(page)] + [page.height - each[1] for each in boxes]
    lowest = max(each for each in ends if each < foot)
    return float((lowest - min(tops)) / (foot - min(tops)))
