"""Pictures of strangers: what is sound, what is damaged, and what of them is printed."""

from __future__ import annotations

import io
import random

import numpy as np
import pypdfium2
import pytest
from linenleaf.core import raster
from linenleaf.core.raster import Damaged, look_at, picture_size, printable
from linenleaf.pdf.renderer import Sheet, press
from PIL import Image

from tests.rasters import DAMAGED, SOUND, STRANGE_PROFILE, image, saved


def shown(data: bytes) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """The colours in the middle of both halves, on white."""
    with Image.open(io.BytesIO(data)) as picture:
        flat = Image.new("RGBA", picture.size, "white")
        flat.alpha_composite(picture.convert("RGBA"))
    middle = flat.height // 2
    halves = [flat.getpixel((flat.width * part // 4, middle))[:3] for part in (1, 3)]
    return halves[0], halves[1]


@pytest.mark.parametrize("kind", SOUND)
def test_every_kind_becomes_a_picture_of_its_colours(kind):
    data, left, right = SOUND[kind]
    assert look_at(data)
    made = printable(data)
    with Image.open(io.BytesIO(made.data)) as picture:
        assert picture.size == (made.width, made.height)
        assert Image.MIME[picture.format] == made.media
        assert picture.mode in {"L", "RGB", "LA", "RGBA"}
        assert "exif" not in picture.info
    assert made.width > made.height
    np.testing.assert_allclose(shown(made.data), (left, right), atol=6)


@pytest.mark.parametrize("kind", DAMAGED)
def test_what_is_damaged_is_refused(kind):
    with pytest.raises(Damaged):
        look_at(DAMAGED[kind])


@pytest.mark.parametrize("kind", STRANGE_PROFILE)
def test_a_profile_that_cannot_be_used_is_told_and_left_out(kind):
    assert not look_at(STRANGE_PROFILE[kind])
    np.testing.assert_allclose(
        shown(printable(STRANGE_PROFILE[kind]).data), shown(SOUND["jpeg"][0]), atol=6
    )


def test_an_ordinary_jpeg_stays_as_it_was_but_for_its_metadata():
    plain = saved(image(), "JPEG")
    exif = Image.Exif()
    exif[0x010E] = "Taken in the garden"
    told = saved(image(), "JPEG", exif=exif, comment=b"by nobody") + b"more behind it"
    assert printable(plain).data == plain
    assert printable(told).data == plain


def test_a_picture_is_decoded_once(monkeypatch):
    data = saved(image(left=(1, 2, 3)), "JPEG")
    look_at(data)
    monkeypatch.setattr(raster, "_decoded", lambda _: pytest.fail("decoded again"))
    assert printable(data).media == "image/jpeg"


def test_a_large_picture_written_anew_is_no_larger_than_print_needs():
    data = saved(Image.new("1", (8000, 400)))
    made = printable(data)
    assert (made.width, made.height) == (raster.PRINTED_SIDE, 250)


def test_the_size_is_that_of_the_header_whatever_follows():
    assert picture_size(DAMAGED["jpeg-header-alone"]) == (48, 36)
    assert picture_size(DAMAGED["png-header-alone"]) == (48, 36)
    assert picture_size(b"GIF89a" + bytes(50)) is None


def test_harmed_pictures_are_refused_or_can_be_shown():
    """What is let through is decoded by another reader out of the PDF (PDFium)."""
    draw = random.Random(5)
    files = {}
    for number in range(150):
        kind = draw.choice(list(SOUND))
        harmed = bytearray(SOUND[kind][0])
        for _ in range(draw.randint(1, 3)):
            harmed[draw.randrange(len(harmed))] = draw.randrange(256)
        try:
            made = printable(bytes(harmed))
        except Damaged:
            continue
        files[f"folder:{number}"] = made.data, made.media
    assert 20 < len(files) < 130
    body = "".join(f'<p><img src="{each}" alt="x"/></p>' for each in files)
    page = f'<html lang="en"><head><title>x</title></head><body>{body}</body></html>'
    printed = press(Sheet(page, "", None, files))
    assert printed.remarks == ()
    pictures = 0
    with pypdfium2.PdfDocument(printed.data) as pdf:
        for sheet in pdf:
            for each in sheet.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_IMAGE]):
                each.get_bitmap().to_pil().load()
                pictures += 1
    assert pictures == len(files)
