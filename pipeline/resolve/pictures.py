"""Pictures beside the chart: only PNG and JPEG, told by their first bytes, of bounded size."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from ..core.diagnostics import Diagnostic, Diagnostics, finding
from ..core.files import LARGEST_PICTURE, beside, read_bytes
from ..core.raster import (
    JPEG,
    LARGEST_SIDE,
    MOST_PIXELS,
    PNG,
    Damaged,
    Raster,
    look_at,
    picture_size,
    printable,
)
from ..core.source import Span

MOST_PICTURES = 200  # in a booklet, its stories and sections
MOST_PIXELS_IN_ALL = 600_000_000
MOST_BYTES_IN_ALL = 256 * 1024 * 1024


class Album:
    """The pictures of one booklet as they are looked at, each file once.

    root: the chart's folder, which nothing may leave. owner, what: whose and which pictures, for
    sentences.
    """

    def __init__(self, root: Path, owner: str = "a booklet", what: str = "pictures") -> None:
        """Begin with none."""
        self._root = root
        self._owner = owner
        self._what = what
        self._findings: dict[Path, Diagnostics] = {}  # on each
        self._pixels = self._bytes = 0

    def check(self, written: str, span: Span) -> Diagnostics:
        """Return what is wrong with a picture that a chart or story names."""
        path, findings = beside(self._root, self._root, written, span)
        if path is None:
            return findings
        if path not in self._findings:
            self._findings[path] = self._look_at(path, written, span)
        return tuple(replace(each, span=span) for each in self._findings[path])

    def _look_at(self, path: Path, written: str, span: Span) -> Diagnostics:
        if len(self._findings) >= MOST_PICTURES:
            owner = self._owner.capitalize()
            return (_too_many(f"{owner} has at most {MOST_PICTURES} {self._what}.", span),)
        data, findings = _read(path, written, span)
        if data is None:
            return findings
        width, height = picture_size(data) or (0, 0)
        self._pixels += width * height
        self._bytes += len(data)
        if self._pixels > MOST_PIXELS_IN_ALL or self._bytes > MOST_BYTES_IN_ALL:
            what = (
                f"The {self._what} of {self._owner} have at most "
                f"{MOST_PIXELS_IN_ALL // 10**6} million pixels and "
                f"{MOST_BYTES_IN_ALL // 2**20} MiB in all."
            )
            return (_too_many(what, span),)
        return _decoded(data, written, span)


def picture_for_print(root: Path, written: str, span: Span) -> tuple[Raster | None, Diagnostics]:
    """Return a picture as it goes into a PDF, or why it cannot."""
    path, findings = beside(root, root, written, span)
    if path is None:
        return None, findings
    data, findings = _read(path, written, span)
    if data is None:
        return None, findings
    try:
        return printable(data), ()
    except Damaged as reason:
        return None, (_damaged(written, reason, span),)


def _read(path: Path, written: str, span: Span) -> tuple[bytes | None, Diagnostics]:
    """Return a PNG or JPEG whose header states a size within the limits."""
    data, findings = read_bytes(path, written, LARGEST_PICTURE, span)
    if data is None:
        return None, findings
    size = picture_size(data)
    if size is None:
        return None, (_no_picture(data, written, span),)
    if max(size) > LARGEST_SIDE or size[0] * size[1] > MOST_PIXELS:
        return None, (
            finding(
                "picture-too-large",
                f"`{written}` is {size[0]:,} x {size[1]:,} pixels.",
                span,
                f"at most {LARGEST_SIDE:,} each way and {MOST_PIXELS:,} in all; "
                "3,000 each way is enough for print",
            ),
        )
    return data, ()


def _decoded(data: bytes, written: str, span: Span) -> Diagnostics:
    try:
        profile_is_sound = look_at(data)
    except Damaged as reason:
        return (_damaged(written, reason, span),)
    if profile_is_sound:
        return ()
    return (
        finding(
            "strange-profile",
            f"The colour profile of `{written}` cannot be used; sRGB is assumed.",
            span,
            "save the picture again as sRGB",
        ),
    )


def _too_many(words: str, span: Span) -> Diagnostic:
    return finding("too-many-pictures", words, span, "leave some out, or make them smaller")


def _no_picture(data: bytes, written: str, span: Span) -> Diagnostic:
    if data.startswith((PNG, JPEG)):
        return _damaged(written, Damaged("its size cannot be read"), span)
    drawn = b"<svg" in data[:1000].lower()
    return finding(
        "not-a-picture",
        f"`{written}` is not a PNG or JPEG picture.",
        span,
        "SVG drawings are not accepted: save it as PNG" if drawn else "save it as PNG or JPEG",
    )


def _damaged(written: str, reason: Damaged, span: Span) -> Diagnostic:
    return finding(
        "damaged-picture", f"`{written}` is damaged: {reason}.", span, "save the picture again"
    )
