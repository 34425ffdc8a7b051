"""What is used of WeasyPrint beyond what it documents, name by name.

`cache` is an option that WeasyPrint documents for images that it has read. Drawings of ours lie in
it under their addresses, and WeasyPrint asks them what it asks its own images. There is no other
way to a drawing that is made while the pages are laid out, or to operators of our own on a page.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module


@dataclass(frozen=True)
class Touched:
    """A name of WeasyPrint that is not documented.

    why: what it is needed for. wanted: what WeasyPrint would have to offer in its place.
    """

    name: str
    why: str
    wanted: str


_IMAGE = "a documented interface for images of one's own"
_STREAM = "a documented interface of the stream that an image is drawn into"
TOUCHED = (
    Touched(
        "weasyprint.images.RasterImage.get_intrinsic_size",
        "images are asked for their size by it; ours have it too",
        _IMAGE,
    ),
    Touched(
        "weasyprint.images.RasterImage.draw",
        "images are drawn by it; ours have it too, and look at style['image_rendering']",
        _IMAGE,
    ),
    Touched(
        "weasyprint.images.RasterImage.get_x_object",
        "images give what goes into the PDF by it; ours have it too",
        _IMAGE,
    ),
    Touched(
        "weasyprint.pdf.stream.Stream.add_image",
        "an image on a page is given its name there",
        _STREAM,
    ),
    Touched(
        "weasyprint.pdf.stream.Stream.ctm",
        "tells how large an image is shown, so that one with too many pixels is thinned out",
        _STREAM,
    ),
    Touched("weasyprint.pdf.stream.Stream.stacked", "an image keeps its place to itself", _STREAM),
    Touched("weasyprint.pdf.stream.Stream.transform", "an image is moved to its place", _STREAM),
    Touched("weasyprint.pdf.stream.Stream.draw_x_object", "an image is shown", _STREAM),
    Touched(
        "weasyprint.text.ffi.harfbuzz_subset",
        "tells whether this computer has HarfBuzz's subsetter; None where it has not",
        "the answer, or a warning of a class of its own",
    ),
)


def has_subsetter() -> bool:
    """Return whether fonts are cut down by HarfBuzz's subsetter."""
    return import_module("weasyprint.text.ffi").harfbuzz_subset is not None
