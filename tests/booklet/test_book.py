"""The booklet as independent readers find it: pikepdf, pypdfium2, page-validation."""

from __future__ import annotations

from collections import Counter

import page as validator
import pikepdf
import pypdfium2
import pytest
from linenleaf.booklet.bindery import small_cells
from linenleaf.booklet.book import bind
from linenleaf.chart.options import Ink, Options, Paper
from linenleaf.count.count import count
from linenleaf.count.size import size
from linenleaf.count.thread import estimate

from tests import book_chart
from tests.booklets import bound

POINT = 72 / 25.4  # points to the mm


@pytest.fixture(scope="module")
def chart(band):
    return band().worked


@pytest.fixture(scope="module")
def booklet(band):
    """The A4 booklet as a file."""
    return band().path


@pytest.fixture(scope="module")
def words(band):
    return [each.extract_text() for each in band().pages]


def flat(text):
    """The text without line ends and the hyphens before them."""
    return text.replace("-\n", "").replace("\n", " ")


# Sizes in points: ISO 216:2007 (A3, A4, A5) and ANSI/ASME Y14.1 size A, as checks/README.md has
# them for A4 and Letter; A5 and A3 from their millimetres at 25.4 mm to the inch.
SIZES = {
    Paper.A4: (595.276, 841.890),
    Paper.LETTER: (612.0, 792.0),
    Paper.A5: (148 * POINT, 210 * POINT),
    Paper.A3: (297 * POINT, 420 * POINT),
}


# Booklets that other tests read too; ink and colourway leave the paper and its margins alone.
ON_PAPER = {Paper.A3: Options(Paper.A3, Ink.SYMBOLS), Paper.A5: Options(Paper.A5, Ink.TINTS)}
FADED = Options(Paper.LETTER, Ink.SYMBOLS, colourway="faded")
ON_PAPER[Paper.LETTER] = FADED


@pytest.mark.parametrize("paper", list(SIZES))
def test_every_page_has_exactly_the_size_of_the_paper_and_keeps_its_margins(band, paper):
    """No text comes nearer to the edge than home printers reach: 5 mm.

    Common practice, no single source.
    """
    width, height = SIZES[paper]
    booklet = band(ON_PAPER.get(paper, Options(paper)))
    assert len(booklet.pages) == booklet.count
    for each in booklet.pages:
        assert float(each.width) == pytest.approx(width, abs=0.002)
        assert float(each.height) == pytest.approx(height, abs=0.002)
        outside = [
            char["text"]
            for char in each.chars
            if char["text"].strip()
            and not (
                char["x0"] >= 5 * POINT
                and char["x1"] <= each.width - 5 * POINT
                and char["top"] >= 5 * POINT
                and char["bottom"] <= each.height - 5 * POINT
            )
        ]
        assert outside == []


def assert_no_words_overlap(pages):
    """Words of one page do not overlap, symbols and figures of the charts apart."""
    for each in pages:
        boxes = [
            (word["x0"], word["top"] + 1, word["x1"], word["bottom"] - 1, word["text"])
            for word in each.words()
        ]
        for place, (x0, top, x1, bottom, text) in enumerate(boxes):
            for a0, a_top, a1, a_bottom, other in boxes[place + 1 :]:
                across = min(x1, a1) - max(x0, a0)
                down = min(bottom, a_bottom) - max(top, a_top)
                assert across <= 0.5 or down <= 0.5, (each.page_number, text, other)


def test_no_two_words_lie_on_each_other(band):
    assert_no_words_overlap(band().pages)


LONG = "The Long Saltmarsh Bands of the Outer Estuary with Waders, Reeds, Boats and the Tide Line"


@pytest.mark.parametrize(
    ("title", "paper"),
    [("Eft", Paper.A4), (f"{LONG} and {LONG}", Paper.A4), (LONG * 2, Paper.A5)],
)
def test_titles_short_and_long_keep_clear_of_everything(tmp_path, title, paper):
    path = tmp_path / "reed.linen"
    path.write_text(book_chart.PLAIN.replace('"Reed"', f'"{title}"'), "utf-8")
    pages = bound(book_chart.worked(path), Options(paper), tmp_path / "title.pdf").pages
    assert_no_words_overlap(pages)
    assert title.split()[-1] in pages[0].extract_text()
    assert title[:20].split()[0] in pages[1].extract_text().splitlines()[-1]


def test_language_title_author_and_dates(booklet):
    with pikepdf.open(booklet) as pdf:
        assert str(pdf.Root.Lang) == "en-GB"
        assert str(pdf.docinfo.Title) == "Saltmarsh Band"
        assert str(pdf.docinfo.Author) == "Tern & Teasel"
        assert str(pdf.docinfo.CreationDate).startswith("D:20260314")
        assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
        with pdf.open_metadata() as meta:
            assert meta["dc:title"] == "Saltmarsh Band"
            assert meta["pdfuaid:part"] == "1"


