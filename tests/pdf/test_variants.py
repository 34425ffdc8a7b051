"""The PDF for a printer and the PDF for an archive, as independent readers find them."""

from __future__ import annotations

import io
import os
import re
import shutil
import subprocess
import sys
import time
from functools import lru_cache
from hashlib import sha256

import numpy as np
import page as validator
import pdfplumber
import pikepdf
import pytest
from click.testing import CliRunner
from linenleaf.booklet.book import bind
from linenleaf.chart.options import Options, Paper, Purpose
from linenleaf.cli import main
from linenleaf.pdf.pressroom import ALONE
from linenleaf.pdf.printprofile import NotAProfile, opened, srgb
from PIL import Image, ImageCms

from tests.patience import PATIENCE

from .. import book_chart

POINT = 72 / 25.4


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("variants")
    book_chart.write(made, book_chart.source(40, 20))
    return made


@pytest.fixture
def reed(tmp_path):
    """A chart of few crosses, for what is alike in every booklet."""
    path = tmp_path / "reed.linen"
    path.write_text(book_chart.PLAIN, "utf-8")
    return path


@pytest.fixture
def in_zone(monkeypatch):
    """Have this process keep the time of a place."""

    def keep(zone):
        monkeypatch.setenv("TZ", zone)
        time.tzset()

    yield keep
    monkeypatch.undo()
    time.tzset()


@pytest.fixture(scope="module")
def printed_reed(tmp_path_factory):
    """The chart of few crosses for a printer, and what was said of it."""
    path = tmp_path_factory.mktemp("printed") / "reed.linen"
    path.write_text(book_chart.PLAIN, "utf-8")
    return bind(book_chart.worked(path), Options(purpose=Purpose.PRINT))


def build(folder, purpose, *more):
    target = folder / f"{purpose}.pdf"
    arguments = ["build", str(folder / "band.linen"), "--for", purpose, "-o", str(target), *more]
    done = CliRunner().invoke(main, arguments)
    assert done.exit_code == 0, done.output
    return target


@pytest.fixture(scope="module")
def for_print(folder):
    return build(folder, "print")


@pytest.fixture(scope="module")
def for_archive(folder):
    return build(folder, "archive")


# --- for a printer ------------------------------------------------------------------------------


def test_pages_have_3_mm_of_bleed_and_room_for_marks_around_the_paper(for_print):
    """A4 is 595.276 x 841.890 pt (ISO 216:2007); bleed of 3 mm, common practice."""
    with pikepdf.open(for_print) as pdf:
        for each in pdf.pages:
            trim, bleed, media = (
                np.array([float(side) for side in box])
                for box in (each.trimbox, each.obj.BleedBox, each.mediabox)
            )
            assert trim == pytest.approx([0, 0, 595.276, 841.890], abs=0.001)
            out = np.array([-1, -1, 1, 1])
            assert bleed == pytest.approx(trim + out * 3 * POINT, abs=0.01)
            assert media == pytest.approx(trim + out * 8 * POINT, abs=0.01)
            assert "/ArtBox" not in each.obj


RESOLUTION = 150


@lru_cache(maxsize=2)
def looked_at(page):
    return np.asarray(page.to_image(resolution=RESOLUTION).original.convert("L")).astype(int)


def ink(page, box):
    """The darkness of part of a page, with y from the top of the paper."""
    left, top, right, bottom = (round((each + 8 * POINT) * RESOLUTION / 72) for each in box)
    return 255 - looked_at(page)[top:bottom, left:right]


def test_the_picture_of_the_cover_runs_into_the_bleed_and_not_beyond(for_print):
    with pdfplumber.open(for_print) as pdf:
        page = pdf.pages[0]
        wide = 595.276
        end = 3 * POINT
        assert ink(page, (-end + 1, 100, 0, 400)).min() > 0
        assert ink(page, (wide, 100, wide + end - 1, 400)).min() > 0
        assert ink(page, (100, -end + 1, 400, 0)).min() > 0
        assert ink(page, (-8 * POINT, 100, -end - 1, 400)).max() == 0
        assert ink(page, (wide + end + 1, 100, wide + 8 * POINT, 400)).max() == 0


