"""The colour of a patch of a photograph, corrected by a grey or white patch in the same light.

A photograph comes from anywhere: it is opened only as PNG or JPEG, of bounded size, and nothing in
it is followed.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image, ImageCms, ImageOps

from ..colour.colorimetry import D65, Floats, adapted, lab_of_xyz, linear, xyz_of_light
from ..core.files import LARGEST_PICTURE, read_bytes
from ..core.raster import LARGEST_SIDE, MOST_PIXELS, picture_size, whole_pictures

FORMATS = ("PNG", "JPEG")
MODES = {"RGB", "RGBA", "L", "LA", "P"}
WHITE, GREY = 0.90, 0.18  # of the light: plain white paper or card; the usual grey card
LEAST = 4  # pixels each way
MIDDLE = (0.2, 0.8)  # of the pixels by luminance: shadows between threads and glints are left out
BURNT = 0.01  # of the pixels at the end of a channel, from which a colour is not to be trusted
_SPREAD = 12.0  # Lab; a patch of one thread varies less in lightness

Corners = tuple[int, int, int, int]


class NotMeasured(ValueError):
    """The colour cannot be measured; the message says why and what to do."""


@dataclass(frozen=True, eq=False)
class Measured:
    """A colour as Lab (D65), and what makes it doubtful."""

    lab: Floats
    doubts: tuple[str, ...]


def measure(path: Path, patch: Corners, reference: Corners | None, reflects: float) -> Measured:
    """Return the colour of a patch of a photograph.

    patch, reference: left, top, right, bottom in pixels as the picture is looked at. reflects: the
    share of light that the reference gives back, which is taken for a colourless grey.

    The light of a patch is the mean of its middle pixels. The reference gives the white of that
    place, by which both brightness and tint are corrected (Bradford).

    Raises:
        NotMeasured: for a file that is no such picture, or patches that are not in it.
    """
    picture = _opened(path)
    doubts: list[str] = []
    light = _light(picture, patch, "The patch", doubts)
    if reference is None:
        doubts.append(
            "Without a grey or white patch to correct the light this is the colour of the "
            "picture, not of the thread."
        )
        return Measured(lab_of_xyz(xyz_of_light(light)), tuple(doubts))
    white = xyz_of_light(_light(picture, reference, "The reference", doubts)) / reflects
    if white[1] < 0.05:
        raise NotMeasured("The reference is too dark: choose a grey or white patch in full light.")
    lab = lab_of_xyz(adapted(xyz_of_light(light), white, D65))
    if lab[0] > 100:
        doubts.append("The patch is lighter than white by this reference: look at both places.")
    return Measured(lab, tuple(doubts))


def _opened(path: Path) -> Image.Image:
    data, findings = read_bytes(path, str(path), LARGEST_PICTURE)
    if data is None:
        raise NotMeasured(findings[0].message)
    size = picture_size(data)
    if size is None:
        raise NotMeasured(f"{path} is not a PNG or JPEG picture.")
    if max(size) > LARGEST_SIDE or size[0] * size[1] > MOST_PIXELS:
        raise NotMeasured(f"{path} is {size[0]:,} x {size[1]:,} pixels; make it smaller.")
    try:
        with whole_pictures(), Image.open(io.BytesIO(data), formats=FORMATS) as picture:
            if picture.size != size:
                raise NotMeasured(f"{path} is damaged: it states two sizes.")
            if picture.mode not in MODES:
                raise NotMeasured(f"{path} is not a picture in 8-bit sRGB colours; save it as one.")
            shown = ImageOps.exif_transpose(picture)
            profile = shown.info.get("icc_profile")
            plain = shown.convert("RGBA" if "transparency" in shown.info else _plain(shown.mode))
    except (OSError, ValueError, SyntaxError, EOFError, Image.DecompressionBombError) as reason:
        if isinstance(reason, NotMeasured):
            raise
        raise NotMeasured(f"{path} cannot be read as a picture.") from reason
    if profile:
        plain.info["icc_profile"] = profile
    return plain


def _plain(mode: str) -> str:
    return "RGBA" if mode in {"RGBA", "LA", "P"} else "RGB"


def _light(picture: Image.Image, corners: Corners, what: str, doubts: list[str]) -> Floats:
    """Return the mean light of the middle pixels of a patch, as linear sRGB."""
    left, top, right, bottom = corners
    left, right = min(left, right), max(left, right)
    top, bottom = min(top, bottom), max(top, bottom)
    if left < 0 or top < 0 or right > picture.width or bottom > picture.height:
        raise NotMeasured(
            f"{what} at {left},{top} {right},{bottom} leaves the picture, which is "
            f"{picture.width} x {picture.height} pixels."
        )
    if min(right - left, bottom - top) < LEAST:
        raise NotMeasured(f"{what} is too small: at least {LEAST} pixels each way are needed.")
    cut = picture.crop((left, top, right, bottom))
    channels = np.asarray(cut)
    if channels.shape[2] == 4:
        if int(channels[..., 3].min()) < 255:
            raise NotMeasured(f"{what} is transparent there: choose a place that is not.")
        channels = channels[..., :3]
    pixels = _in_srgb(np.ascontiguousarray(channels), picture.info.get("icc_profile"), doubts)
    if float(np.any((channels == 0) | (channels == 255), axis=2).mean()) > BURNT:
        doubts.append(f"{what} is burnt out or black in places: take the picture with other light.")
    light = linear(pixels.reshape(-1, 3) / 255)
    luminance = xyz_of_light(light)[:, 1]
    low, high = np.quantile(luminance, MIDDLE)
    middle = light[(luminance >= low) & (luminance <= high)]
    lightness = lab_of_xyz(xyz_of_light(middle))[:, 0]
    if float(lightness.max() - lightness.min()) > _SPREAD:
        doubts.append(f"{what} holds more than one colour, or light and shadow: make it smaller.")
    return np.asarray(middle.mean(axis=0), dtype=np.float64)


def _in_srgb(channels: Floats, profile: bytes | None, doubts: list[str]) -> Floats:
    """Return 8-bit channels in sRGB, where the picture says that they are in another space."""
    if not profile:
        return channels
    image = Image.fromarray(channels)
    try:
        own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        changed = ImageCms.profileToProfile(image, own, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        changed = None
    if changed is None:
        doubts.append("The colour profile of the picture cannot be read; it is taken for sRGB.")
        return channels
    return np.asarray(changed)
