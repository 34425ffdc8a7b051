"""Pictures beside the chart: only PNG and JPEG, told by their first bytes, of bounded size."""

from __future__ import annotations

from pathlib import Path

from ..core.diagnostics import Diagnostic, Diagnostics, error
from ..core.files import LARGEST_PICTURE, beside, read_bytes
from ..core.source import Span

LARGEST_SIDE = 12_000  # pixels
HEADER = 1024 * 1024  # bytes looked at; the size stands near the beginning
MOST_PIXELS = 60_000_000
_PNG = b"\x89PNG\r\n\x1a\n"
_JPEG = b"\xff\xd8\xff"
# JPEG frame headers hold the size; these markers look like them but are not (ISO 10918-1, B.1).
_NO_FRAME = frozenset({0xC4, 0xC8, 0xCC})


def check_picture(root: Path, folder: Path, written: str, span: Span) -> Diagnostics:
    """Return what is wrong with a picture that a chart or story names."""
    path, findings = beside(root, folder, written, span)
    if path is None:
        return findings
    data, findings = read_bytes(path, written, LARGEST_PICTURE, span, HEADER)
    if data is None:
        return findings
    size = picture_size(data)
    if size is None:
        return (_no_picture(data, written, span),)
    if max(size) > LARGEST_SIDE or size[0] * size[1] > MOST_PIXELS:
        return (
            error(
                "picture-too-large",
                f"`{written}` is {size[0]:,} x {size[1]:,} pixels.",
                span,
                f"at most {LARGEST_SIDE:,} each way and {MOST_PIXELS:,} in all; "
                "3,000 each way is enough for print",
            ),
        )
    return ()


def picture_size(data: bytes) -> tuple[int, int] | None:
    """Return width and height in pixels of a PNG or JPEG, None for anything else."""
    if data.startswith(_PNG):
        return _png_size(data)
    return _jpeg_size(data) if data.startswith(_JPEG) else None


def _png_size(data: bytes) -> tuple[int, int] | None:
    # The header chunk comes first and begins with width and height (ISO 15948, 11.2.2).
    if len(data) < 33 or data[12:16] != b"IHDR":
        return None
    size = int.from_bytes(data[16:20], "big"), int.from_bytes(data[20:24], "big")
    return size if min(size) > 0 else None


def _jpeg_size(data: bytes) -> tuple[int, int] | None:
    at = 2
    while at + 9 < len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        if marker == 0xFF:  # fill byte
            at += 1
            continue
        if 0xC0 <= marker <= 0xCF and marker not in _NO_FRAME:
            height = int.from_bytes(data[at + 5 : at + 7], "big")
            width = int.from_bytes(data[at + 7 : at + 9], "big")
            return (width, height) if min(width, height) > 0 else None
        if marker == 0x01 or 0xD0 <= marker <= 0xD9:
            at += 2
            continue
        at += 2 + max(2, int.from_bytes(data[at + 2 : at + 4], "big"))
    return None


def _no_picture(data: bytes, written: str, span: Span) -> Diagnostic:
    if data.startswith((_PNG, _JPEG)):
        return error(
            "damaged-picture",
            f"`{written}` is cut off or damaged: its size cannot be read.",
            span,
            "save the picture again",
        )
    drawn = b"<svg" in data[:1000].lower()
    return error(
        "not-a-picture",
        f"`{written}` is no PNG or JPEG picture.",
        span,
        "a drawing in SVG is not taken: save it as PNG" if drawn else "save it as PNG or JPEG",
    )