def test_crop_marks_point_at_the_corners_from_beyond_the_bleed(for_print):
    wide, high = 595.276, 841.890
    far, near = 8 * POINT, 3 * POINT
    with pdfplumber.open(for_print) as pdf:
        for page in pdf.pages:
            for x in (0, wide):
                for y0, y1 in ((-far, -near), (high + near, high + far)):
                    assert ink(page, (x - 1, y0, x + 1, y1)).max() > 150
            for y in (0, high):
                for x0, x1 in ((-far, -near), (wide + near, wide + far)):
                    assert ink(page, (x0, y - 1, x1, y + 1)).max() > 150
        # Between the marks and the paper there is nothing on a page without a picture.
        page = pdf.pages[1]
        for box in ((-near, -near, wide + near, 0), (-near, high, wide + near, high + near)):
            assert ink(page, box).max() == 0


def test_what_pdf_x_4_asks_for(for_print):
    """ISO 15930-7, from memory: no checker for PDF/X is in the registries."""
    with pikepdf.open(for_print) as pdf:
        assert pdf.pdf_version == "1.6"
        assert str(pdf.docinfo.Trapped) == "/False"
        assert "/Encrypt" not in pdf.trailer
        assert len(pdf.trailer.ID) == 2
        assert all("/Annots" not in each.obj for each in pdf.pages)
        assert "/AcroForm" not in pdf.Root
        (intent,) = pdf.Root.OutputIntents
        assert intent.S == "/GTS_PDFX"
        assert str(intent.OutputConditionIdentifier)
        with pdf.open_metadata() as meta:
            assert meta["pdfxid:GTS_PDFXVersion"] == "PDF/X-4"
            assert meta["xmp:CreateDate"] == meta["xmp:ModifyDate"] == "2026-03-14"
            assert meta["xmp:MetadataDate"] == "2026-03-14"
            assert meta["dc:title"] == "Saltmarsh Band"
        assert pdf.Root.Metadata.get("/Filter") is None
        profile = ImageCms.ImageCmsProfile(
            io.BytesIO(intent.DestOutputProfile.read_bytes())
        ).profile
        assert profile.device_class == "prtr"
        assert intent.DestOutputProfile.N == 3
        for each in pdf.objects:
            if isinstance(each, pikepdf.Dictionary) and each.get("/Type") == "/FontDescriptor":
                assert "/FontFile2" in each or "/FontFile3" in each
            if isinstance(each, pikepdf.Stream):
                assert "/F" not in each  # nothing outside the file
                assert each.get("/Filter") != "/LZWDecode"


def test_every_colour_has_a_profile(for_print):
    with pikepdf.open(for_print) as pdf:
        drawing = [each.obj for each in pdf.pages]
        drawing += [
            each
            for each in pdf.objects
            if isinstance(each, pikepdf.Stream) and each.get("/Subtype") == "/Form"
        ]
        assert len(drawing) > len(pdf.pages)
        for each in drawing:
            kind, profile = each.Resources.ColorSpace.DefaultRGB
            assert kind == "/ICCBased"
            assert profile.N == 3


def test_text_is_printed_in_black_ink_alone(printed_reed):
    with pdfplumber.open(io.BytesIO(printed_reed[0].data)) as pdf:
        for page in pdf.pages[1:]:
            foot = [each for each in page.chars if each["bottom"] > float(page.height) - 25 * POINT]
            assert foot
            assert {len(each["non_stroking_color"]) for each in foot} == {1}


def test_our_printing_condition_is_srgb():
    """LittleCMS 2.19, through Pillow, gives every colour as it gives sRGB of its own making."""
    rng = np.random.default_rng(5)
    steps = np.arange(256)[:, None, None] * np.ones((1, 8, 3), int)
    picture = np.concatenate([steps, rng.integers(0, 256, (256, 56, 3))], axis=1).astype(np.uint8)
    image = Image.fromarray(picture)
    ours = ImageCms.ImageCmsProfile(io.BytesIO(srgb().data))
    theirs, lab = ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB")
    for intent in range(4):
        seen = [
            np.asarray(
                ImageCms.applyTransform(
                    image, ImageCms.buildTransform(each, lab, "RGB", "LAB", intent)
                )
            ).astype(np.int16)
            for each in (ours, theirs)
        ]
        apart = np.abs(seen[0] - seen[1])
        assert np.minimum(apart, 256 - apart).max() <= 1
        back = ImageCms.applyTransform(
            image, ImageCms.buildTransform(theirs, ours, "RGB", "RGB", intent)
        )
        assert np.abs(np.asarray(back).astype(int) - picture).max() <= 1


