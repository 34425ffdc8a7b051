"""Booklets on sheets to fold: the order of the pages, and every page whole on its half."""

import io
from functools import cache

import numpy as np
import pikepdf
import pypdfium2
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from linenleaf.booklet.book import bind
from linenleaf.chart.options import Fold, Options, Paper
from linenleaf.cli import main
from linenleaf.pdf.folding import SheetSide, blanks, creep, sides

from .. import book_chart


def test_eight_pages_go_on_two_sheets():
    """Eight and one, two and seven, six and three, four and five: common practice of binders."""
    assert sides(8) == (
        SheetSide(1, True, 7, 0),
        SheetSide(1, False, 1, 6),
        SheetSide(2, True, 5, 2),
        SheetSide(2, False, 3, 4),
    )
    assert sides(1) == (SheetSide(1, True, None, 0), SheetSide(1, False, None, None))


@given(st.integers(1, 400))
def test_leafing_through_the_folded_pile_meets_every_page_in_order(pages):
    """The pile is folded as paper is: outer sheets around inner ones, right halves first."""
    sheets = [sides(pages)[at : at + 2] for at in range(0, len(sides(pages)), 2)]
    read = [page for outer, inner in sheets for page in (outer.right, inner.left)]
    read += [page for outer, inner in reversed(sheets) for page in (inner.right, outer.left)]
    assert read == [*range(pages), *[None] * blanks(pages)]
    assert len(read) % 4 == 0
    assert 0 <= blanks(pages) < 4


def test_creep_grows_with_the_sheets():
    assert creep(4) == 0
    assert creep(40) == pytest.approx(0.9)  # nine sheets of 0.1 mm lie in the outermost


@pytest.fixture(scope="module")
def bound(tmp_path_factory):
    """The booklet as asked for; bound once each."""
    path = tmp_path_factory.mktemp("fold") / "reed.linen"
    path.write_text(book_chart.PLAIN, "utf-8")
    chart = book_chart.worked(path)

    @cache
    def made(paper, fold=None):
        return bind(chart, Options(paper, fold=fold))

    return made


def rendered(data):
    with pypdfium2.PdfDocument(data) as pdf:
        return [page.render(scale=1).to_numpy().astype(int).mean(axis=2) for page in pdf]


@pytest.mark.parametrize("fold", list(Fold))
def test_a_sheet_is_two_pages_wide(fold):
    """To half a millimetre, by which ISO 216 rounds down."""
    assert 0 <= fold.width - 2 * fold.page.width < 1.1
    assert fold.height == fold.page.height


@pytest.mark.parametrize("fold", [Fold.A4, Fold.TABLOID])
def test_every_page_stands_whole_on_its_half(bound, fold):
    made, findings = bound(fold.page, fold)
    plain, _ = bound(fold.page)
    assert made.pages == plain.pages
    (told,) = findings
    assert told.name == "folded"
    assert f"{-(-made.pages // 4)} sheets" in told.message
    assert any("Creep" in each.message for each in told.hints)
    pages, halves = rendered(plain.data), rendered(made.data)
    assert len(halves) == 2 * -(-made.pages // 4)
    for sheet, side in zip(halves, sides(made.pages), strict=True):
        assert sheet.shape[0] < sheet.shape[1]
        middle = sheet.shape[1] / 2
        for at, is_left in ((side.left, True), (side.right, False)):
            part = sheet[:, : int(middle)] if is_left else sheet[:, int(middle) + 1 :]
            if at is None:
                # The page beyond the fold begins within a pixel.
                assert part[:, 2:-2].min() == 255
                continue
            apart = [np.abs(blurred(part) - blurred(page)) for page in cut(pages, part, is_left)]
            # Rasters of page and sheet may be half a pixel apart.
            assert np.argmin([each.mean() for each in apart]) == at
            assert apart[at].mean() < 5
            assert apart[at].max() < 90


def cut(pages, part, is_left):
    """The pages as large as half a sheet: cut off where they touch the fold, or bare beyond."""
    rows, columns = part.shape
    for page in pages:
        whole = np.full((rows, columns), 255.0)
        high, wide = min(rows, page.shape[0]), min(columns, page.shape[1])
        if is_left:
            whole[rows - high :, columns - wide :] = page[-high:, -wide:]
        else:
            shown = page[-high:, 1 : wide + 1]
            whole[rows - high :, : shown.shape[1]] = shown
        yield whole


def blurred(picture):
    """The mean of 4 x 4 pixels, so that a shift by part of a pixel does not tell."""
    rows, columns = (4 * (each // 4) for each in picture.shape)
    return picture[:rows, :columns].reshape(rows // 4, 4, columns // 4, 4).mean(axis=(1, 3))


def test_the_text_can_still_be_read_and_copied(bound):
    made, _ = bound(Paper.A5, Fold.A4)
    plain, _ = bound(Paper.A5)
    with pypdfium2.PdfDocument(plain.data) as pdf:
        pages = [page.get_textpage().get_text_bounded() for page in pdf]
    half = Fold.A4.width / 2 * 72 / 25.4
    with pypdfium2.PdfDocument(made.data) as pdf:
        for sheet, side in zip(pdf, sides(made.pages), strict=True):
            text = sheet.get_textpage()
            for at, left in ((side.left, 0.0), (side.right, half)):
                found = text.get_text_bounded(left=left, right=left + half)
                wanted = "" if at is None else pages[at]
                assert sorted(found.split()) == sorted(wanted.split())


def test_the_file_tells_how_to_print_it(bound):
    made, _ = bound(Paper.A5, Fold.A4)
    with pikepdf.open(io.BytesIO(made.data)) as pdf:
        assert str(pdf.Root.ViewerPreferences.Duplex) == "/DuplexFlipShortEdge"
        assert str(pdf.Root.ViewerPreferences.PrintScaling) == "/None"
        assert str(pdf.docinfo.Title) == "Reed"
        for page in pdf.pages:
            # A4 on its side: 841.890 x 595.276 pt (ISO 216:2007).
            assert [float(each) for each in page.mediabox] == pytest.approx(
                [0, 0, 841.890, 595.276], abs=0.001
            )
            assert "/Annots" not in page.obj
        assert [str(each.P) for each in pdf.Root.PageLabels.Nums[1::2]][:2] == [
            "Sheet 1, outside",
            "Sheet 1, inside",
        ]


def test_the_same_chart_gives_the_same_sheets(bound):
    again = bound.__wrapped__(Paper.A5, Fold.A4)
    assert again == bound(Paper.A5, Fold.A4)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--fold", "a4", "--for", "print"], "leave it out with --for print"),
        (["--fold", "a4", "--paper", "a4"], "has pages of a5"),
        (["--fold", "a4", "--large"], "a3 or tabloid"),
        (["--fold", "a6"], "a4"),
    ],
)
def test_wishes_that_exclude_each_other_are_said(tmp_path, more, words):
    path = book_chart.write(tmp_path)
    done = CliRunner().invoke(main, ["build", str(path), *more])
    assert done.exit_code == 2
    assert words in done.output
    assert not (tmp_path / "band.pdf").exists()
