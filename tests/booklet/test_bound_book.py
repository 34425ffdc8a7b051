"""A bound booklet: pages that mirror each other, contents, back cover, the chart a second time.

Read by PDFium. That odd pages lie right is common practice, no single source.
"""

from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from linenleaf.booklet.bindery import not_in_fours
from linenleaf.booklet.book import bind
from linenleaf.booklet.layout import setting, widest_gutter
from linenleaf.chart.options import Options, Paper
from linenleaf.pdf.folding import sides

from tests.booklets import bound

POINT = 72 / 25.4
GUTTER = 8.0
BAR_CODE = 37.29, 25.93  # mm; ISO/IEC 15420, EAN-13 at its nominal size, from memory


@pytest.fixture(scope="module")
def book(band, tmp_path_factory):
    worked = band().worked
    booklet = replace(
        worked.design.booklet,
        about="A band of reeds, and what flies over it.",
        level="For beginners",
        address=("The Boat House", "Wend"),
        errata="At the same address",
        gutter=GUTTER,
    )
    worked = replace(worked, design=replace(worked.design, booklet=booklet))
    path = tmp_path_factory.mktemp("bound") / "bound.pdf"
    return bound(worked, Options(Paper.HALF_LETTER, cell=4.0, with_symbols=True), path)


@pytest.fixture(scope="module")
def outline(book):
    """The page, from 1, that each entry of the outline leads to."""
    with pypdfium2.PdfDocument(book.data) as pdf:
        return {each.get_title(): each.get_dest().get_index() + 1 for each in pdf.get_toc()}


def test_margins_and_page_numbers_mirror_each_other(book):
    form = setting(Paper.HALF_LETTER, gutter=GUTTER)
    assert form.room[0] == setting(Paper.HALF_LETTER).room[0]  # the gutter comes out of the edges
    for number, page in enumerate(book.pages[1:-1], 2):
        words = page.words()
        feet = [each for each in words if each["top"] > float(page.height) - 14 * POINT]
        folio = min(feet, key=lambda each: each["x0"] * (1 if number % 2 == 0 else -1))
        assert folio["text"] == str(number)
        left, right = min(e["x0"] for e in words), max(e["x1"] for e in words)
        inner, outer = left, float(page.width) - right
        if number % 2 == 0:
            inner, outer = outer, inner
        assert inner >= (GUTTER + 6.9) * POINT
        assert outer >= 6.9 * POINT
        at = folio["x0"] if number % 2 == 0 else float(page.width) - folio["x1"]
        assert at == pytest.approx(outer, abs=0.6)


def test_the_contents_name_the_pages_where_the_parts_are(book, outline):
    contents = next(each for each in book.pages if each.extract_text().startswith("Contents"))
    lines = [each.rsplit(" ", 1) for each in contents.extract_text().splitlines()]
    told = {words[0]: int(words[1]) for words in lines if words[-1].isdecimal()}
    parts = (
        "Materials",
        "Key",
        "How to stitch",
        "Notes",
        "Page map",
        "Charts",
        "Editions and rights",
    )
    for part in ("The story", *parts):
        assert told[part] == outline[part], part
    again = next(page for title, page in outline.items() if title.endswith("in symbols alone"))
    assert told["Charts in symbols alone"] == again


def test_a_short_booklet_has_no_contents(band):
    assert not any(each.extract_text().startswith("Contents") for each in band().pages)


def test_the_chart_stands_there_in_colour_and_again_in_symbols(book, outline):
    first = outline["Charts"]
    again = min(page for title, page in outline.items() if title.endswith("in symbols alone"))
    last = outline["Editions and rights"]
    assert again - first == last - again > 2
    with pypdfium2.PdfDocument(book.data) as pdf:
        coloured = [(np.ptp(pdf[at - 1].render().to_numpy(), axis=2) > 40).mean()
                    for at in range(first, last)]  # fmt: skip
    assert max(coloured[: again - first]) > 0.03
    assert max(coloured[again - first :]) < 0.005  # the small map is all that has colours
    keys = (book.pages[at - 1].extract_text().splitlines() for at in (first, again))
    own, other = ([line for line in each if "417 wrack" in line] for each in keys)
    assert own == other != []


def test_the_back_cover_says_what_it_is_and_leaves_room_for_a_bar_code(book, outline):
    back = book.pages[-1]
    assert outline["Back cover"] == len(book.pages)
    text = back.extract_text()
    for words in ("A band of reeds", "For beginners", "5 colours", "The Boat House", "At the same"):
        assert words in text
    with pypdfium2.PdfDocument(book.data) as pdf:
        picture = pdf[len(pdf) - 1].render(scale=1).to_numpy()
    wide, high = (round(each * POINT) for each in BAR_CODE)
    around = round(6 * POINT)
    assert (picture[-high - around : -around, -wide - around : -around] == 255).all()


def test_blank_pages_come_before_a_back_cover():
    at = [(each.left, each.right) for each in sides(5, backed=True)]
    assert at == [(4, 0), (1, None), (None, 2), (3, None)]
    [remark] = not_in_fours(None, 5, backed=True)
    assert "the last 3 pages before the back cover stay blank" in remark.hints[0].message
    assert not any(
        "before" in hint.message for hint in not_in_fours(None, 5, backed=False)[0].hints
    )


def test_a_gutter_wider_than_the_page_allows_is_a_finding(band):
    most = widest_gutter(Paper.HALF_LETTER)
    made, [fault] = bind(band().worked, Options(Paper.HALF_LETTER, gutter=most + 1))
    assert made is None
    assert fault.name == "wide-gutter"
    assert f"at most {most} mm" in fault.hints[0].message
