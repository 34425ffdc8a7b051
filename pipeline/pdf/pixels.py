"""A picture in the place of an image: where it can be, its bytes go into the PDF as they are."""

from __future__ import annotations

import io
import struct
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import md5
from typing import TYPE_CHECKING, Any

import pydyf

from .document import PRINT_DPI

if TYPE_CHECKING:
    from PIL.Image import Image

_PNG = b"\x89PNG\r\n\x1a\n"
_GREY, _COLOUR = 0, 2  # PNG: kinds of pixels (ISO/IEC 15948, 11.2.2)
_FRAMES = {0xC0, 0xC1, 0xC2}  # JPEG: a frame begins (ITU-T T.81, table B.1)
_INCH = 72 / 0.75  # CSS pixels to the inch


@dataclass(frozen=True, eq=False)
class Pixels:
    """A picture as PNG or JPEG, as `core.raster` gives them and as ours are.

    The rows of a PNG are coded as a PDF has them too (ISO 32000-1, 7.4.4.4), and so is a JPEG.
    """

    data: bytes = field(repr=False)
    media: str = "image/png"
    _forms: dict[tuple[bool, float], tuple[bytes, dict[str, Any], bytes]] = field(
        default_factory=dict, repr=False
    )

    @cached_property
    def size(self) -> tuple[int, int]:
        """Width and height in pixels."""
        if self.data.startswith(_PNG):
            width, height = struct.unpack_from(">II", self.data, 16)
            return width, height
        return _of_jpeg(self.data)[:2]

    @cached_property
    def id(self) -> str:
        """A name for this picture, the same for the same content."""
        return md5(self.data, usedforsecurity=False).hexdigest()

    def get_intrinsic_size(
        self, resolution: float, _font_size: float
    ) -> tuple[float, float, float]:
        """Return width and height in CSS pixels and their ratio, as WeasyPrint asks for them."""
        width, height = self.size
        return width / resolution, height / resolution, width / height

    def draw(self, stream: Any, width: float, height: float, style: Any) -> None:
        """Draw into a WeasyPrint stream, `width` by `height` CSS pixels from the origin."""
        if width <= 0 or height <= 0:
            return
        # The stream has points for its unit.
        across, down = (abs(stream.ctm[at][at]) / 0.75 / _INCH for at in (0, 1))
        dense = max(self.size[0] / (width * across), self.size[1] / (height * down))
        ratio = min(1.0, PRINT_DPI / dense)
        name = stream.add_image(self, style["image_rendering"] == "auto", ratio)
        with stream.stacked():
            stream.transform(a=width, d=-height, f=height)
            stream.draw_x_object(name)

    def get_x_object(self, interpolate: bool, ratio: float) -> pydyf.Stream:
        """Return the picture as WeasyPrint asks for it when it writes the images.

        ratio: of the pixels that are wanted in each direction.
        """
        way = interpolate, ratio
        if way not in self._forms:
            self._forms[way] = self._form(interpolate, ratio)
        data, form, mask = self._forms[way]
        made = pydyf.Stream([data], form)
        if mask:
            made.extra["SMask"] = Pixels(mask).get_x_object(interpolate, 1)
        return made

    def _form(self, interpolate: bool, ratio: float) -> tuple[bytes, dict[str, Any], bytes]:
        """Return the pixels as the PDF has them, what it says of them, and their transparency."""
        data, mask = self.data, b""
        if ratio < 1 or not _is_plain(data):
            data, mask = _anew(data, ratio)
        if data.startswith(_PNG):
            width, height = struct.unpack_from(">II", data, 16)
            channels = 1 if data[25] == _GREY else 3
        else:
            width, height, channels = _of_jpeg(data)
        form: dict[str, Any] = {
            "Type": "/XObject",
            "Subtype": "/Image",
            "Width": width,
            "Height": height,
            "ColorSpace": "/DeviceGray" if channels == 1 else "/DeviceRGB",
            "BitsPerComponent": 8,
            "Interpolate": "true" if interpolate else "false",
        }
        if not data.startswith(_PNG):
            return data, {**form, "Filter": "/DCTDecode"}, b""
        rows = pydyf.Dictionary({"Predictor": 15, "Columns": width, "Colors": channels})
        packed = b"".join(part for kind, part in _chunks(data) if kind == b"IDAT")
        return packed, {**form, "Filter": "/FlateDecode", "DecodeParms": rows}, mask


def _is_plain(data: bytes) -> bool:
    """Whether a picture can go into a PDF as it is."""
    if not data.startswith(_PNG):
        return True
    depth, colour, _, _, laced = struct.unpack_from(">BBBBB", data, 24)
    see_through = any(kind == b"tRNS" for kind, _ in _chunks(data))
    return depth == 8 and colour in (_GREY, _COLOUR) and not laced and not see_through


def _anew(data: bytes, ratio: float) -> tuple[bytes, bytes]:
    """Return a picture with fewer pixels in plain form, and its transparency, if it has any."""
    from PIL import Image  # noqa: PLC0415 - not every booklet has such a picture

    with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as opened:
        kind = str(opened.format)
        picture: Image.Image = opened
        if kind == "PNG" and (opened.has_transparency_data or opened.mode not in ("L", "RGB")):
            picture = opened.convert("RGBA" if opened.has_transparency_data else "RGB")
        if ratio < 1:
            width, height = (max(1, round(side * ratio)) for side in picture.size)
            picture.thumbnail((width, height))
        if picture.mode != "RGBA":
            return _saved(picture, kind), b""
        return _saved(picture.convert("RGB"), kind), _saved(picture.getchannel("A"), kind)


def _saved(picture: Image, kind: str) -> bytes:
    out = io.BytesIO()
    picture.save(out, kind)
    return out.getvalue()


def _chunks(data: bytes) -> list[tuple[bytes, bytes]]:
    """Return the parts of a PNG (ISO/IEC 15948, 5.3)."""
    chunks, at = [], len(_PNG)
    while at < len(data):
        length, kind = struct.unpack_from(">I4s", data, at)
        chunks.append((kind, data[at + 8 : at + 8 + length]))
        at += 12 + length
    return chunks


def _of_jpeg(data: bytes) -> tuple[int, int, int]:
    """Return width, height and the number of channels of a JPEG."""
    at = 2
    while at < len(data):
        mark, length = struct.unpack_from(">xBH", data, at)
        if mark in _FRAMES:
            height, width, channels = struct.unpack_from(">xHHB", data, at + 4)
            return width, height, channels
        at += 2 + length
    raise ValueError("a picture that has no frame")
