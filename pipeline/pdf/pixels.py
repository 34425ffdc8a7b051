"""A picture of our own making in the place of an image: its bytes go into the PDF as they are."""

from __future__ import annotations

import struct
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import md5
from typing import Any

import pydyf

_PNG = b"\x89PNG\r\n\x1a\n"
_FRAMES = {0xC0, 0xC1, 0xC2}  # JPEG: a frame begins (ITU-T T.81, table B.1)


@dataclass(frozen=True, eq=False)
class Pixels:
    """A picture as PNG or JPEG: eight bits to a channel, in colour or grey, without transparency.

    The rows of a PNG are coded as a PDF has them too (ISO 32000-1, 7.4.4.4), and so is a JPEG.
    """

    data: bytes = field(repr=False)
    media: str = "image/png"

    @cached_property
    def size(self) -> tuple[int, int, int]:
        """Width and height in pixels, and the number of channels."""
        return _of_png(self.data) if self.media == "image/png" else _of_jpeg(self.data)

    @property
    def id(self) -> str:
        """A name for this picture, the same for the same content."""
        return md5(self.data, usedforsecurity=False).hexdigest()

    def get_intrinsic_size(
        self, resolution: float, _font_size: float
    ) -> tuple[float, float, float]:
        """Return width and height in CSS pixels and their ratio, as WeasyPrint asks for them."""
        width, height, _ = self.size
        return width / resolution, height / resolution, width / height

    def draw(self, stream: Any, width: float, height: float, style: Any) -> None:
        """Draw into a WeasyPrint stream, `width` by `height` CSS pixels from the origin."""
        name = stream.add_image(self, style["image_rendering"] == "auto", 1)
        with stream.stacked():
            stream.transform(a=width, d=-height, f=height)
            stream.draw_x_object(name)

    def get_x_object(self, interpolate: bool, _ratio: float) -> pydyf.Stream:
        """Return the picture as WeasyPrint asks for it when it writes the images."""
        width, height, channels = self.size
        form: dict[str, Any] = {
            "Type": "/XObject",
            "Subtype": "/Image",
            "Width": width,
            "Height": height,
            "ColorSpace": "/DeviceGray" if channels == 1 else "/DeviceRGB",
            "BitsPerComponent": 8,
            "Interpolate": "true" if interpolate else "false",
        }
        if self.media != "image/png":
            return pydyf.Stream([self.data], {**form, "Filter": "/DCTDecode"})
        rows = pydyf.Dictionary({"Predictor": 15, "Columns": width, "Colors": channels})
        packed = b"".join(data for kind, data in _chunks(self.data) if kind == b"IDAT")
        return pydyf.Stream([packed], {**form, "Filter": "/FlateDecode", "DecodeParms": rows})


def _chunks(data: bytes) -> list[tuple[bytes, bytes]]:
    """Return the parts of a PNG (ISO/IEC 15948, 5.3)."""
    found, at = [], len(_PNG)
    while at < len(data):
        length, kind = struct.unpack_from(">I4s", data, at)
        found.append((kind, data[at + 8 : at + 8 + length]))
        at += 12 + length
    return found


def _of_png(data: bytes) -> tuple[int, int, int]:
    width, height, depth, colour, _, _, laced = struct.unpack_from(">IIBBBBB", data, 16)
    channels = {0: 1, 2: 3}.get(colour)
    if not data.startswith(_PNG) or depth != 8 or laced or channels is None:
        raise ValueError("a picture of ours is no plain PNG")
    return width, height, channels


def _of_jpeg(data: bytes) -> tuple[int, int, int]:
    at = 2
    while at < len(data):
        mark, length = struct.unpack_from(">xBH", data, at)
        if mark in _FRAMES:
            height, width, channels = struct.unpack_from(">xHHB", data, at + 4)
            if channels in (1, 3):
                return width, height, channels
            break
        at += 2 + length
    raise ValueError("a picture of ours is no plain JPEG")
