"""Pictures in a PDF, as an independent reader (pikepdf, with Pillow) takes them out again."""

import io
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from linenleaf.pdf.document import Sheet
from linenleaf.pdf.renderer import press
from PIL import Image

PAGE = '<html lang="en"><title>t</title><body><img src="reed:" alt="reed"{}/></body></html>'
GRADIENT = np.add.outer(np.arange(40) * 3, np.arange(60) * 2).astype(np.uint8)


def picture(mode: str) -> Image.Image:
    grey = Image.fromarray(GRADIENT)
    if mode in ("LA", "RGBA"):
        made = grey.convert(mode.replace("A", "") or "L").convert(mode)
        made.putalpha(grey)
        return made
    return grey.convert(mode)


def embedded(picture: Image.Image, kind: str, style: str = "", **how: object):
    """The picture as it lies in the PDF, and its soft mask."""
    out = io.BytesIO()
    picture.save(out, kind, **how)
    files = {"reed:": (out.getvalue(), f"image/{kind.lower()}")}
    made = press(Sheet(PAGE.format(style), "@page { size: 100mm }", Path(), files))
    assert made.remarks == ()
    with pikepdf.open(io.BytesIO(made.data)) as pdf:
        [image] = pdf.pages[0].get_images().values()
        mask = pikepdf.PdfImage(image.SMask).as_pil_image() if "/SMask" in image else None
        return pikepdf.PdfImage(image).as_pil_image(), mask


@pytest.mark.parametrize("mode", ["L", "RGB", "P", "1", "LA", "RGBA"])
def test_every_pixel_of_a_png_is_there(mode):
    first = picture(mode)
    shown, mask = embedded(first, "PNG")
    plain = first.convert("RGBA" if mode in ("LA", "RGBA") else "RGB")
    assert np.array_equal(np.asarray(shown.convert("RGB")), np.asarray(plain)[..., :3])
    if plain.mode == "RGBA":
        assert np.array_equal(np.asarray(mask), GRADIENT)
    else:
        assert mask is None


def test_a_colour_that_counts_as_none_is_none():
    first = picture("P")
    _, mask = embedded(first, "PNG", transparency=0)
    assert mask is not None
    assert np.array_equal(np.asarray(mask) == 0, np.asarray(first) == 0)


@pytest.mark.parametrize("mode", ["L", "RGB"])
@pytest.mark.parametrize("how", [{}, {"progressive": True}], ids=["baseline", "progressive"])
def test_a_jpeg_goes_in_as_it_is(mode, how):
    first = picture(mode)
    out = io.BytesIO()
    first.save(out, "JPEG", **how)
    with Image.open(out) as opened:
        wanted = np.asarray(opened)
    shown, _ = embedded(first, "JPEG", **how)
    assert np.array_equal(np.asarray(shown), wanted)


@pytest.mark.parametrize(("kind", "mode"), [("PNG", "RGBA"), ("JPEG", "RGB")])
def test_a_picture_too_fine_for_print_is_thinned_out(kind, mode):
    """60 pixels over 2.54 mm are 600 to the inch, twice as many as are printed."""
    shown, mask = embedded(picture(mode), kind, ' style="width: 2.54mm"')
    assert shown.size == (30, 20)
    assert mask is None or mask.size == (30, 20)