def cmyk_profile():
    """Our profile with the signature of four inks: enough to be named, not to be converted with."""
    data = bytearray(srgb().data)
    data[16:20] = b"CMYK"
    return bytes(data)


def test_the_profile_that_a_printer_names_is_put_into_the_file(reed, tmp_path):
    (tmp_path / "press.icc").write_bytes(cmyk_profile())
    words = ["build", str(reed), "--for", "print", "--profile", str(tmp_path / "press.icc")]
    done = CliRunner().invoke(main, [*words, "-o", str(tmp_path / "x.pdf")])
    assert done.exit_code == 0, done.output
    with pikepdf.open(tmp_path / "x.pdf") as pdf:
        (intent,) = pdf.Root.OutputIntents
        assert intent.DestOutputProfile.read_bytes() == cmyk_profile()
        assert intent.DestOutputProfile.N == 4


def test_what_is_no_profile_of_a_printer_is_refused(folder, tmp_path):
    screen = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    for data in (b"", b"no profile", screen, b"\0" * 9_000_000):
        with pytest.raises(NotAProfile):
            opened(data)
    (tmp_path / "screen.icc").write_bytes(screen)
    chart = str(folder / "band.linen")
    for more in (["--for", "print"], []):
        done = CliRunner().invoke(
            main, ["build", chart, *more, "--profile", str(tmp_path / "screen.icc")]
        )
        assert done.exit_code == 2
        assert "--profile" in done.output


def test_a_printer_is_told_when_pages_do_not_come_in_fours(printed_reed):
    bound, findings = printed_reed
    named = [each.name for each in findings]
    assert ("not-in-fours" in named) == (bound.pages % 4 != 0)


# --- for an archive -----------------------------------------------------------------------------


def test_the_archive_fulfils_pdf_a_3u(for_archive):
    """page-validation 0.11, profile 3u (ISO 19005-3).

    It takes a compressed stream that ends with a line end for one with a wrong length; that the
    lengths are right is checked here byte by byte.
    """
    report = validator.validate_pdf(for_archive, profile=validator.ValidationProfile.PDF_A_3U)
    faults = [(each.rule_id, each.message) for each in report.failures]
    assert [each for each in faults if each[0] != "PDFA3U-STREAM-LENGTH-001"] == []
    data = for_archive.read_bytes()
    begun = list(re.finditer(rb"/Length (\d+)[^>]*>>\nstream\n", data))
    assert len(begun) > 20
    for each in begun:
        assert data[each.end() + int(each[1]) :].startswith(b"\nendstream")


def test_the_archive_is_tagged_and_dated_like_the_booklet_for_the_screen(for_archive):
    with pikepdf.open(for_archive) as pdf:
        assert bool(pdf.Root.MarkInfo.Marked)
        assert "/StructTreeRoot" in pdf.Root
        assert str(pdf.Root.Lang) == "en-GB"
        with pdf.open_metadata() as meta:
            assert meta["pdfaid:part"] == "3"
            assert meta["pdfaid:conformance"] == "U"
        (intent,) = pdf.Root.OutputIntents
        assert intent.S == "/GTS_PDFA1"


SOURCES = {"band.linen", "estuary.csv", "story.md", "framing.md", "found.png"}


def test_the_archive_holds_its_sources_as_they_are(for_archive, folder):
    with pikepdf.open(for_archive) as pdf:
        assert set(pdf.attachments) == SOURCES
        names = [str(each) for each in pdf.Root.Names.EmbeddedFiles.Names[::2]]
        assert names == sorted(names)
        assert len(pdf.Root.AF) == len(SOURCES)
        for entry in pdf.Root.AF:
            assert entry.AFRelationship == "/Source"
        for name, entry in pdf.attachments.items():
            file = entry.get_file()
            assert file.read_bytes() == (folder / name).read_bytes()
            assert file.size == (folder / name).stat().st_size
            assert file.md5
        assert pdf.attachments["band.linen"].get_file().mime_type == "text/plain"
        assert pdf.attachments["found.png"].get_file().mime_type == "image/png"


