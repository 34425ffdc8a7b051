"""Pages that lie and break as somebody says: read back from the PDF, and from what is planned."""

from __future__ import annotations

import pytest
from click.testing import CliRunner
from linenleaf.booklet.keylist import short_labels
from linenleaf.booklet.planning import plan
from linenleaf.chart.options import Options, OwnPaper, Paper, Purpose
from linenleaf.commands.build import command
from linenleaf.compose.compose import compose
from linenleaf.core.paging import Axis, Break, Orientation, Paging
from linenleaf.count.count import count

from tests.booklets import bound
from tests.charts import design

MM = 72 / 25.4


def planned(chart, options):
    used = [each.index for each in count(chart).entries]
    labels = [short_labels(chart.design, used, names=each) for each in (False, True)]
    return plan(chart, options, *labels)


def full(width, height, paging=None):
    chart, _ = compose(design(rows=["m" * width] * height, paging=paging or Paging()))
    return chart


def test_charts_lie_as_fits_best():
    """62 columns of 3 mm are 186 mm: too wide for A4 upright, where two pages would be needed."""
    wide = planned(full(80, 40), Options())
    assert wide.page == (297.0, 210.0)
    assert wide.printed == 1
    assert planned(full(40, 60), Options()).page == (210.0, 297.0)


def test_who_says_how_pages_lie_is_heard_in_order():
    chart = full(80, 40, Paging(Orientation.PORTRAIT))
    assert planned(chart, Options()).page == (210.0, 297.0)
    asked = Options(orientation=Orientation.LANDSCAPE)
    assert planned(chart, asked).page == (297.0, 210.0)
    # Pages that are cut or folded all lie alike.
    assert planned(full(80, 40), Options(purpose=Purpose.PRINT)).page == (210.0, 297.0)


def test_pages_break_and_overlap_as_the_chart_says():
    breaks = Break(Axis.ROW, 31), Break(Axis.COLUMN, 8)
    cut = planned(full(80, 40, Paging(None, 1, breaks)), Options()).pagination
    assert (30 in cut.breaks_y, 7 in cut.breaks_x) == (True, True)
    assert cut.overlap == 1


@pytest.mark.parametrize(("axis", "cell"), [(Axis.COLUMN, 5.9), (Axis.ROW, 6.0)])
def test_pages_that_are_all_as_said_stay_pages_of_their_own(axis, cell):
    """Half of 60 x 60 fills A3 in large cells; both halves on one page take smaller ones."""
    layout = planned(full(60, 60, Paging(None, None, (Break(axis, 31),))), Options(Paper.A3))
    assert (layout.shared, layout.printed, layout.pagination.cell) == (1, 2, cell)


def test_a_smaller_cell_saves_pages_and_stays_readable():
    """150 rows: three pages of A4 with cells of 3 mm, two with smaller ones."""
    layout = planned(full(110, 150), Options(orientation=Orientation.PORTRAIT))
    usual = planned(full(110, 150), Options(orientation=Orientation.PORTRAIT, cell=3.0))
    assert layout.printed < usual.printed
    assert 2.5 <= layout.pagination.cell < 3
    assert layout.printed / usual.printed < layout.pagination.cell / 3


def test_pages_of_a_size_of_ones_own_some_of_them_turned(tmp_path):
    options = Options(OwnPaper(150.0, 200.0))
    pages = bound(full(60, 30), options, tmp_path / "own.pdf").pages
    charts = [each.extract_text().startswith("Chart 1") for each in pages]
    for page, turned in zip(pages, charts, strict=True):
        sides = (200, 150) if turned else (150, 200)
        assert (page.width, page.height) == pytest.approx([each * MM for each in sides], abs=0.1)
    assert charts.count(True) == 1


@pytest.mark.parametrize("size", [(20, 70), (70, 20)])
def test_the_whole_chart_on_one_page_with_its_key(tmp_path, size):
    chart = full(*size)
    (page,) = bound(chart, Options(whole=True), tmp_path / "whole.pdf").pages
    words = page.extract_words()
    name = chart.design.key[0].parts[0].needle[0].thread.name
    (told,) = (each for each in words if each["text"].strip(",") == name)
    numbers = [each for each in words if each["text"].isdigit() and each["top"] > 20 * MM]
    last = max(each["x1"] if size[0] < size[1] else each["bottom"] for each in numbers[:-1])
    assert (told["x0"] > last - 1) if size[0] < size[1] else (told["top"] > 30 * MM)
    for each in words:
        assert 0 <= each["x0"] < each["x1"] <= page.width
        assert each["bottom"] <= page.height


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--paper", "120 x 200 mm"], "have no room for a line of the key: each side takes 136 mm"),
        (["--paper", "2000 x 1000 cm"], "are too large: each side has at most 1,200 mm"),
        (["--paper", "a7"], "'a7' is no paper: name one of a3, a4"),
        (["--whole", "--large"], "--whole makes one page as large as the chart"),
        (["--orientation", "landscape", "--for", "print"], "--orientation is for loose pages"),
    ],
)
def test_what_pages_cannot_be_is_said(tmp_path, words, told):
    chart = tmp_path / "chart.linen"
    chart.write_text("linen 2\n")
    done = CliRunner().invoke(command, [str(chart), *words])
    assert done.exit_code == 2
    assert told in " ".join(done.output.replace("│", " ").split())
