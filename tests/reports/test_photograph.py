"""The colour of a patch of a photograph: pictures painted for the test, in other lights."""

import io
import zlib

import numpy as np
import pytest
from coloraide import Color
from coloraide.cat import WHITES
from linenleaf.colour.colorimetry import ciede2000
from linenleaf.importing.patch import GREY, WHITE, NotMeasured, measure
from PIL import Image, ImageCms, ImageFile

PATCH, CARD = (10, 10, 60, 60), (80, 10, 130, 60)


def seen(colour, light, exposure):
    """8-bit channels of a colour as a camera would put them down under another light."""
    xyz = Color(colour).convert("xyz-d65").coords()
    cast = Color.chromatic_adaptation(
        WHITES["2deg"]["D65"], WHITES["2deg"][light], xyz, method="bradford"
    )
    linear = Color("xyz-d65", [each * exposure for each in cast]).convert("srgb-linear").coords()
    assert max(linear) <= 1
    return np.array(Color("srgb-linear", linear).convert("srgb").coords()) * 255


def picture(thread, card, light="D65", exposure=1.0, noise=0.0, background=(90, 80, 70)):
    """A thread and a card on a table, 150 x 80 pixels."""
    pixels = np.empty((80, 150, 3))
    pixels[:] = background
    pixels[10:60, 10:60] = seen(thread, light, exposure)
    pixels[10:60, 80:130] = seen(card, light, exposure)
    pixels += np.random.default_rng(2).normal(0, noise, pixels.shape) if noise else 0
    return Image.fromarray(np.clip(np.rint(pixels), 0, 255).astype(np.uint8))


def saved(image, path, **options):
    image.save(path, **options)
    return path


def grey_of(share):
    """The grey that gives back a share of the light."""
    return Color("xyz-d65", [each * share for each in Color("white").convert("xyz-d65").coords()])


def truth(colour):
    return Color(colour).convert("lab-d65").coords()


@pytest.mark.parametrize("colour", ["#8a6a49", "#1f3148", "#9a5a48", "#79aaa3", "#d9c9a3"])
@pytest.mark.parametrize(("light", "exposure"), [("D65", 1.0), ("D50", 0.8), ("A", 0.5)])
def test_a_card_in_the_same_light_gives_the_true_colour_back(tmp_path, colour, light, exposure):
    for name, share in (("white", WHITE), ("grey", GREY)):
        image = picture(colour, grey_of(share), light, exposure)
        found = measure(saved(image, tmp_path / f"{name}.png"), PATCH, CARD, share)
        # Less than is seen side by side; the rest is the rounding of dark channels to 8 bits.
        assert ciede2000(found.lab, truth(colour)) < 1.0
        assert found.doubts == ()


def test_without_a_card_the_cast_stays_and_is_told(tmp_path):
    image = picture("#8a6a49", grey_of(WHITE), "A", 0.6)
    found = measure(saved(image, tmp_path / "warm.png"), PATCH, None, WHITE)
    assert ciede2000(found.lab, truth("#8a6a49")) > 10
    assert "Without a grey or white patch" in found.doubts[0]


def test_noise_specks_and_shadows_are_left_out(tmp_path):
    image = picture("#79aaa3", grey_of(WHITE), "D50", 0.8, noise=2.0)
    pixels = np.array(image)
    pixels[12:58:6, 10:60] = 40  # shadows between threads
    pixels[15:58:12, 10:60] = 250  # glints
    path = saved(Image.fromarray(pixels), tmp_path / "noisy.png")
    assert ciede2000(measure(path, PATCH, CARD, WHITE).lab, truth("#79aaa3")) < 1.0


def test_a_jpeg_and_corners_the_other_way_round(tmp_path):
    path = saved(picture("#79aaa3", grey_of(WHITE)), tmp_path / "p.jpg", quality=95)
    found = measure(path, (60, 60, 10, 10), (130, 10, 80, 60), WHITE)
    assert ciede2000(found.lab, truth("#79aaa3")) < 1.0


def test_a_picture_that_lies_on_its_side_is_measured_as_it_is_looked_at(tmp_path):
    image = picture("#79aaa3", grey_of(WHITE)).transpose(Image.Transpose.ROTATE_90)
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned a quarter clockwise
    path = saved(image, tmp_path / "side.jpg", exif=exif, quality=95)
    assert ciede2000(measure(path, PATCH, CARD, WHITE).lab, truth("#79aaa3")) < 1.0


