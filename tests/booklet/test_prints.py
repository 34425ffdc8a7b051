"""Pictures from the chart's folder to the page, read back by others: qpdf and PDFium."""

from __future__ import annotations

import io

import numpy as np
import pikepdf
import pypdfium2
import pytest
from linenleaf.booklet.book import bind
from linenleaf.chart.options import Options, Purpose
from linenleaf.core.diagnostics import has_errors
from linenleaf.flow import Composed, set_out
from linenleaf.resolve import pictures
from linenleaf.resolve.read import read

from tests.rasters import DAMAGED, SOUND, STRANGE_PROFILE

CHART = """\
linen 1
booklet "Reed"
  cover front.jpg
  story story.md
  picture side.png "A reed"
fabric linen 28 over 2
key
  m  #3f4a2c "wrack"
chart 2 x 1
  |mm|
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "reed.linen").write_text(CHART, "utf-8")
    (tmp_path / "front.jpg").write_bytes(SOUND["jpeg-cmyk"][0])
    (tmp_path / "side.png").write_bytes(SOUND["png-16-grey"][0])
    (tmp_path / "story.md").write_text("A reed.\n", "utf-8")
    return tmp_path


def wanted(folder):
    return [(each.name, each.span.path, each.span.line) for each in read(folder / "reed.linen")[1]]


@pytest.mark.parametrize("purpose", [Purpose.SCREEN, Purpose.ARCHIVE])
def test_pictures_of_every_kind_are_printed_in_their_colours(folder, purpose):
    kinds = list(SOUND) if purpose is Purpose.SCREEN else ["jpeg-cmyk", "jpeg", "png-alpha"]
    for kind in kinds:
        (folder / f"{kind}.bin").write_bytes(SOUND[kind][0])
    story = "\n\n".join(f"![{each}]({each}.bin)" for each in kinds)
    (folder / "story.md").write_text(story, "utf-8")
    chart = folder / "reed.linen"
    composed = set_out(chart)
    assert isinstance(composed, Composed)
    sources = (chart,) if purpose is Purpose.ARCHIVE else ()
    bound, findings = bind(composed.worked, Options(purpose=purpose), sources=sources)
    assert [each.message for each in findings] == []
    with pikepdf.open(io.BytesIO(bound.data)) as pdf:
        assert pdf.check_pdf_syntax() == []
        spaces = set()
        for each in pdf.objects:
            if isinstance(each, pikepdf.Stream) and each.get("/Subtype") == "/Image":
                pikepdf.PdfImage(each).as_pil_image().load()
                spaces.add(str(each.ColorSpace))
        assert spaces == {"/DeviceRGB", "/DeviceGray"}  # no inks: the booklet is meant for sRGB
    colours = [SOUND[each][1:] for each in ("jpeg-cmyk", *kinds, "png-16-grey")]
    np.testing.assert_allclose(list(seen(bound.data)), colours, atol=8)


def seen(data):
    """The colours of both halves of each picture beside the chart, as they stand on the page."""
    with pypdfium2.PdfDocument(data) as pdf:
        for page in pdf:
            pixels = page.render(scale=1).to_numpy()[..., ::-1]
            for each in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_IMAGE]):
                if each.get_px_size() in {(48, 36), (32, 24)}:
                    left, bottom, right, top = each.get_bounds()
                    row = pixels[round(page.get_height() - (bottom + top) / 2)]
                    yield tuple(
                        row[round(left + (right - left) * part / 4)].tolist() for part in (1, 3)
                    )


@pytest.mark.parametrize("kind", ["png-without-data", "jpeg-cut"])
def test_a_damaged_picture_is_an_error_at_every_line_that_names_it(folder, kind):
    (folder / "front.jpg").write_bytes(DAMAGED[kind])
    (folder / "story.md").write_text("A reed.\n\n| a |\n|---|\n| ![b](front.jpg) |\n", "utf-8")
    told = wanted(folder)
    assert [each[0] for each in told] == ["damaged-picture"] * 2
    assert [each[1].rpartition("/")[2] for each in told] == ["reed.linen", "story.md"]
    assert [each[2] for each in told] == [3, 5]


def test_a_strange_profile_is_a_warning_at_its_line(folder):
    (folder / "side.png").write_bytes(STRANGE_PROFILE["png-no-profile"])
    ((name, _, line),) = wanted(folder)
    assert (name, line) == ("strange-profile", 5)
    assert not has_errors(read(folder / "reed.linen")[1])


def test_pictures_have_limits_together(folder, monkeypatch):
    monkeypatch.setattr(pictures, "MOST_PIXELS_IN_ALL", 48 * 36 * 3)
    # The cover again, which counts once, and two more are as many as may be.
    story = "![a](front.jpg) ![b](a.png)\n\n![c](side.png)\n\n![d](b.png)\n"
    (folder / "story.md").write_text(story, "utf-8")
    (folder / "a.png").write_bytes(SOUND["png-colour"][0])
    (folder / "b.png").write_bytes(SOUND["png-colour"][0])
    assert [(each[0], each[2]) for each in wanted(folder)] == [("too-many-pictures", 5)]
