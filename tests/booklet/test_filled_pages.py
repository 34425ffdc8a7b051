"""No page is left nearly bare, no heading stands without what it heads, no row of a table alone.

What is asked of the pages is read back with PDFium: where letters and drawings lie.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from linenleaf.chart.options import Ink, Options, Paper
from linenleaf.compose.compose import compose
from linenleaf.diff.compare import compare
from linenleaf.diff.errata import corrections
from linenleaf.resolve.read import read

from tests.booklets import bound
from tests.diff.pairs import worked
from tests.pages import QUARTER, fill, lines, pages_of

SHEETS = Path(__file__).parent.parent / "data" / "diff"
LEAST_ROWS = 3
MM = 72 / 25.4
THREADS = 22
FORMS = {
    "a4": Options(),
    "a5": Options(Paper.A5, Ink.TINTS),
    "large": Options(Paper.LETTER, large=True),
}


def heads(row):
    """Whether a line is a heading: it begins bold, an aside may follow, and has no figures."""
    first = min(row, key=lambda each: each["x0"])
    return "Semi" in first["fontname"] and not any(each["text"].isdigit() for each in row)


def text_pages(booklet):
    """The pages with words: all but the cover and those with charts."""
    return [page for page in booklet.pages[1:] if not page.extract_text().startswith("Chart ")]


@pytest.fixture(scope="module")
def threads(tmp_path_factory):
    """The booklet in large print of a chart whose tables are longer than a page."""
    folder = tmp_path_factory.mktemp("threads")
    marks = "abcdefghijklmnopqrstuvwxyz"[:THREADS]
    key = [
        f'  {mark}  #{40 + 8 * at:02x}6070 "thread of the shore {mark}"'
        for at, mark in enumerate(marks)
    ]
    way = [
        f'  {mark}  #{40 + 8 * at:02x}7040 "thread of the sea {mark}"'
        for at, mark in enumerate(marks)
    ]
    path = folder / "threads.linen"
    path.write_text(
        "\n".join(
            [
                "linen 1",
                'booklet "Threads"',
                "fabric linen 28 over 2",
                "key",
                *key,
                'colourway sea "As the sea"',
                *way,
                f"chart {THREADS} x 2",
                f"  |{marks}|",
                f"  |{marks}|",
                "",
            ]
        )
    )
    design, _ = read(path)
    chart, _ = compose(design)
    return bound(chart, Options(Paper.A4, large=True), folder / "threads.pdf")


@pytest.fixture
def booklet(request, band, threads):
    return threads if request.param == "threads" else band(FORMS[request.param])


every_booklet = pytest.mark.parametrize("booklet", [*FORMS, "threads"], indirect=True)


@every_booklet
def test_no_heading_is_the_last_line_of_a_page(booklet):
    for page in text_pages(booklet):
        assert not heads(lines(page)[-1]), page.page_number


@every_booklet
def test_no_page_is_nearly_bare_unless_the_next_is_begun_whatever_room_is_left(booklet):
    """That a part did not fit excuses nothing: some of it could have stood there."""
    texts = text_pages(booklet)
    # Large print has paragraphs of the size of its smallest letters, 22 points.
    large = min(each["size"] for each in lines(texts[0])[-1]) > 20
    small = texts[0].width < 180 * MM
    apart = {"Editionsandrights"} | ({"Key"} if large or small else set())
    apart |= {"Howtostitch"} if large else set()
    for page, after in pairwise(texts):
        before_charts = after.page_number > page.page_number + 1
        begins = "".join(each["text"] for each in lines(after)[0])
        assert before_charts or begins in apart or fill(page) >= QUARTER, page.page_number


@pytest.mark.parametrize("form", ["a4", "a5"])
def test_the_words_below_a_table_stand_on_one_page_with_its_end(band, form):
    said = [" ".join(page.extract_text().split()) for page in text_pages(band(FORMS[form]))]
    (page,) = (each for each in said if "Worked out for crosses" in each)
    assert "To buy" in page
    assert page.index("Worked out for crosses") < page.index("another lot may differ")


def test_a_table_goes_on_with_three_rows_or_more(threads):
    """Each row bears the name of a thread of the shore; all of them stand in each table."""
    told = [page.extract_text().count("thread of the shore") for page in text_pages(threads)]
    assert max(told) < THREADS  # no page holds a whole table
    assert all(each >= LEAST_ROWS for each in told if each)


@pytest.mark.parametrize("paper", list(Paper))
def test_the_sheet_of_corrections_does_not_spill_a_few_words(paper):
    for new in ("boats-motif", "boats-moves"):
        before, after = (worked(read(SHEETS / f"{each}.linen")[0]) for each in ("boats-1", new))
        data, _ = corrections(compare(before, after), paper)
        assert fill(pages_of(data)[-1]) >= QUARTER
