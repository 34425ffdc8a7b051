"""What a screen reader finds in a booklet: pikepdf reads the tags, PDFium the text in them.

Headings, table headers and alternative texts as ISO 14289-1 (PDF/UA-1) and the Matterhorn Protocol
1.1 of the PDF Association ask for (from memory); page-validation is asked in test_book.
"""

import math
import re
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pikepdf
import pytest
from linenleaf.chart.options import Options, Paper

EXAMPLES = Path(__file__).parents[2] / "examples"
HEADINGS = ("/H1", "/H2", "/H3", "/H4", "/H5", "/H6")
CASES = ("every stitch", "large print", "saltmarsh-bands")


@pytest.fixture(scope="module", params=CASES)
def booklet(request, band, built_demo):
    if request.param == "every stitch":
        return band()
    if request.param == "large print":
        return band(Options(Paper.LETTER, large=True))
    return built_demo(request.param)


@pytest.fixture(scope="module")
def pdf(booklet):
    with pikepdf.open(booklet.path) as opened:
        yield opened


@pytest.fixture(scope="module")
def texts(booklet):
    """The text of each marked content, by page (from 0) and number."""
    found = {}
    for number, page in enumerate(booklet.pages):
        for char in page.chars:
            found.setdefault((number, char["mcid"]), []).append(char)
    return found


def kids(node):
    within = node.get("/K")
    if within is None:
        return []
    return list(within) if isinstance(within, pikepdf.Array) else [within]


def elements(node):
    """All structure elements below a node, in reading order."""
    for each in kids(node):
        if isinstance(each, pikepdf.Dictionary) and "/S" in each:
            yield each
            yield from elements(each)


def content(node, page=None):
    """The (page object, number) of all marked content below a node."""
    page = node.get("/Pg", page)
    for each in kids(node):
        if isinstance(each, int):
            yield page, each
        elif each.get("/Type") == "/MCR":
            yield each.get("/Pg", page), int(each.MCID)
        elif "/S" in each:
            yield from content(each, page)


def text_of(node, numbers, texts):
    chars = [
        char
        for page, number in content(node)
        for char in texts.get((numbers[page.objgen], number), [])
    ]
    return "".join(char["text"] for char in chars)


@pytest.fixture(scope="module")
def numbers(pdf):
    return {page.obj.objgen: at for at, page in enumerate(pdf.pages)}


def test_headings_begin_with_one_title_and_skip_no_level(pdf, numbers, texts):
    levels = []
    for each in elements(pdf.Root.StructTreeRoot):
        if each.S in HEADINGS:
            levels.append(HEADINGS.index(str(each.S)) + 1)
            assert text_of(each, numbers, texts).strip()
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_every_chart_and_part_has_a_heading_that_the_outline_names(pdf, numbers, texts):
    named = [
        " ".join(text_of(each, numbers, texts).split())
        for each in elements(pdf.Root.StructTreeRoot)
        if each.S == "/H2"
    ]
    with pdf.open_outline() as outline:
        parts = [item.title for item in outline.root]
        charts = [child.title for item in outline.root for child in item.children]
    # Both covers and the charts as a whole have no heading of their own.
    squeezed = [each.replace(" ", "") for each in named]
    wanted = [each for each in parts if each not in {"Cover", "Back cover", "Charts"}] + charts
    assert Counter(each.replace(" ", "") for each in wanted) == Counter(squeezed)


def test_tables_have_headers_and_every_cell_names_its_own(pdf, numbers, texts, booklet):
    tables = [each for each in elements(pdf.Root.StructTreeRoot) if each.S == "/Table"]
    # Large print tells tables line by line, but for the one in the designer's own story.
    large = min(each["size"] for each in booklet.pages[1].chars) >= 21.9
    assert len(tables) == 1 if large else len(tables) >= 4
    for table in tables:
        cells = list(elements(table))
        heads = {bytes(each.ID): each for each in cells if each.S == "/TH"}
        assert heads
        assert any(text_of(each, numbers, texts).strip() for each in heads.values())
        rows = [each for each in cells if each.S == "/TR"]
        widths = {
            sum(int(cell.A.get("/ColSpan", 1)) for cell in kids(row) if cell.S in ("/TH", "/TD"))
            for row in rows
        }
        assert len(widths) == 1
        for cell in cells:
            if cell.S == "/TD":
                assert {bytes(each) for each in cell.A.Headers} <= heads.keys()
                assert len(cell.A.Headers) >= 1


def test_figures_say_what_they_show(pdf):
    figures = [each for each in elements(pdf.Root.StructTreeRoot) if each.S == "/Figure"]
    assert len(figures) > 10
    said = [str(each.Alt) for each in figures]
    assert all(each.strip() for each in said)
    charts = [each for each in said if each.startswith("Chart ")]
    assert len(charts) == len(set(charts)) >= 2
    assert all("columns" in each and "rows" in each for each in charts)


