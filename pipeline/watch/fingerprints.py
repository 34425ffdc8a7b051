"""What the files of a chart look like on the disk, so that a change is seen by looking.

Events of the file system only say when to look: they may be lost, doubled or late, and they are
silent on some network disks. The stamps say whether anything is different.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

Stamp = tuple[int, int, int, int] | None  # None: not there


def stamp(path: Path) -> Stamp:
    """Return what tells one content of a file from the next: inode, size and the two times.

    The time of the last change of state is among them, for a file may be copied over with the
    time of its original.
    """
    try:
        state = path.stat()
    except (OSError, ValueError):
        return None
    return (state.st_ino, state.st_size, state.st_mtime_ns, state.st_ctime_ns)


def stamps(paths: Iterable[Path]) -> dict[Path, Stamp]:
    """Return the stamp of each file."""
    return {path: stamp(path) for path in paths}


def folders(paths: Iterable[Path]) -> frozenset[Path]:
    """Return the folders in which these files lie, or would lie.

    Of a folder that is not there, the nearest above it that is.
    """
    return frozenset(_nearest(path.absolute().parent) for path in paths)


def _nearest(folder: Path) -> Path:
    while not folder.is_dir() and folder != folder.parent:
        folder = folder.parent
    return folder