def test_the_colour_profile_of_a_picture_is_followed(tmp_path):
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    image = picture("#79aaa3", grey_of(WHITE))
    path = saved(image, tmp_path / "profiled.png", icc_profile=profile)
    found = measure(path, PATCH, CARD, WHITE)
    assert ciede2000(found.lab, truth("#79aaa3")) < 1.0
    assert found.doubts == ()
    broken = saved(image, tmp_path / "broken.png", icc_profile=b"no profile")
    assert "profile of the picture cannot be read" in measure(broken, PATCH, CARD, WHITE).doubts[0]


def profile_of(red, green, blue):
    """A colour profile with these primaries (XYZ under D50) and a gamma of 2.2 (ICC.1:2022)."""

    def number(value):
        return round(value * 65536).to_bytes(4, "big", signed=True)

    tags = {
        b"wtpt": b"XYZ \0\0\0\0" + b"".join(map(number, (0.9642, 1.0, 0.8249))),
        **{
            name: b"XYZ \0\0\0\0" + b"".join(map(number, each))
            for name, each in ((b"rXYZ", red), (b"gXYZ", green), (b"bXYZ", blue))
        },
        **{
            name: b"curv\0\0\0\0" + (1).to_bytes(4, "big") + bytes([2, 51, 0, 0])
            for name in (b"rTRC", b"gTRC", b"bTRC")
        },
    }
    table, body = b"", b""
    for name, data in tags.items():
        start = 128 + 4 + 12 * len(tags) + len(body)
        table += name + start.to_bytes(4, "big") + len(data).to_bytes(4, "big")
        body += data
    body = len(tags).to_bytes(4, "big") + table + body
    head = (128 + len(body)).to_bytes(4, "big") + bytes(4) + bytes([2, 0x40, 0, 0])
    head += b"mntrRGB XYZ " + bytes(12) + b"acsp" + bytes(28)
    head += b"".join(map(number, (0.9642, 1.0, 0.8249)))
    return head.ljust(128, b"\0") + body


def test_a_picture_in_a_wider_colour_space(tmp_path):
    # The primaries of Display P3 (CSS Color Module Level 4), under D50.
    primaries = [
        Color("display-p3", each).convert("xyz-d50").coords()
        for each in ((1, 0, 0), (0, 1, 0), (0, 0, 1))
    ]
    levels = (160, 90, 70)
    image = Image.new("RGB", (150, 80), levels)
    path = saved(image, tmp_path / "wide.png", icc_profile=profile_of(*primaries))
    light = [(each / 255) ** (2 + 51 / 256) for each in levels]
    xyz = np.array(primaries).T @ light
    expected = Color("xyz-d50", xyz.tolist()).convert("lab-d65").coords()
    plain = saved(image, tmp_path / "plain.png")
    assert ciede2000(measure(path, PATCH, None, WHITE).lab, expected) < 0.5
    assert ciede2000(measure(plain, PATCH, None, WHITE).lab, expected) > 2


@pytest.mark.parametrize("mode", ["L", "P", "RGBA", "LA"])
def test_other_kinds_of_pictures(tmp_path, mode):
    image = picture("#808080", grey_of(WHITE), background=(90, 90, 90))
    image = image.quantize(8) if mode == "P" else image.convert(mode)
    path = saved(image, tmp_path / "kind.png")
    assert ciede2000(measure(path, PATCH, CARD, WHITE).lab, truth("#808080")) < 1.5


def test_a_colour_beyond_what_the_picture_can_hold_is_told(tmp_path):
    # A saturated red under a candle-warm light has no blue left.
    image = picture("#a3442b", grey_of(WHITE), "A", 0.5)
    said = " ".join(measure(saved(image, tmp_path / "red.png"), PATCH, CARD, WHITE).doubts)
    assert "The patch is burnt out or black" in said


# --- doubts --------------------------------------------------------------------------------------


def doubts_of(image, tmp_path, patch=PATCH, card=CARD, share=WHITE):
    return " ".join(measure(saved(image, tmp_path / "doubt.png"), patch, card, share).doubts)


def test_a_burnt_out_reference_is_told(tmp_path):
    pixels = np.array(picture("#79aaa3", grey_of(WHITE)))
    pixels[10:60, 80:130] = 255
    said = doubts_of(Image.fromarray(pixels), tmp_path)
    assert "The reference is burnt out or black" in said


