"""Large print: letters and cells as large as promised, on paper that can hold them."""

import pytest
from click.testing import CliRunner
from linenleaf.booklet.keylist import short_labels
from linenleaf.booklet.layout import setting
from linenleaf.booklet.linebyline import line_by_line
from linenleaf.booklet.planning import plan
from linenleaf.chart.options import LARGE_CELL, LARGE_PAPERS, Options, Paper
from linenleaf.commands.build import command
from linenleaf.count.count import count

POINT = 72 / 25.4
# A booklet that other tests read too; one on A4 is read in `i18n/test_booklets.py`.
PRINTED = Options(Paper.LETTER, large=True)


@pytest.fixture(scope="module")
def chart(band):
    return band().worked


def layout_of(chart, options):
    used = [each.index for each in count(chart).entries]
    labels = [short_labels(chart.design, used, names=each) for each in (False, True)]
    return plan(chart, options, *labels)


@pytest.mark.parametrize("paper", LARGE_PAPERS)
def test_words_and_cells_are_planned_large(chart, paper):
    assert setting(paper, large=True).points >= 22
    layout = layout_of(chart, Options(paper, large=True))
    assert layout.pagination.cell * layout.scale >= LARGE_CELL - 1e-6


def test_text_and_cells_are_large_and_nothing_lies_on_anything(band):
    """22 points and more for words and figures, squares and symbols of 5 mm.

    Publishers for readers with low sight ask for that size, sans, upright and black; common
    practice, no single source.
    """
    sizes, symbols, faces = set(), set(), set()
    for page in band(PRINTED).pages:
        letters = [each for each in page.chars if "Symbols" not in each["fontname"]]
        sizes |= {round(each["size"], 1) for each in letters if each["upright"]}
        faces |= {each["fontname"] for each in letters}
        symbols |= {round(each["size"], 2) for each in page.chars if "Symbols" in each["fontname"]}
        for each in letters:
            if each["text"].strip():
                assert each["x0"] >= 5 * POINT
                assert each["x1"] <= float(page.width) - 5 * POINT
                assert each["bottom"] <= float(page.height) - 5 * POINT
        words = page.words()
        for at, one in enumerate(words):
            for other in words[at + 1 :]:
                across = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
                down = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
                assert across <= 0.5 or down <= 3, (page.page_number, one, other)
    assert min(sizes) >= 22
    assert min(symbols) >= 5 * POINT - 0.01
    assert all("Serif" not in each and "It" not in each for each in faces)


def test_a_stated_cell_is_kept_in_large_print(chart):
    layout = layout_of(chart, Options(Paper.A4, cell=7.0, large=True))
    assert layout.pagination.cell * layout.scale == pytest.approx(7.0, abs=1e-3)


def test_cells_take_their_size_on_the_page(chart, band):
    """Heavy lines of the chart page lie ten cells apart, measured in the PDF."""
    page = next(each for each in band(PRINTED).pages if each.extract_text().startswith("Chart 1"))
    numbers = {
        each["text"]: (each["x0"] + each["x1"]) / 2
        for each in page.extract_words()
        if each["text"] in {"10", "20"} and each["top"] < 30 * POINT
    }
    layout = layout_of(chart, PRINTED)
    side = layout.pagination.cell * layout.scale
    assert numbers["20"] - numbers["10"] == pytest.approx(10 * side * POINT, abs=0.5)


@pytest.mark.parametrize(
    ("more", "words"),
    [(["--paper", "a5"], "A4, A3 or Letter"), (["--cell", "3"], "5 mm or more")],
)
def test_what_large_print_cannot_be_is_said(chart, more, words):
    done = CliRunner().invoke(command, [str(chart.design.folder / "band.linen"), "--large", *more])
    assert done.exit_code == 2
    assert words in done.output


def test_a_swatch_is_told_with_its_thread():
    """A picture behind words goes to the words after it, one at the end stays; the heading once."""
    head = "<thead><tr><th>Symbol</th><th></th><th>Thread</th></tr></thead>"
    row = '<tr><td>m</td><td class="swatch"><div></div></td><td>417 wrack</td></tr>'
    told = line_by_line(f'<table class="list">{head}<tbody>{row}</tbody></table>')
    swatch = '<span class="swatch" data-kind="shown"><div></div></span>'
    assert f'<span data-kind="said" data-label="Thread">{swatch}417 wrack</span>' in told
    assert told.count("swatch") == 1
    last = f'<table class="list">{head}<tbody>{row.replace("417 wrack", "")}</tbody></table>'
    assert line_by_line(last).endswith(f"{swatch}</div></div>")
