"""The pictures beside the chart that a booklet shows, as they go into the PDF.

They are read once, here: what sets the pages opens no file of a stranger.
"""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote

from ..core.diagnostics import Diagnostic, finding
from ..core.model import Picture
from ..core.raster import Raster
from ..core.source import Source
from ..resolve.pictures import picture_for_print


def picture_address(path: str) -> str:
    """Return the address under which the pages name a picture of the chart's folder."""
    return f"folder:{quote(path)}"


class Prints:
    """Pictures as they are asked for.

    files: bytes and media type of each, by address. paths: where they lie. findings: what is
    wrong with those that cannot be shown.
    """

    def __init__(self, folder: Path) -> None:
        """Begin with none; folder is the chart's, which nothing may leave."""
        self._folder = folder
        self._made: dict[str, Raster | None] = {}
        self.files: dict[str, tuple[bytes, str]] = {}
        self.paths: list[Path] = []
        self.findings: list[Diagnostic] = []

    def take(self, picture: Picture) -> Raster | None:
        """Return a picture ready to be shown; None, and a finding, where it cannot be."""
        if picture.path not in self._made:
            place = picture.span or Source(picture.path, "").span(0, 0)
            made, why = picture_for_print(self._folder, picture.path, place)
            self._made[picture.path] = made
            if made is not None:
                self.files[picture_address(picture.path)] = made.data, made.media
                self.paths.append(self._folder / picture.path)
            # Whoever checked the chart has been told; this picture has changed since.
            self.findings += [_left_out(each) for each in why]
        return self._made[picture.path]


def _left_out(refusal: Diagnostic) -> Diagnostic:
    hint = "Put the picture into the chart's folder, as PNG or JPEG; it is left out until then."
    return finding("picture-left-out", refusal.message, refusal.span, hint)
