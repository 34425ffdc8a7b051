"""The printing condition that a PDF for a printer names when the printer has given none: sRGB.

PDF/X-4 wants an ICC profile of an output device (ISO 15930-7); those of screens, which come with
most software, are none. This one says: what prints takes sRGB as it is, as digital presses do. It
is written to ICC.1:2001-04 with tables of two nodes a side, between which linear light is exact.
"""

from __future__ import annotations

import io
import struct
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from ..colour.colorimetry import D50, D65, adapted, encoded, light_of_xyz, linear, xyz_of_light

NAME = "sRGB as printed"
COPYRIGHT = "No copyright, use freely."
MADE = (2026, 1, 1, 0, 0, 0)
LARGEST = 8_000_000  # bytes of a profile
SPACES = {"RGB": 3, "CMYK": 4, "GRAY": 1}  # and how many inks or lights each has

_FINE = 4096  # entries of a curve
_NODES = 33  # to a side of the table that tells what cannot be printed
_HALF = 65535 / 32768  # the encoding of XYZ reaches to nearly 2


class NotAProfile(ValueError):
    """A file that is no profile of a printer; str() says why."""


@dataclass(frozen=True)
class PrintProfile:
    """A printing condition: its name, its ICC profile, and how many inks or lights it has."""

    name: str
    data: bytes
    channels: int


def opened(data: bytes) -> PrintProfile:
    """Return the profile that a printer has given.

    Raises:
        NotAProfile: for other files, and for profiles of screens and scanners.
    """
    if len(data) > LARGEST:
        raise NotAProfile(f"it is larger than {LARGEST // 1_000_000} MB.")
    from PIL import ImageCms  # noqa: PLC0415 - few booklets are made for a printer

    try:
        profile = ImageCms.ImageCmsProfile(io.BytesIO(data)).profile
        name, kind = (profile.profile_description or "").strip(), profile.device_class
        space = profile.xcolor_space.strip()
    except (OSError, ValueError, ImageCms.PyCMSError) as reason:
        raise NotAProfile("it is not an ICC profile.") from reason
    if kind.strip() != "prtr":
        raise NotAProfile("it is the profile of another device, not of a printer or press.")
    if space not in SPACES:
        raise NotAProfile(f"it is for {space} and not for RGB, CMYK or grey.")
    return PrintProfile(name or "Custom", data, SPACES[space])


@cache
def srgb() -> PrintProfile:
    """Return sRGB as the profile of an output device."""
    corners = np.array([[r, g, b] for r in (0, 1) for g in (0, 1) for b in (0, 1)], float)
    shown = adapted(xyz_of_light(corners), D65, D50)
    to_light = np.tile(linear(np.linspace(0, 1, _FINE)), (3, 1))
    to_device = np.tile(encoded(np.linspace(0, 1, _FINE)), (3, 1))
    straight = np.tile([0.0, 1.0], (3, 1))
    a_to_b = _table(np.eye(3), to_light, shown / _HALF, straight)
    # Rows of the matrix: the light of each channel, from XYZ as seen under D50.
    back = light_of_xyz(adapted(np.eye(3), D50, D65)).T
    b_to_a = _table(back * _HALF, straight, corners, to_device)
    tags = {
        b"desc": _description(NAME),
        b"cprt": b"text\0\0\0\0" + COPYRIGHT.encode("ascii") + b"\0",
        b"wtpt": b"XYZ \0\0\0\0" + _fixed(D50),
        **{f"A2B{intent}".encode(): a_to_b for intent in range(3)},
        **{f"B2A{intent}".encode(): b_to_a for intent in range(3)},
        b"gamt": _gamut(),
    }
    return PrintProfile("sRGB", _profile(tags), 3)


def _gamut() -> bytes:
    """Return the table that tells colours within (0) from those without."""
    steps = np.linspace(0, 1, _NODES)
    xyz = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)
    light = light_of_xyz(adapted(xyz, D50, D65))
    within = np.all((light >= -1e-3) & (light <= 1 + 1e-3), axis=1)
    # Of the encoding only what lies below 1 is looked at closely.
    stretched = np.tile([0.0, 1.0, 1.0], (3, 1))
    return _table(np.eye(3), stretched, np.where(within, 0.0, 1.0)[:, None], np.array([[0.0, 1.0]]))


def _table(
    matrix: NDArray[np.float64],
    inputs: NDArray[np.float64],
    nodes: NDArray[np.float64],
    outputs: NDArray[np.float64],
) -> bytes:
    """Return a lut16Type (ICC.1:2001-04, 6.5.9); all values from 0 to 1 but those of the matrix."""
    side = round(len(nodes) ** (1 / len(inputs)))
    head = struct.pack(">4s4xBBBx", b"mft2", len(inputs), nodes.shape[1], side)
    sizes = struct.pack(">HH", inputs.shape[1], outputs.shape[1])
    values = b"".join(
        np.rint(np.clip(each, 0, 1) * 65535).astype(">u2").tobytes()
        for each in (inputs, nodes, outputs)
    )
    return head + _fixed(matrix) + sizes + values


def _fixed(values: NDArray[np.float64]) -> bytes:
    """Return numbers as s15Fixed16."""
    return np.rint(np.asarray(values) * 65536).astype(">i4").tobytes()


def _description(words: str) -> bytes:
    """Return a textDescriptionType in ASCII alone."""
    text = words.encode("ascii") + b"\0"
    return struct.pack(">4s4xI", b"desc", len(text)) + text + bytes(78)


def _profile(tags: dict[bytes, bytes]) -> bytes:
    """Return a whole profile; tags of the same content share it."""
    at = 128 + 4 + 12 * len(tags)
    places: dict[bytes, int] = {}
    body = b""
    for content in tags.values():
        if content not in places:
            places[content] = at + len(body)
            body += content + bytes(-len(content) % 4)
    entries = b"".join(
        struct.pack(">4sII", name, places[content], len(content)) for name, content in tags.items()
    )
    head = struct.pack(
        ">I4xI4s4s4s6H4s24xI",
        at + len(body),
        0x02400000,  # version 2.4
        b"prtr",
        b"RGB ",
        b"XYZ ",
        *MADE,
        b"acsp",
        1,  # relative colorimetric
    )
    return (head + _fixed(D50)).ljust(128, b"\0") + struct.pack(">I", len(tags)) + entries + body