def test_a_patch_of_two_colours_is_told(tmp_path):
    pixels = np.array(picture("#79aaa3", grey_of(WHITE)))
    pixels[10:60, 10:35] = (30, 30, 60)
    assert "The patch holds more than one colour" in doubts_of(Image.fromarray(pixels), tmp_path)


def test_a_patch_lighter_than_the_white_is_told(tmp_path):
    image = picture("#f0f0f0", grey_of(0.3))
    assert "lighter than white" in doubts_of(image, tmp_path)


# --- what cannot be measured ---------------------------------------------------------------------


@pytest.fixture
def photo(tmp_path):
    return saved(picture("#79aaa3", grey_of(WHITE)), tmp_path / "photo.png")


@pytest.mark.parametrize(
    ("patch", "card", "said"),
    [
        ((0, 0, 151, 10), CARD, "The patch at 0,0 151,10 leaves the picture, which is 150 x 80"),
        (PATCH, (0, 70, 10, 81), "The reference at 0,70 10,81 leaves the picture"),
        ((10, 10, 13, 60), CARD, "The patch is too small"),
        ((10, 10, 10, 10), CARD, "The patch is too small"),
    ],
)
def test_corners_out_of_place(photo, patch, card, said):
    with pytest.raises(NotMeasured, match=said):
        measure(photo, patch, card, WHITE)


def test_a_reference_in_the_dark(tmp_path):
    with pytest.raises(NotMeasured, match="too dark"):
        doubts_of(picture("#79aaa3", "#050505"), tmp_path)


def test_a_transparent_patch(tmp_path):
    image = picture("#79aaa3", grey_of(WHITE)).convert("RGBA")
    image.putalpha(Image.linear_gradient("L").resize(image.size))
    with pytest.raises(NotMeasured, match="transparent"):
        doubts_of(image, tmp_path)


def png_of_size(width, height):
    """A PNG that only says how large it is."""
    header = width.to_bytes(4, "big") + height.to_bytes(4, "big") + bytes([8, 2, 0, 0, 0])
    chunk = b"IHDR" + header
    crc = zlib.crc32(chunk).to_bytes(4, "big")
    return b"\x89PNG\r\n\x1a\n" + (13).to_bytes(4, "big") + chunk + crc


def jpeg_bytes():
    out = io.BytesIO()
    picture("#79aaa3", grey_of(WHITE)).save(out, "JPEG")
    return out.getvalue()


def sixteen_bits():
    out = io.BytesIO()
    Image.fromarray(np.full((80, 150), 40_000, np.uint16)).save(out, "PNG")
    return out.getvalue()


def in_print_colours():
    out = io.BytesIO()
    picture("#79aaa3", grey_of(WHITE)).convert("CMYK").save(out, "JPEG")
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "not a PNG or JPEG"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "not a PNG or JPEG"),
        (b"GIF89a" + bytes(50), "not a PNG or JPEG"),
        (png_of_size(50_000, 50_000), "50,000 x 50,000 pixels"),
        (png_of_size(9_000, 9_000), "9,000 x 9,000 pixels"),
        (png_of_size(150, 80), "cannot be read as a picture"),
        (jpeg_bytes()[:700], "cannot be read as a picture"),
        (sixteen_bits(), "8-bit sRGB"),
        (in_print_colours(), "8-bit sRGB"),
    ],
)
@pytest.mark.parametrize("filled_up", [False, True])
def test_what_is_no_picture_of_bounded_size(tmp_path, monkeypatch, filled_up, data, said):
    # What sets pages lets Pillow fill up pictures that are cut off: here, with a wrong colour.
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", filled_up)
    path = tmp_path / "stranger.png"
    path.write_bytes(data)
    with pytest.raises(NotMeasured, match=said):
        measure(path, PATCH, CARD, WHITE)


@pytest.mark.parametrize("seed", range(40))
def test_a_harmed_picture_is_measured_or_refused(tmp_path, seed):
    rng = np.random.default_rng(seed)
    data = bytearray(jpeg_bytes())
    for at in rng.integers(2, len(data), 6).tolist():
        data[at] = int(rng.integers(256))
    path = tmp_path / "harmed.jpg"
    path.write_bytes(bytes(data))
    try:
        found = measure(path, PATCH, CARD, WHITE).lab
    except NotMeasured as reason:
        found, said = np.zeros(3), str(reason)
    else:
        said = "measured"
    assert said
    assert np.isfinite(found).all()
