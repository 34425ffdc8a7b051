"""A photograph is opened as it is looked at, in sRGB, with nothing but its pixels."""

from __future__ import annotations

import io

import numpy as np
import pytest
from linenleaf.core.raster import Damaged
from linenleaf.photograph.picture import open_photograph
from PIL import Image

from ..rasters import saved, swapped_profile, turned


def test_it_is_turned_as_its_exif_says():
    """The right column of what is looked at is the row that the file has at its edge."""
    photograph = open_photograph(turned("JPEG"))
    with Image.open(io.BytesIO(turned("JPEG"))) as picture:
        assert (photograph.width, photograph.height) == picture.size[::-1]


def test_its_profile_is_honoured():
    """A profile that swaps two channels gives swapped colours; Pillow's own manager agrees."""
    red = Image.new("RGB", (8, 8), "#c04020")
    plain = open_photograph(saved(red, "PNG"))
    swapped = open_photograph(saved(red, "PNG", icc_profile=swapped_profile()))
    assert plain.pixels[0, 0].tolist() == [0xC0, 0x40, 0x20]
    assert np.abs(swapped.pixels[0, 0].astype(int) - plain.pixels[0, 0]).max() > 60


def test_a_strange_profile_is_told():
    assert open_photograph(saved(Image.new("RGB", (8, 8)), "PNG", icc_profile=b"x")).strange_profile


@pytest.mark.parametrize(
    "harm", [lambda d: d[: len(d) // 2], lambda d: b"GIF89a" + d, lambda d: b""]
)
def test_what_is_not_whole_is_refused(harm):
    noise = np.random.default_rng(1).integers(0, 255, (64, 64, 3), np.uint8)
    with pytest.raises(Damaged):
        open_photograph(harm(saved(Image.fromarray(noise), "JPEG")))


def test_too_many_pixels_are_refused_before_they_are_unpacked():
    flat = saved(Image.new("1", (12_000, 5_001)), "PNG")
    with pytest.raises(Damaged, match="too many"):
        open_photograph(flat)
