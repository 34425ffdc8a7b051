"""Pictures of every kind, sound and damaged: each is red on the left and blue on the right.

Those in grey are dark on the left and light on the right; of those with clear pixels the right
half is clear. Written by Pillow, by hand after ISO 15948 (PNG), or kept as bytes.
"""

from __future__ import annotations

import base64
import io
import struct
import zlib
from collections.abc import Sequence

from PIL import Image, ImageCms

RED, BLUE = (200, 30, 40), (30, 60, 200)
DARK, LIGHT = (60, 60, 60), (210, 210, 210)
PAPER = (255, 255, 255)
SIDE = 48
PNG = b"\x89PNG\r\n\x1a\n"
# Written by cjpeg of libjpeg-turbo 2.1.5, which Pillow cannot: with arithmetic coding (SOF9).
ARITHMETIC = base64.b64decode(
    "/9j/4AAQSkZJRgABAQAAAQABAAD/2wBDAA0JCgsKCA0LCgsODg0PEyAVExISEyccHhcgLikxMC4pLSwzOko+MzZGNy"
    "wtQFdBRkxOUlNSMj5aYVpQYEpRUk//2wBDAQ4ODhMREyYVFSZPNS01T09PT09PT09PT09PT09PT09PT09PT09PT09P"
    "T09PT09PT09PT09PT09PT09PT09PT0//yQARCAAYACADASIAAhEBAxEB/8wACgAQEAUBEBEF/9oADAMBAAIRAxEAPw"
    "D/AEX6TkTAFPlJqeDSZAZXzfz/2Q=="
)
# And in red, green and blue as such, not in YCbCr.
COMPONENTS_RGB = base64.b64decode(
    "/9j/7gAOQWRvYmUAZAAAAAAA/9sAQwANCQoLCggNCwoLDg4NDxMgFRMSEhMnHB4XIC4pMTAuKS0sMzpKPjM2RjcsLU"
    "BXQUZMTlJTUjI+WmFaUGBKUVJP/8AAEQgAGAAgA1IRAEcRAEIRAP/EAB8AAAEFAQEBAQEBAAAAAAAAAAABAgMEBQYH"
    "CAkKC//EALUQAAIBAwMCBAMFBQQEAAABfQECAwAEEQUSITFBBhNRYQcicRQygZGhCCNCscEVUtHwJDNicoIJChYXGB"
    "kaJSYnKCkqNDU2Nzg5OkNERUZHSElKU1RVVldYWVpjZGVmZ2hpanN0dXZ3eHl6g4SFhoeIiYqSk5SVlpeYmZqio6Sl"
    "pqeoqaqys7S1tre4ubrCw8TFxsfIycrS09TV1tfY2drh4uPk5ebn6Onq8fLz9PX29/j5+v/aAAwDUgBHAEIAAD8A6y"
    "uDriaKKK8XrSr2KiiivaKza8dooorxetKvYqKKK9orNrx2iiivF60q9iooor//2Q=="
)


