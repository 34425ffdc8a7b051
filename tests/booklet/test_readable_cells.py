"""Every symbol of the demos can be read on its cell: contrast by an independent library.

coloraide's WCAG 2 contrast; at least 4.5 to 1 (WCAG 2.2, success criterion 1.4.3).
"""

from collections import Counter, defaultdict
from functools import cache
from itertools import islice
from pathlib import Path
from statistics import median

import numpy as np
import pypdfium2
import pytest
from coloraide import Color
from linenleaf.chart.ink import paint
from linenleaf.chart.looks import MARKS, point_styles
from linenleaf.chart.options import Ink, Options
from linenleaf.compose.copies import recolour
from linenleaf.core.key import Kind
from linenleaf.flow import follow

from tests.booklets import bound

READABLE = 4.5
EXAMPLES = Path(__file__).parents[2] / "examples"
DEMOS = sorted(path for path in EXAMPLES.glob("*/*.linen") if path.stem == path.parent.name)


@cache
def demo(path):
    worked = follow(path).worked
    assert worked is not None
    return worked


@cache
def contrast(one, other):
    return Color(one).contrast(other, method="wcag21")


def looks(worked):
    """The chart in its own threads and in each colourway."""
    return [worked, *(recolour(worked, each.name) for each in worked.design.colourways)]


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_every_symbol_of_every_demo_stands_out_from_its_cell(path):
    seen = 0
    for look in looks(demo(path)):
        for entry in look.design.key:
            if not entry.is_cell:
                continue
            for ink in Ink:
                for veiled in (False, True):
                    printed = paint(entry, ink, veiled)
                    grounds = {
                        each.fill or printed.fill or "#ffffff" for each in printed.regions[-1:]
                    }
                    for ground in grounds or {printed.fill or "#ffffff"}:
                        assert contrast(printed.symbol, ground) >= READABLE, (entry.symbol, ink)
                        seen += 1
    assert seen >= 6 * 5


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_the_marks_in_knots_and_beads_stand_out(path):
    """Non-text marks need 3 to 1 (WCAG 2.2, success criterion 1.4.11)."""
    for look in looks(demo(path)):
        for ink in Ink:
            for style in point_styles(look.design, ink).values():
                if style.mark != MARKS[0]:
                    ground = "#ffffff" if style.bead else style.colour
                    assert contrast(style.mark_colour, ground) >= 3


@pytest.mark.parametrize("name", ["first-wader", "flood-tide"])
@pytest.mark.parametrize("ink", [Ink.COLOUR, Ink.TINTS])
def test_what_is_printed_has_that_contrast(tmp_path, built_demo, name, ink):
    """Measured in the PDF: PDFium's pixels, at the places where it finds the symbols."""
    booklet = built_demo(name)
    worked = booklet.worked
    if ink is not Ink.COLOUR:
        booklet = bound(worked, Options(ink=ink), tmp_path / "a.pdf")
    charts = (each for each in booklet.pages if (each.extract_text() or "").startswith("Chart "))
    full = {
        each.symbol
        for each in worked.design.key
        if each.is_cell and each.parts[0].kind is Kind.FULL and len(each.parts) == 1
    }
    found = defaultdict(list)
    with pypdfium2.PdfDocument(booklet.path) as drawn:
        for page in islice(charts, 3):
            pixels = drawn[page.page_number - 1].render(scale=4).to_numpy()[:, :, 2::-1]
            for char in page.chars:
                symbol = char["text"]
                ours = "Symbols" in char["fontname"] and symbol in full and char["size"] > 8
                if ours and len(found[symbol]) < 40:
                    found[symbol].append(measured(pixels, char))
    assert len(found) >= min(5, len(full))
    for symbol, ratios in found.items():
        # Lines and note numbers cross a few cells; the middle one tells how the symbol is printed.
        assert median(ratios) >= 0.97 * READABLE, symbol


def measured(pixels, char):
    """The contrast of the commonest colour of a cell with that farthest from it."""
    left, right, bottom = (char[each] * 4 for each in ("x0", "x1", "bottom"))
    inset = 0.12 * (right - left)
    rows = slice(round(bottom - (right - left) + inset), round(bottom - inset))
    cell = pixels[rows, round(left + inset) : round(right - inset)]
    colours = Counter(map(tuple, cell.reshape(-1, 3).tolist()))
    ground = colours.most_common(1)[0][0]
    farthest = max(colours, key=lambda each: np.abs(np.subtract(each, ground)).sum())
    one, other = ("#" + bytes(each).hex() for each in (ground, farthest))
    return contrast(one, other)
