"""The sheet of corrections as independent readers find it: pikepdf, PDFium, page-validation."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from functools import cache
from io import BytesIO
from pathlib import Path

import numpy as np
import page as validator
import pikepdf
import pypdfium2
import pytest
from click.testing import CliRunner
from linenleaf.chart.options import Paper
from linenleaf.cli import main
from linenleaf.diff.compare import compare
from linenleaf.diff.errata import corrections
from linenleaf.resolve.read import read

from tests.diff.pairs import of_text, worked
from tests.pages import pages_of
from tests.patience import PATIENCE

DATA = Path(__file__).resolve().parent.parent / "data" / "diff"
RING = (0xB0, 0x10, 0x3C)
POINT = 72 / 25.4


def chart(name):
    design, _ = read(DATA / f"{name}.linen")
    return worked(design)


def differences(old, new):
    return compare(chart(old), chart(new))


@pytest.fixture(scope="module")
def sheet(tmp_path_factory):
    """The sheet of corrections of the moved boats, as a file, made without a finding."""
    data, findings = corrections(differences("boats-1", "boats-moves"))
    assert findings == ()
    path = tmp_path_factory.mktemp("sheet") / "sheet.pdf"
    path.write_bytes(data)
    return path


@pytest.fixture(scope="module")
def words(sheet):
    pages = [each.get_textpage().get_text_range() for each in pypdfium2.PdfDocument(str(sheet))]
    return " ".join(" ".join(pages).split())


@cache
def few(paper):
    """A few corrections: their sheet, made without a finding."""
    data, findings = corrections(differences("boats-1", "boats-motif"), paper)
    assert findings == ()
    return data


def test_a_few_corrections_make_one_page():
    assert len(pypdfium2.PdfDocument(few(Paper.A4))) == 1


@pytest.mark.parametrize("paper", list(Paper))
def test_every_paper_has_its_size(paper):
    for each in pypdfium2.PdfDocument(few(paper)):
        size = each.get_size()
        assert size == pytest.approx((paper.width * POINT, paper.height * POINT), abs=0.1)


def test_what_changed_is_told_with_both_editions(words):
    assert "Corrections Two Boats" in words
    assert "Edition 1" in words
    assert "Edition 2" in words
    assert "14 March 2026" in words
    assert "1 October 2026" in words
    assert "For everyone who has edition 1." in words
    assert "Boat moved 4 columns to the left and 1 row down." in words
    assert "Rows 1–11" not in words  # the first boat stands as it stood
    assert "“EBB” → “BEE”" in words
    assert "Note (row 2, column 9) reads: “Work the mast last, over the crosses.”" in words


def test_those_who_have_begun_are_told_what_to_do(words):
    told = words.count("If you have stitched past this:")
    assert told == 5  # the boat, the text, the line, the fish off the grid, the four others
    assert "nothing else goes there" in words
    assert "Never take stitches out of an old textile: ask a textile conservator." in words


def test_what_only_tells_what_changed_gives_no_advice():
    data, _ = corrections(differences("boats-1", "boats-moves"), advice=False)
    page = pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()
    assert "What changed" in page
    assert "stitched past" not in page


def test_the_key_fabric_and_thread_come_before_the_chart():
    data, _ = corrections(differences("boats-1", "boats-key"))
    page = pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()
    page = " ".join(page.split())
    assert "Before you go on" in page
    assert "Shore 12 sail canvas, 2 strands → shore 58 rope brown, 2 strands; 54 stitches." in page
    assert "Shore 12 sail canvas: none instead of 1 skein." in page
    assert "Fabric: 28-count linen over two → 32-count linen over two." in page
    assert "On the chart" not in page


def test_a_shift_tells_how_to_find_ones_place():
    data, _ = corrections(differences("boats-1", "boats-shifted"))
    page = " ".join(pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range().split())
    assert "The whole chart moved 4 columns to the right and 2 rows down." in page
    assert "add 4 to each column number and add 2 to each row number of the old one" in page


def test_the_changed_places_are_ringed_before_and_after(sheet):
    found = 0
    for page in pypdfium2.PdfDocument(str(sheet)):
        image = page.render(scale=3, rev_byteorder=True).to_numpy()
        image = image[:, image.shape[1] * 3 // 10 :, :3].astype(np.int16)
        near = np.abs(image - np.int16(RING)).sum(axis=2) < 30
        # Rings stand in two columns, before and after.
        half = near.shape[1] // 2
        found += bool(near[:, :half].sum() > 300) + bool(near[:, half:].sum() > 300)
    assert found >= 2


def test_it_is_tagged_and_every_picture_speaks(sheet):
    report = validator.validate_pdf(sheet, profile=validator.ValidationProfile.PDF_UA_1)
    assert report.is_compliant, report
    with pikepdf.open(sheet) as pdf:
        assert str(pdf.Root.Lang) == "en-GB"
        assert str(pdf.docinfo.Title) == "Corrections to Two Boats"
        assert str(pdf.docinfo.Author) == "Tern & Teasel"
        alts = [str(each.Alt) for each in pdf.objects if isinstance(each, pikepdf.Dictionary)
                and "/Alt" in each]  # fmt: skip
    assert any(
        re.match(r"Edition 1, rows \d+–\d+, columns \d+–\d+: Boat moved", each) for each in alts
    )
    assert any(each.startswith("Edition 2, rows") for each in alts)


def test_all_fonts_are_inside(sheet):
    with pikepdf.open(sheet) as pdf:
        names = set()
        for each in pdf.objects:
            if isinstance(each, pikepdf.Dictionary) and each.get("/Type") == "/FontDescriptor":
                assert any(key in each for key in ("/FontFile", "/FontFile2", "/FontFile3"))
                names.add(str(each.FontName))
    assert {"/LinenleafBefore", "/LinenleafAfter"} <= names


def test_the_command_gives_the_same_bytes_and_names_them_after_the_new_chart(sheet, tmp_path):
    for each in ("boats-1.linen", "boats-moves.linen", "shore.csv"):
        (tmp_path / each).write_bytes((DATA / each).read_bytes())
    done = subprocess.run(
        [sys.executable, "-m", "linenleaf", "errata", "boats-1.linen", "boats-moves.linen"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONHASHSEED": "1"},
        check=True,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=PATIENCE,
    )
    name = done.stdout.splitlines()[-1]
    assert name == "boats-moves--corrections-from-boats-1_1fdf84cdff11.pdf"
    assert (tmp_path / name).read_bytes() == sheet.read_bytes()


def test_nothing_changed_is_said_so():
    data, _ = corrections(differences("boats-1", "boats-same"))
    page = pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()
    assert "Nothing has changed" in page


def test_one_edition_for_two_charts_is_found_fault_with(tmp_path, monkeypatch):
    (tmp_path / "shore.csv").write_bytes((DATA / "shore.csv").read_bytes())
    text = (DATA / "boats-1.linen").read_text()
    (tmp_path / "old.linen").write_text(text)
    (tmp_path / "new.linen").write_text(text.replace("at 40,1", "at 41,1"))
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(main, ["errata", "old.linen", "new.linen"])
    assert done.exit_code == 0
    assert "Both charts are edition 1" in done.output


def test_the_list_goes_into_the_new_edition(tmp_path):
    done = CliRunner().invoke(
        main,
        ["errata", str(DATA / "boats-1.linen"), str(DATA / "boats-moves.linen"), "--revisions"],
    )
    assert done.exit_code == 0
    lines = done.output.splitlines()
    assert all(each.startswith('revision "2" 2026-10-01 "') for each in lines)
    (tmp_path / "shore.csv").write_bytes((DATA / "shore.csv").read_bytes())
    path = tmp_path / "boats.linen"
    path.write_text((DATA / "boats-moves.linen").read_text() + done.output)
    design, findings = read(path)
    assert findings == ()
    told = [each.text for each in design.revisions if each.edition == "2"]
    assert len(told) == len(lines)
    assert any("“EBB” → “BEE”" in each for each in told)


def test_a_sheet_speaks_its_language_to_readers_and_machines(tmp_path):
    (tmp_path / "shore.csv").write_bytes((DATA / "shore.csv").read_bytes())
    charts = []
    for name in ("boats-1", "boats-motif"):
        path = tmp_path / f"{name}.linen"
        text = (DATA / path.name).read_text("utf-8")
        path.write_text(text.replace("  designer", "  language de\n  designer"), "utf-8")
        charts.append(worked(read(path)[0]))
    data, findings = corrections(compare(*charts), Paper.A5)
    assert findings == ()
    with pikepdf.open(BytesIO(data)) as pdf:
        assert str(pdf.Root.Lang) == "de"
        assert str(pdf.docinfo.Title) == "Korrekturen zu Two Boats"
        alts = [str(each.Alt) for each in pdf.objects if isinstance(each, pikepdf.Dictionary)
                and "/Alt" in each]  # fmt: skip
    assert any(each.startswith("Ausgabe 2, Reihen") for each in alts)
    pages = [each.get_textpage().get_text_range() for each in pypdfium2.PdfDocument(data)]
    text = " ".join(" ".join(pages).split())
    assert "14. März 2026" in text
    assert "Im Zählmuster" in text
    assert "Wenn Sie schon weiter sind:" in text
    assert "Edition" not in text


def test_nothing_runs_off_a_page(tmp_path):
    """A key of 36 lines in other threads, a motif with many changes and 139 added lines."""
    signs = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJ"
    key = "".join(f'  {sign} #{4000 * at:06x} "old {at}"\n' for at, sign in enumerate(signs))
    rows = "".join(f"  |{signs}|\n" for _ in range(30))
    head = 'linen 1\nbooklet "Field"\n  edition "1" 2026-03-14\n\nfabric linen 28 over 2\n\nkey\n'
    text = f'{head}{key}  mast #112233 "mast" back 1 strand\n\nchart 36 x 30\n{rows}'
    lines = "".join(f"  line mast {n % 16 * 2},{n // 16 * 2} {n % 16 * 2 + 1},{n // 16 * 2 + 2}\n"
                    for n in range(139))  # fmt: skip
    new = text.replace("old ", "new ").replace("1 strand", "2 strands").replace('"1"', '"2"')
    new = new.replace("|" + signs, "|" + signs[::-1], 3) + lines
    charts = of_text(text, tmp_path / "old.linen"), of_text(new, tmp_path / "new.linen")
    data, findings = corrections(compare(*charts), Paper.A5)
    assert findings == ()
    sheets = pages_of(data)
    for page in sheets:
        for letter in page.chars:
            assert 10 < letter["x0"] < letter["x1"] < page.width - 10
            assert 10 < letter["top"] < letter["bottom"] < page.height - 10
    told = " ".join(page.extract_text() for page in sheets)
    assert all(f"new {at}, " in told for at in range(len(signs)))