def image(mode: str = "RGB", left: object = RED, right: object = BLUE) -> Image.Image:
    made = Image.new(mode, (SIDE, SIDE * 3 // 4), left)
    made.paste(right, (SIDE // 2, 0, SIDE, made.height))
    return made


def grey(mode: str = "L") -> Image.Image:
    return image(mode, DARK[0], LIGHT[0])


def saved(picture: Image.Image, kind: str = "PNG", **options: object) -> bytes:
    out = io.BytesIO()
    picture.save(out, kind, **({"quality": 95} if kind == "JPEG" else {}), **options)
    return out.getvalue()


# --- PNG by hand ------------------------------------------------------------------------------


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def chunks(data: bytes) -> list[tuple[bytes, bytes]]:
    """The chunks of a PNG, name and data."""
    found, at = [], len(PNG)
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        found.append((data[at + 4 : at + 8], data[at + 8 : at + 8 + length]))
        at += length + 12
    return found


def joined(parts: Sequence[tuple[bytes, bytes]]) -> bytes:
    return PNG + b"".join(chunk(*each) for each in parts)


def png(
    depth: int,
    colour: int,
    pixels: Sequence[Sequence[bytes]],
    *more: bytes,
    interlaced: bool = False,
) -> bytes:
    """A PNG of rows of pixels, each given as its bytes."""
    head = struct.pack(">IIBBBBB", len(pixels[0]), len(pixels), depth, colour, 0, 0, interlaced)
    # Adam7, ISO 15948, 8.2: first column, first row, steps.
    steps = (
        (
            (0, 0, 8, 8),
            (4, 0, 8, 8),
            (0, 4, 4, 8),
            (2, 0, 4, 4),
            (0, 2, 2, 4),
            (1, 0, 2, 2),
            (0, 1, 1, 2),
        )
        if interlaced
        else ((0, 0, 1, 1),)
    )
    rows = b"".join(
        b"\0" + b"".join(row[x::across])
        for x, y, across, down in steps
        for row in pixels[y::down]
        if row[x::across]
    )
    return PNG + b"".join(
        (chunk(b"IHDR", head), *more, chunk(b"IDAT", zlib.compress(rows)), chunk(b"IEND", b""))
    )


def halves(left: bytes, right: bytes) -> list[list[bytes]]:
    return [[left] * (SIDE // 2) + [right] * (SIDE // 2)] * (SIDE * 3 // 4)


def wide(colour: Sequence[int]) -> bytes:
    """A colour in 16 bits a channel."""
    return struct.pack(f">{len(colour)}H", *(each * 257 for each in colour))


def animated() -> bytes:
    first, other = image(), image(left=(0, 255, 0), right=(0, 255, 0))
    return saved(first, save_all=True, append_images=[other], duration=100)


# --- profiles and directions ------------------------------------------------------------------


def swapped_profile() -> bytes:
    """An sRGB profile whose red and blue have changed places (ICC.1, tags rXYZ and bXYZ)."""
    plain = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return plain.replace(b"rXYZ", b"????").replace(b"bXYZ", b"rXYZ").replace(b"????", b"bXYZ")


def srgb() -> bytes:
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def turned(kind: str) -> bytes:
    """A picture that lies on its side; its Exif says how it is turned (orientation 6)."""
    exif = Image.Exif()
    exif[0x0112] = 6
    return saved(image().transpose(Image.Transpose.ROTATE_90), kind, exif=exif)


def without_adobe(data: bytes) -> bytes:
    """A JPEG without its Adobe segment (14 bytes after its marker)."""
    at = data.index(b"\xff\xee")
    return data[:at] + data[at + 16 :]


CMYK = image().convert("CMYK")
SWAPPED = image(left=RED[::-1], right=BLUE[::-1])

# Each with the colours of its left and right half as they are to be printed.
SOUND: dict[str, tuple[bytes, tuple[int, int, int], tuple[int, int, int]]] = {
    "png-colour": (saved(image()), RED, BLUE),
    "png-grey": (saved(grey()), DARK, LIGHT),
    "png-alpha": (saved(image("RGBA", (*RED, 255), (0, 0, 0, 0))), RED, PAPER),
    "png-grey-alpha": (saved(image("LA", (60, 255), (0, 0))), DARK, PAPER),
    "png-one-bit": (saved(image("1", 0, 1)), (0, 0, 0), PAPER),
    "png-two-bits": (saved(image().quantize(4), bits=2), RED, BLUE),
    "png-palette": (saved(image().quantize(16)), RED, BLUE),
    "png-palette-clear": (saved(image().quantize(2), transparency=b"\xff\x00"), RED, PAPER),
    "png-clear-colour": (saved(image(), transparency=BLUE), RED, PAPER),
    "png-clear-grey": (saved(grey(), transparency=LIGHT[0]), DARK, PAPER),
    "png-16-grey": (png(16, 0, halves(wide((60,)), wide((210,)))), DARK, LIGHT),
    "png-16-grey-clear": (
        png(16, 0, halves(wide((60,)), wide((210,))), chunk(b"tRNS", wide((210,)))),
        DARK,
        PAPER,
    ),
    "png-16-colour": (png(16, 2, halves(wide(RED), wide(BLUE))), RED, BLUE),
    "png-16-alpha": (png(16, 6, halves(wide((*RED, 255)), wide((9, 9, 9, 0)))), RED, PAPER),
    "png-interlaced": (png(8, 2, halves(bytes(RED), bytes(BLUE)), interlaced=True), RED, BLUE),
    "png-16-interlaced": (png(16, 2, halves(wide(RED), wide(BLUE)), interlaced=True), RED, BLUE),
    "png-animated": (animated(), RED, BLUE),
    "png-profile": (saved(SWAPPED, icc_profile=swapped_profile()), RED, BLUE),
    "png-srgb": (saved(image(), icc_profile=srgb()), RED, BLUE),
    "png-turned": (turned("PNG"), RED, BLUE),
    "jpeg": (saved(image(), "JPEG"), RED, BLUE),
    "jpeg-progressive": (saved(image(), "JPEG", progressive=True), RED, BLUE),
    "jpeg-restarts": (saved(image(), "JPEG", restart_marker_blocks=1), RED, BLUE),
    "jpeg-grey": (saved(grey(), "JPEG"), DARK, LIGHT),
    "jpeg-grey-srgb": (saved(grey(), "JPEG", icc_profile=srgb()), DARK, LIGHT),
    "jpeg-arithmetic": (ARITHMETIC, RED, BLUE),
    "jpeg-rgb": (COMPONENTS_RGB, RED, BLUE),
    "jpeg-cmyk": (saved(CMYK, "JPEG"), RED, BLUE),
    # Without the segment too, 0 is full ink, as all that show pictures take it (common practice).
    "jpeg-cmyk-plain": (without_adobe(saved(CMYK, "JPEG")), RED, BLUE),
    "jpeg-profile": (saved(SWAPPED, "JPEG", icc_profile=swapped_profile()), RED, BLUE),
    "jpeg-turned": (turned("JPEG"), RED, BLUE),
    "jpeg-two-pictures": (saved(image(), "MPO", save_all=True, append_images=[grey()]), RED, BLUE),
    "jpeg-with-more-behind": (saved(image(), "JPEG") + bytes(5000), RED, BLUE),
}

STRANGE_PROFILE = {
    "png-no-profile": saved(image(), icc_profile=b"no profile"),
    "jpeg-no-profile": saved(image(), "JPEG", icc_profile=bytes(400)),
    "jpeg-profile-of-three-lights": saved(CMYK, "JPEG", icc_profile=srgb()),
}


def _data_short() -> bytes:
    """A PNG whose chunks are sound, but whose pixels end too early."""
    half = zlib.compress(zlib.decompress(dict(chunks(saved(image())))[b"IDAT"])[:500])
    return joined(
        [(name, half if name == b"IDAT" else data) for name, data in chunks(saved(image()))]
    )


def _flipped(data: bytes, at: int) -> bytes:
    return data[:at] + bytes([data[at] ^ 0x10]) + data[at + 1 :]


def _bomb() -> bytes:
    """A progressive JPEG whose last scan is there 200 times more."""
    data = saved(image(), "JPEG", progressive=True)
    last = data.rindex(b"\xff\xda")
    return data[:last] + data[last:-2] * 200 + data[-2:]


_COLOUR, _PHOTO = saved(image()), saved(image(), "JPEG")
DAMAGED: dict[str, bytes] = {
    "png-cut": _COLOUR[: len(_COLOUR) * 2 // 3],
    "png-without-its-end": _COLOUR[:-12],
    "png-without-data": joined([each for each in chunks(_COLOUR) if each[0] != b"IDAT"]),
    "png-with-data-missing": _data_short(),
    "png-checksum-of-the-head": _flipped(_COLOUR, 30),
    "png-checksum-of-the-data": _flipped(_COLOUR, len(_COLOUR) - 13),
    "png-checksum-of-a-remark": _flipped(
        joined([*chunks(_COLOUR)[:-1], (b"tEXt", b"a\0b"), (b"IEND", b"")]), -13
    ),
    "png-flipped": _flipped(_COLOUR, _COLOUR.index(b"IDAT") + 12),
    "png-header-alone": _COLOUR[:33],
    "jpeg-cut": _PHOTO[: len(_PHOTO) - 200],
    "jpeg-without-its-end": _PHOTO[:-2],
    "jpeg-progressive-cut": SOUND["jpeg-progressive"][0][:-100],
    "jpeg-header-alone": _PHOTO[: _PHOTO.index(b"\xff\xda")] + b"\xff\xd9",
    "jpeg-without-tables": _PHOTO[: _PHOTO.index(b"\xff\xdb")]
    + _PHOTO[_PHOTO.index(b"\xff\xc0") :],
    "jpeg-of-200-scans": _bomb(),
    "jpeg-of-many-parts": _PHOTO[:2] + b"\xff\xfe\0\2" * 20_000 + _PHOTO[2:],
}
