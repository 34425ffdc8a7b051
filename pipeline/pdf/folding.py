"""A booklet to print at home, fold and staple: its pages two by two on sheets of larger paper.

The pages are laid out as always. Each becomes a drawing of its own (a form, ISO 32000-1, 8.10) that
is placed on one half of a sheet, so that its text can still be searched and copied.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pydyf

from ..chart.options import Fold

THICK = 0.1  # mm, of office paper of 80 g/m2; common practice, no single source
_POINT = 72 / 25.4


@dataclass(frozen=True)
class SheetSide:
    """One side of a sheet: the pages on its left and right, counted from 0, None for a blank."""

    sheet: int
    outer: bool
    left: int | None
    right: int | None


def sides(pages: int, *, backed: bool = False) -> tuple[SheetSide, ...]:
    """Return both sides of each sheet in the order of printing, the outermost sheet first.

    The sheets lie in each other; what is missing to a multiple of four is blank at the end, or,
    where the last page is a back cover (backed), before that.
    """
    sheets = -(-pages // 4)
    last = 4 * sheets - 1

    def page(number: int) -> int | None:
        if backed:
            return pages - 1 if number == last else number if number < pages - 1 else None
        return number if number < pages else None

    sides_of_sheets = []
    for at in range(sheets):
        sides_of_sheets.append(SheetSide(at + 1, True, page(last - 2 * at), page(2 * at)))
        sides_of_sheets.append(SheetSide(at + 1, False, page(2 * at + 1), page(last - 2 * at - 1)))
    return tuple(sides_of_sheets)


def blanks(pages: int) -> int:
    """Return how many pages stay blank."""
    return -pages % 4


def creep(pages: int) -> float:
    """Return how far the innermost sheet stands out beyond the outermost, in mm.

    Each sheet lies around those within: half a turn around their thickness is longer than the way
    across by so much on each side.
    """
    sheets = -(-pages // 4)
    return (sheets - 1) * THICK


def impose(pdf: Any, fold: Fold, names: tuple[str, str], *, backed: bool = False) -> None:
    """Put the pages of a pydyf PDF on sheets, in place; links and outline led to pages and go.

    backed: whether the last of them is a back cover. names: of the outer and the inner side of a
    sheet, with `{}` for its number.
    """
    pages = [pdf.objects[number] for number in pdf.pages["Kids"][::3]]
    forms = [_form(pdf, page) for page in pages]
    pdf.pages["Kids"][:] = []
    pdf.pages["Count"] = 0
    middle = fold.width / 2 * _POINT
    labels = pydyf.Array()
    for number, side in enumerate(sides(len(pages), backed=backed)):
        content, placed = pydyf.Stream(compress=True), pydyf.Dictionary()
        for name, at in (("left", side.left), ("right", side.right)):
            if at is None:
                continue
            left = middle - forms[at].width if name == "left" else middle
            with_page = f"q 1 0 0 1 {left:.4f} 0 cm /{name} Do Q"
            content.stream.append(with_page.encode("ascii"))
            placed[name] = forms[at].reference
        pdf.add_object(content)
        pdf.add_page(
            pydyf.Dictionary(
                {
                    "Type": "/Page",
                    "Parent": pdf.pages.reference,
                    "MediaBox": pydyf.Array([0, 0, fold.width * _POINT, fold.height * _POINT]),
                    "Contents": content.reference,
                    "Resources": pydyf.Dictionary({"XObject": placed}),
                }
            )
        )
        words = names[0 if side.outer else 1].format(side.sheet)
        labels.extend([number, pydyf.Dictionary({"P": pydyf.String(words)})])
    for led_to_pages in ("Outlines", "Names", "Dests", "PageMode"):
        pdf.catalog.pop(led_to_pages, None)
    pdf.catalog["PageLabels"] = pydyf.Dictionary({"Nums": labels})
    pdf.catalog["ViewerPreferences"] = pydyf.Dictionary(
        {"DisplayDocTitle": "true", "Duplex": "/DuplexFlipShortEdge", "PrintScaling": "/None"}
    )


@dataclass(frozen=True)
class _Form:
    """A page as a drawing: its reference and its width in points."""

    reference: bytes
    width: float


def _form(pdf: Any, page: Any) -> _Form:
    stream = pdf.objects[int(page["Contents"].split()[0])]
    stream.extra.update(
        {
            "Type": "/XObject",
            "Subtype": "/Form",
            "BBox": page["MediaBox"],
            "Resources": page["Resources"],
        }
    )
    left, _, right, _ = page["MediaBox"]
    return _Form(stream.reference, right - left)
