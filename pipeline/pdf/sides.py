"""Pages that mirror each other where a booklet is bound: a style for right and for left ones.

Which side a page lies on follows from its number: odd ones lie right (in languages that are read
from the left). The renderer counts the pages that it lays out; a run that begins later, and what
comes after a page that stands for several (see `document.Apart`), may lie on the other side than
it thinks.

`:left` and `:right`: CSS Paged Media Module Level 3 (W3C draft of 2023), 5.4.
"""

from __future__ import annotations

from .document import Sheet


def mirrored(sheet: Sheet, before: int, *, whole: bool) -> str:
    """Return the style of both sides, empty for loose pages.

    before: pages before the first that is laid out. whole: all pages are laid out at once.
    """
    if sheet.sides is None:
        return ""
    style = _rules(sheet, "", odd=before % 2 == 1)
    if whole and sheet.apart is not None:
        style += _rules(sheet, sheet.apart.after, odd=sheet.apart.pages % 2 == 0)
    return style


def _rules(sheet: Sheet, page: str, *, odd: bool) -> str:
    """Return rules for a kind of page; odd: an odd number of pages is not counted."""
    assert sheet.sides is not None
    right, left = sheet.sides if not odd else sheet.sides[::-1]
    return f"@page {page}:right {{ {right} }}\n@page {page}:left {{ {left} }}\n"
