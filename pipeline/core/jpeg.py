"""The segments of a JPEG (ISO/IEC 10918-1, annex B): its frame, and the file without metadata."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

MOST_SEGMENTS = 10_000
MOST_SCANS = 100  # each is a pass over all of the picture; cameras and programs write about ten

_SOI, _EOI, _SOS, _APP0, _APP14, _COM = 0xD8, 0xD9, 0xDA, 0xE0, 0xEE, 0xFE
# Frame headers hold the size; these markers look like them but are not (B.1.1.3).
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_ALONE = frozenset({0x01, *range(0xD0, 0xD8)})  # markers without a segment
_MARKER = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")  # that ends coded data (B.1.1.5)


class NotSound(ValueError):
    """A file whose segments are not those of a JPEG; str() says why."""


@dataclass(frozen=True)
class FrameHeader:
    """The frame header (B.2.2). kind: its marker. precision: bits. components: their identifiers.

    adobe: the colour transform that an Adobe segment names, None without one.
    """

    kind: int
    precision: int
    width: int
    height: int
    components: bytes
    adobe: int | None

    @classmethod
    def of(cls, data: bytes) -> FrameHeader:
        """Return the frame of a JPEG, from its first bytes.

        Raises:
            NotSound: when it has none, or one without pixels.
        """
        adobe = None
        for marker, start, end in _segments(data):
            body = data[start + 4 : end]
            if marker == _APP14 and body.startswith(b"Adobe") and len(body) >= 12:
                adobe = body[11]
            if marker in _FRAMES and len(body) >= 6:
                height, width = int.from_bytes(body[1:3], "big"), int.from_bytes(body[3:5], "big")
                if min(width, height) == 0:
                    break
                return cls(marker, body[0], width, height, body[6::3][: body[5]], adobe)
            if marker in {_SOS, _EOI}:
                break
        raise NotSound("its size cannot be read")


def without_metadata(data: bytes) -> bytes:
    """Return a JPEG without what does not belong to its pixels: Exif, remarks, profiles, previews.

    Where a camera stood, and with what, is nobody's business who buys a chart.

    Raises:
        NotSound: when its segments are not whole, or its scans are too many.
    """
    kept = [data[:2]]
    scans = 0
    for marker, start, end in _segments(data):
        scans += marker == _SOS
        if scans > MOST_SCANS:
            raise NotSound(f"it has more than {MOST_SCANS} scans")
        metadata = _APP0 < marker <= _APP0 + 15 and marker != _APP14
        if not metadata and marker != _COM:
            kept.append(data[start:end])
        if marker == _EOI:
            return b"".join(kept)
    raise NotSound("it is cut off")


def _segments(data: bytes) -> Iterator[tuple[int, int, int]]:
    """Give each marker with where its segment begins and ends, coded data with its scan header."""
    at, count = 2, 0
    while at + 1 < len(data):
        count += 1
        if count > MOST_SEGMENTS:
            raise NotSound("it has too many parts")
        if data[at] != 0xFF:
            raise NotSound("its parts do not follow one another")
        marker = data[at + 1]
        if marker == 0xFF:  # a fill byte (B.1.1.2)
            at += 1
            continue
        end = at + 2
        if marker not in _ALONE and marker != _EOI:
            length = int.from_bytes(data[at + 2 : at + 4], "big")
            if length < 2:
                raise NotSound("its parts do not follow one another")
            end += length
        if end > len(data):
            raise NotSound("it is cut off")
        if marker == _SOS:
            end = _coded_end(data, end)
        yield marker, at, end
        at = end


def _coded_end(data: bytes, at: int) -> int:
    marker = _MARKER.search(data, at)
    if marker is None:
        raise NotSound("it is cut off")
    return marker.start()