def test_the_outline_names_the_parts_in_order_and_every_chart(booklet):
    with pikepdf.open(booklet) as pdf, pdf.open_outline() as outline:
        parts = [item.title for item in outline.root]
        charts = [child.title for item in outline.root for child in item.children]
    assert parts == [
        "Cover",
        "The story",
        "Framing",
        "Materials",
        "Thread for other colourways",
        "Key",
        "How to stitch",
        "Notes",
        "Page map",
        "Charts",
        "Editions and rights",
    ]
    assert charts == ["Chart 1 of 2", "Chart 2 of 2"]


def test_page_labels_are_the_numbers_printed_on_the_pages(booklet, words):
    with pypdfium2.PdfDocument(booklet) as pdf:
        labels = [pdf.get_page_label(number) for number in range(len(pdf))]
    assert labels[0] == "Cover"
    for label, text in zip(labels[1:], words[1:], strict=True):
        assert text.splitlines()[-1].split()[-1] == label
        assert "Edition 2" in text.splitlines()[-1]
        assert "Saltmarsh Band" in text.splitlines()[-1]


def test_every_link_leads_somewhere_and_says_where(booklet):
    with pikepdf.open(booklet) as pdf:
        names = pdf.Root.Names.Dests.Names
        known = {str(names[at]): names[at + 1][0].objgen for at in range(0, len(names), 2)}
        numbers = {each.obj.objgen: at for at, each in enumerate(pdf.pages)}
        outside, inside = [], Counter()
        for each in pdf.pages:
            for link in each.obj.get("/Annots", []):
                assert str(link.Contents)
                if "/A" in link:
                    outside.append(str(link.A.URI))
                else:
                    assert known[str(link.Dest)] in numbers
                    inside[str(link.Dest)] += 1
                    assert str(link.Contents).startswith(("Chart ", "Note "))
    assert outside == ["https://example.org/marsh"]
    charts = {name for name in inside if name.startswith("chart-")}
    assert charts == {"chart-1", "chart-2"}
    assert {name.partition("-")[0] for name in inside} == {"chart", "note", "ring"}


def test_a_link_to_a_chart_opens_the_page_of_that_chart(booklet, words):
    with pikepdf.open(booklet) as pdf:
        names = pdf.Root.Names.Dests.Names
        numbers = {each.obj.objgen: at for at, each in enumerate(pdf.pages)}
        for at in range(0, len(names), 2):
            name = str(names[at])
            if name.startswith("chart-"):
                text = words[numbers[names[at + 1][0].objgen]]
                assert text.splitlines()[0].startswith(f"Chart {name.removeprefix('chart-')} of")


def test_all_fonts_are_embedded_and_ours(booklet):
    with pikepdf.open(booklet) as pdf:
        found = set()
        for thing in pdf.objects:
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/FontDescriptor":
                assert "/FontFile2" in thing or "/FontFile3" in thing
                found.add(str(thing.FontName).split("+")[-1].strip("/"))
    families = {name.replace("-", "").replace("Leaf", "") for name in found}
    assert found
    assert all(
        any(ours in name for ours in ("Source", "Leaf", "LinenleafSymbols")) for name in found
    ), families


def test_pictures_and_drawings_have_words_that_say_something(booklet):
    said = []

    def walk(node):
        if isinstance(node, pikepdf.Array):
            for each in node:
                walk(each)
        elif isinstance(node, pikepdf.Dictionary):
            if node.get("/S") == "/Figure":
                said.append(str(node.Alt))
            if "/K" in node and node.get("/Type") != "/OBJR":
                walk(node.K)

    with pikepdf.open(booklet) as pdf:
        walk(pdf.Root.StructTreeRoot.K)
    assert all(said)
    text = "\n".join(said)
    assert "drawn cross by cross on 32-count linen over two" in text
    assert "The cloth as it was found" in text
    assert "Chart 1: columns 1 to" in text
    assert "m is 417 wrack" in text


def test_an_independent_validator_finds_pdf_ua_1_fulfilled(booklet):
    """page-validation 0.11, profile ua1 (ISO 14289-1)."""
    report = validator.validate_pdf(booklet, profile=validator.ValidationProfile.PDF_UA_1)
    assert report.is_compliant, [(each.rule_id, each.message) for each in report.failures]


@pytest.fixture(scope="module")
def reed(tmp_path_factory):
    """A chart of full crosses and nothing else."""
    path = tmp_path_factory.mktemp("reed") / "reed.linen"
    path.write_text(book_chart.PLAIN, "utf-8")
    return book_chart.worked(path)