def test_links_are_tagged_and_say_where_they_lead(pdf):
    links = [each for each in elements(pdf.Root.StructTreeRoot) if each.S == "/Link"]
    tagged = {
        each.Obj.objgen
        for link in links
        for each in kids(link)
        if isinstance(each, pikepdf.Dictionary) and each.get("/Type") == "/OBJR"
    }
    annotations = [each for page in pdf.pages for each in page.obj.get("/Annots", [])]
    assert annotations
    assert {each.objgen for each in annotations} == tagged
    assert all(str(each.Contents) for each in annotations)
    assert all(page.obj.Tabs == "/S" for page in pdf.pages if "/Annots" in page.obj)


def test_all_text_is_in_the_structure_or_marked_as_no_content(pdf, numbers, texts):
    known = {(numbers[page.objgen], number) for page, number in content(pdf.Root.StructTreeRoot)}
    for (page, number), chars in texts.items():
        if number is None:
            assert {each["tag"] for each in chars} == {"Artifact"}, (page, chars[0]["text"])
        else:
            assert (page, number) in known, (page, chars[0]["text"])


def test_each_page_has_a_label_and_each_font_is_in_the_file(pdf):
    assert str(pdf.Root.Lang) == "en-GB"
    assert bool(pdf.Root.MarkInfo.Marked)
    labels = pdf.Root.PageLabels.Nums
    assert int(labels[0]) == 0
    assert str(labels[1].P) == "Cover"
    assert int(labels[2]) == 1
    assert (str(labels[3].S), int(labels[3].St)) == ("/D", 2)
    fonts = [
        each
        for each in pdf.objects
        if isinstance(each, pikepdf.Dictionary) and each.get("/Type") == "/Font"
    ]
    assert fonts
    for font in fonts:
        if font.Subtype == "/Type0":
            assert "/ToUnicode" in font
        else:
            descriptor = font.FontDescriptor
            assert "/FontFile2" in descriptor or "/FontFile3" in descriptor


def test_headers_of_tables_say_what_they_head_and_none_is_empty(pdf, numbers, texts):
    """ISO 14289-1, 7.5: a header that is named by no cell says by Scope what it heads."""
    headers = [each for each in elements(pdf.Root.StructTreeRoot) if each.S == "/TH"]
    assert headers
    for each in headers:
        assert each.A.O == "/Table"
        assert each.A.Scope == "/Column"
        assert text_of(each, numbers, texts).strip()


def test_links_are_printed_like_the_words_they_stand_on(pdf):
    flags = [int(note.F) for page in pdf.pages for note in page.get("/Annots", []) if "/F" in note]
    links = sum(len(page.get("/Annots", [])) for page in pdf.pages)
    assert len(flags) == links > 0
    assert all(flag & 4 for flag in flags)


@pytest.fixture(scope="module")
def leads(pdf, numbers):
    """Where each name leads: the number of the page, counted from 0."""
    names = list(pdf.Root.Names.Dests.Names)
    pairs = zip(names[::2], names[1::2], strict=True)
    return {str(name): numbers[to[0].objgen] for name, to in pairs}


def test_rings_on_the_charts_lead_to_their_notes_and_notes_to_their_rings(pdf, leads):
    asked = {
        (str(each.get("/Dest")), at)
        for at, page in enumerate(pdf.pages)
        for each in page.obj.get("/Annots", [])
    }
    notes = {name.removeprefix("note-") for name in leads if name.startswith("note-")}
    assert notes
    for note in notes:
        assert (f"ring-{note}", leads[f"note-{note}"]) in asked
        assert (f"note-{note}", leads[f"ring-{note}"]) in asked


def test_pages_told_beside_charts_are_those_they_are_on(booklet, leads):
    told = [
        found.groups()
        for page in booklet.pages
        for found in re.finditer(
            r"\bchart\s(\d+),\s+page\s(\d+)|\bcharts\s(\d+)\sand\s(\d+),\s+pages\s(\d+)\sand\s(\d+)",
            page.extract_text(),
        )
    ]
    pairs = [pair for one, two, *more in told for pair in ((one, two), more[::2], more[1::2])]
    pairs = [pair for pair in pairs if pair[0]]
    assert pairs
    assert all(leads[f"chart-{chart}"] + 1 == int(page) for chart, page in pairs)


def test_rings_stand_beside_what_is_stitched(booklet, pdf):
    """Where the links of the rings lie, and PDFium's boxes of the symbols."""
    seen = 0
    for page, read in zip(pdf.pages, booklet.pages, strict=True):
        signs = [each for each in read.chars if "Symbols" in each["fontname"]]
        for link in page.obj.get("/Annots", []):
            if not str(link.get("/Dest", "")).startswith("note-"):
                continue
            left, bottom, right, top = map(float, link.Rect)
            x, y, radius = (left + right) / 2, read.height - (bottom + top) / 2, (right - left) / 2
            seen += 1
            own = "." + str(link.Dest).removeprefix("note-")  # bare cells, and its own number
            for sign in (each for each in signs if each["text"] not in own):
                near_x = min(max(x, sign["x0"]), sign["x1"])
                near_y = min(max(y, sign["top"]), sign["bottom"])
                assert math.hypot(near_x - x, near_y - y) > radius, (link.Dest, sign["text"])
    assert seen