def test_sources_of_one_name_in_two_folders_are_both_kept(tmp_path):
    text = book_chart.source(40, 20, notes=False)
    text = text.replace("from estuary.csv", 'from "range/estuary.csv"')
    text = text.replace('section  "Framing" framing.md', 'section "Framing" later/story.md')
    book_chart.write(tmp_path, text)
    for name in ("range", "later"):
        (tmp_path / name).mkdir()
    shutil.move(tmp_path / "estuary.csv", tmp_path / "range" / "estuary.csv")
    shutil.move(tmp_path / "framing.md", tmp_path / "later" / "story.md")
    with pikepdf.open(build(tmp_path, "archive", "--whole")) as pdf:
        names = set(pdf.attachments)
        paths = {str(each.description) for each in pdf.attachments.values()}
    assert names == {"band.linen", "estuary.csv", "story.md", "later-story.md", "found.png"}
    assert any(each.endswith("later/story.md") for each in paths)


# --- the same bytes -----------------------------------------------------------------------------

BUILD = """\
import sys
from hashlib import sha256
from pathlib import Path
from linenleaf.cli import main
folder = Path(sys.argv[1])
for name, purpose in (("reed", "print"), ("band", "archive")):
    target = folder / f"again-{purpose}.pdf"
    chart = str(folder / f"{name}.linen")
    try:
        main(["build", chart, "--for", purpose, "-o", str(target)])
    except SystemExit as end:
        assert not end.code
    sys.stderr.write(sha256(target.read_bytes()).hexdigest() + "\\n")
"""


def digests(folder, **environment):
    done = subprocess.run(
        [sys.executable, "-c", BUILD, str(folder)],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, **environment},
        timeout=PATIENCE,
    )
    return [each for each in done.stderr.splitlines() if re.fullmatch("[0-9a-f]{64}", each)]


def test_from_the_sources_in_an_archive_another_process_builds_the_same_bytes(
    printed_reed, for_archive, tmp_path
):
    other = tmp_path / "an other folder"
    other.mkdir()
    with pikepdf.open(for_archive) as pdf:
        for name, entry in pdf.attachments.items():
            (other / name).write_bytes(entry.get_file().read_bytes())
    (other / "reed.linen").write_text(book_chart.PLAIN, "utf-8")
    here = [sha256(each).hexdigest() for each in (printed_reed[0].data, for_archive.read_bytes())]
    # The pages are set in it too: that another sets the same is shown in test_pressroom.
    assert digests(other, PYTHONHASHSEED="1", TZ="Asia/Tokyo", LC_ALL="C", **{ALONE: "1"}) == here
    assert here[0] != here[1]


@pytest.mark.parametrize("purpose", Purpose)
def test_a_stated_epoch_dates_every_pdf(reed, purpose, in_zone, monkeypatch):
    """reproducible-builds.org/specs/source-date-epoch; 86400 is the second day of 1970."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    options = Options(purpose=purpose, whole=not purpose.printed)
    made = []
    for zone in ("UTC", "America/Lima"):
        in_zone(zone)
        bound, _ = bind(book_chart.worked(reed), options, sources=[reed])
        made.append(bound.data)
    assert made[0] == made[1]
    with pikepdf.open(io.BytesIO(made[0])) as pdf:
        assert str(pdf.docinfo.CreationDate).startswith("D:19700102")
        assert len(pdf.attachments) == (purpose is Purpose.ARCHIVE)
        for entry in pdf.attachments.values():
            assert entry.get_file().creation_date.year == 1970


def test_a_booklet_without_a_date_is_dated_for_a_printer_and_this_is_said(reed, in_zone):
    reed.write_text(book_chart.PLAIN.replace(" 2026-03-14", ""), "utf-8")
    chart = book_chart.worked(reed)
    made = []
    for zone in ("UTC", "Asia/Tokyo"):
        in_zone(zone)
        bound, findings = bind(chart, Options(Paper.A5, purpose=Purpose.PRINT))
        assert "no-date" in [each.name for each in findings]
        made.append(bound.data)
    assert made[0] == made[1]
    with pikepdf.open(io.BytesIO(made[0])) as pdf:
        assert str(pdf.docinfo.ModDate).startswith("D:19700101")


def test_another_content_has_another_document_id(printed_reed, reed):
    reed.write_text(book_chart.PLAIN.replace("|..m|", "|.mm|"), "utf-8")
    other = bind(book_chart.worked(reed), Options(purpose=Purpose.PRINT))
    names = []
    for bound, _ in (printed_reed, other):
        with pikepdf.open(io.BytesIO(bound.data)) as pdf, pdf.open_metadata() as meta:
            names.append(meta["xmpMM:DocumentID"])
    assert names[0] != names[1]
    assert all(re.fullmatch(r"xmp\.did:[0-9a-f-]{36}", each) for each in names)