@pytest.mark.parametrize("epoch", ["", "soon", "-5", "1.5", "9" * 30, "٣"])
def test_an_epoch_that_is_no_date_is_a_finding(reed, monkeypatch, epoch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", epoch)
    bound, findings = bind(reed, Options())
    assert bound is None
    assert [each.name for each in findings] == ["bad-epoch"]


def test_the_figures_agree_with_what_is_counted(chart, words):
    counts = count(chart)
    key = next(each for each in words if each.startswith("Key"))
    for each in counts.entries:
        if each.entry.is_cell:
            assert f" {each.number:,}\n" in key
    uses = estimate(chart, chart.design.ground.fabric)
    # They begin below the story, where there is room, and may go on overleaf.
    begins = next(at for at, each in enumerate(words) if "\nMaterials\n" in f"\n{each}")
    ends = next(at for at, each in enumerate(words) if each.startswith("Key"))
    materials = "\n".join(words[begins:ends]).partition("Materials\n")[2]
    for use in uses:
        line = next(each for each in materials.splitlines() if use.thread.name in each)
        assert line.split()[-2:] == [f"{use.skeins:.1f}", str(use.buy)]
    assert "amber glass" in materials
    # What to thread and how many stands in the key; what to buy, in the materials alone.
    assert "skein" not in key.lower()
    own = size(chart, chart.design.ground.fabric)
    # 72 crosses at 32 threads to the inch over two: 72 x 2 / 32 = 4.5 in, and 3 in on each side.
    assert own.width == pytest.approx(4.5 * 25.4)
    assert "4½" in materials
    assert "10½" in materials
    assert f"{len(counts.threads)}" in words[0]


def test_only_stitches_of_this_chart_are_shown(reed, tmp_path, words):
    text = "\n".join(words)
    for name in (
        "Full crosses in a row",
        "Half cross",
        "Quarter stitch",
        "Three-quarter stitch",
        "Upright cross",
        "Crosses over one thread",
        "Off the grid",
        "Back stitch",
        "Straight stitch",
        "French knot",
        "Bead",
    ):
        assert name in text
    plain = bound(reed, Options(), tmp_path / "reed.pdf")
    text = "\n".join(each.extract_text() for each in plain.pages)
    assert "Full crosses in a row" in text
    assert "over one block" in text
    absent = "Half cross", "Back stitch", "French knot", "Bead", "Notes", "Page map", "The story"
    for name in absent:
        assert name not in text


def test_quotation_marks_are_those_of_print_in_all_texts_of_the_designer(words):
    text = flat("\n".join(words))
    for each in ("“by the sea”", "“charted”", "“wardens”", "“folded in eight”"):
        assert each in text
    assert '"' not in text


def test_notes_stand_by_kind_with_their_numbers_and_charts(words):
    notes = "\n".join(words)
    at = [
        notes.index(each)
        for each in (
            "Begin here; the reeds",
            "The bird sits half a cross",
            "Departures from the original",
            "The band was lost",
            "Inferred where the original is lost",
            "No thread is left",
            "Kept as in the original",
            "Her own slip",
        )
    ]
    assert at == sorted(at)
    # A point on a piece off the grid means all of it; any other lies between squares.
    assert "Columns 21 to 25, rows 11 to 14, on chart 1" in notes
    assert "Between columns 2 and 3, between rows 2 and 3, on chart 1" in notes


def test_cautions_rights_and_editions_close_the_booklet(words):
    last = flat(words[-1])
    for each in ("textile conservator", "lawyer", "needles", "bleeding", "Row 4: one cross moved."):
        assert each in last
    assert "Copyright 2026 Tern & Teasel." in last
    assert last.index("Edition 2, 14 March 2026") < last.index("Edition 1, 2 November 2025")


def test_another_colourway_changes_key_and_shopping_list(band):
    pages = [each.extract_text() for each in band(FADED).pages]
    key = next(each for each in pages if each.startswith("Key"))
    first = next(line for line in key.splitlines() if "full cross" in line)
    assert "estuary 101" in first
    assert "Colourway: As it looks today." in key
    changes = next(line for line in key.splitlines() if "As charted" in line)
    assert changes.index("As it looks today") < changes.index("As charted")
    assert all("As it looks today" in page.splitlines()[-1] for page in pages[1:])


def test_progress_is_told_from_pictures_to_pages(reed):
    told = []
    bound, findings = bind(
        reed, Options(cell=2.4), lambda what, done, of: told.append((what, done, of))
    )
    stages = list(dict.fromkeys(what for what, _, _ in told))
    assert stages == ["pictures", "charts", "pages"]
    assert told[-1] == ("pages", bound.pages, bound.pages)
    # Cells so small are told of, for they are made as asked.
    assert [each.name for each in findings if each.name != "layout"] == ["small-cells"]


@pytest.mark.parametrize(("cell", "many"), [(None, 0), (2.5, 0), (2.4, 1)])
def test_cells_below_those_that_symbols_are_clear_in_are_told_of(cell, many):
    assert len(small_cells(None, cell)) == many


def test_a_cell_that_does_not_fit_on_the_paper_is_a_finding(chart):
    made, findings = bind(chart, Options(cell=400.0))
    assert made is None
    assert [each.name for each in findings] == ["no-room"]


def test_symbols_alone_use_no_colour_on_the_chart_pages(band):
    with pypdfium2.PdfDocument(band(FADED).path) as pdf:
        charts = [
            number
            for number in range(len(pdf))
            if pdf[number].get_textpage().get_text_range().startswith("Chart ")
        ]
        assert len(charts) == 2
        for number in charts:
            pixels = pdf[number].render(scale=1).to_numpy().astype(int)
            assert (pixels.max(axis=2) - pixels.min(axis=2)).max() <= 16
