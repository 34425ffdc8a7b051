"""The sources of a booklet as they are enclosed in its PDF for an archive."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from ..core.characters import escaped
from ..core.files import LARGEST_PICTURE, read_bytes

_MEDIA = {
    ".linen": "text/plain",
    ".md": "text/markdown",
    ".csv": "text/csv",
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
}


@dataclass(frozen=True)
class Enclosed:
    """One source: its path from the chart's folder, its bytes, its media type."""

    path: str
    data: bytes
    media: str


def enclosed(folder: Path, paths: Iterable[Path]) -> tuple[Enclosed, ...]:
    """Return the files at some paths that lie in a folder and can be read, each once.

    What is not there or too large has been told of where the chart names it.
    """
    root = folder.resolve()
    by_name: dict[str, Enclosed] = {}
    for path in paths:
        target = path.resolve()
        if not target.is_relative_to(root):
            continue
        name = escaped(target.relative_to(root).as_posix())  # a name may not even be text
        if name in by_name:
            continue
        data, _ = read_bytes(target, name, LARGEST_PICTURE)
        if data is not None:
            media = _MEDIA.get(target.suffix.lower(), "application/octet-stream")
            by_name[name] = Enclosed(name, data, media)
    return tuple(by_name.values())
