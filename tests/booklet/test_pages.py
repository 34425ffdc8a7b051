"""Pages as they look, compared with pictures that were looked at and found good.

`LINENLEAF_REWRITE=1 pytest tests/test_pages.py` writes the pictures in `tests/data/pages` anew;
look at them before they are committed. On failure `tests/output/pages` holds what was expected,
what was drawn and the difference.
"""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from linenleaf.chart.options import Fold, Ink, Options, Paper
from PIL import Image

REFERENCES = Path(__file__).parent.parent / "data" / "pages"
OUTPUT = Path(__file__).parent.parent / "output" / "pages"
REWRITE = "LINENLEAF_REWRITE"
SCALE = 100 / 72  # 100 dots to the inch
GREYS = 17  # steps of grey between those that a kept picture has
FAR = 40  # of 255: more than another version of PDFium rounds
MOST = 40  # pixels that may be farther off; a rule across the page has some 300

# What is built, and which of its pages are kept: by their heading.
BOOKS = {
    "a4": (
        Options(),
        ("cover", "The story", "Materials", "Key", "How to stitch", "Page map", "Chart 1"),
    ),
    "a5-tints": (Options(Paper.A5, Ink.TINTS), ("cover", "Key", "Chart 1")),
    "letter-large": (Options(Paper.LETTER, large=True), ("Key", "Chart 1")),
    "a3-symbols": (Options(Paper.A3, Ink.SYMBOLS), ("Chart 1",)),
    "fold-a4": (Options(Paper.A5, fold=Fold.A4), ("first",)),
}
PAGES = [(book, page) for book, (_, pages) in BOOKS.items() for page in pages]


@pytest.fixture(scope="module")
def books(band):
    """The pages of each booklet, drawn when first asked for: their lines and their picture."""
    drawn = {}

    def pages(book):
        if book not in drawn:
            with pypdfium2.PdfDocument(band(BOOKS[book][0]).data) as pdf:
                drawn[book] = [(lines(page), picture(page)) for page in pdf]
        return drawn[book]

    return pages


def lines(page):
    return [each.strip() for each in page.get_textpage().get_text_bounded().splitlines()]


def picture(page):
    return page.render(scale=SCALE, grayscale=True).to_numpy().squeeze()


def find(pages, wanted):
    if wanted in {"cover", "first"}:
        return pages[0][1]
    return next(
        drawn
        for words, drawn in pages
        if any(
            each == wanted or each.startswith((f"{wanted} of ", f"{wanted} columns"))
            for each in words
        )
    )


def different(one, other):
    """How many pixels of two pictures are farther apart than drawing them anew may bring."""
    if one.shape != other.shape:
        return one.size
    return int(np.count_nonzero(np.abs(one.astype(int) - other.astype(int)) > FAR))


@pytest.mark.parametrize(("book", "page"), PAGES)
def test_pages_look_as_they_did(books, book, page):
    name = f"{book}-{page.lower().replace(' ', '-')}.png"
    drawn = find(books(book), page)
    if os.environ.get(REWRITE):
        REFERENCES.mkdir(exist_ok=True)
        coarse = np.rint(drawn / GREYS).astype(np.uint8) * GREYS
        Image.fromarray(coarse).save(REFERENCES / name, optimize=True)
    with Image.open(REFERENCES / name) as opened:
        expected = np.asarray(opened)
    off = different(drawn, expected)
    if off > MOST:
        OUTPUT.mkdir(parents=True, exist_ok=True)
        Image.fromarray(drawn).save(OUTPUT / f"actual-{name}")
        Image.fromarray(expected).save(OUTPUT / f"expected-{name}")
        if drawn.shape == expected.shape:
            apart = np.abs(drawn.astype(int) - expected.astype(int))
            Image.fromarray((255 - apart).astype(np.uint8)).save(OUTPUT / f"difference-{name}")
    assert off <= MOST, f"{off} pixels differ; see {OUTPUT}"


def test_a_line_that_moved_by_one_pixel_is_told(books):
    """The rule above a heading and one line of text, each moved down by a quarter of a mm."""
    page = find(books("a4"), "Materials")
    dark = page < 128
    rule = int(np.argmax(dark.sum(axis=1)))  # the row with most ink in it
    for rows in (slice(rule - 1, rule + 2), line_of_text(dark)):
        moved = page.copy()
        moved[rows] = 255
        moved[rows.start + 1 : rows.stop + 1] = np.minimum(
            moved[rows.start + 1 : rows.stop + 1], page[rows]
        )
        assert different(page, moved) > MOST


def test_a_grid_line_that_moved_by_one_pixel_is_told(books):
    """The thin lines of a chart as well: one column of pixels with a grid line, moved aside."""
    page = find(books("a4"), "Chart 1")
    across = np.count_nonzero(page < 200, axis=0)
    line = int(np.argmax(across))
    moved = page.copy()
    moved[:, line - 1 : line + 3] = page[:, [line - 1, line - 1, line, line + 1]]
    assert different(page, moved) > MOST


def line_of_text(dark):
    """The rows of one line of text in the middle of a page."""
    inked = dark.any(axis=1)
    start = next(at for at in range(240, len(inked)) if inked[at] and not inked[at - 1])
    stop = next(at for at in range(start, len(inked)) if not inked[at])
    return slice(start, stop)


def test_no_picture_is_kept_that_nothing_is_compared_with():
    names = {f"{book}-{page.lower().replace(' ', '-')}.png" for book, page in PAGES}
    assert {each.name for each in REFERENCES.glob("*.png")} == names
