"""What is worked out once and kept for the next run: the parser's tables, widths of letters, words.

Nothing kept is needed, and none of it is code: it is read as data. A file that is not exactly what
was written, by this version and for the same origin, is thrown away and worked out again.
"""

from __future__ import annotations

import os
import shutil
import stat
import time
from contextlib import suppress
from functools import cache
from hashlib import sha256
from pathlib import Path

from platformdirs import user_cache_path

from .. import __version__

OFF = "LINENLEAF_NO_CACHE"  # set to anything: nothing is kept
LARGEST = 4_000_000  # bytes of one file
MOST_FILES = 32
OLDEST = 90 * 24 * 3600.0  # seconds after which a file is worked out again
_OTHERS_MAY_WRITE = stat.S_IWGRP | stat.S_IWOTH
_HEAD = sha256().digest_size


def get(name: str, origin: str) -> bytes | None:
    """Return what was kept under a name; None where nothing sound is.

    origin: all that it was made from and with, such as the text of a grammar and the version of a
    library. What was kept for another origin is no longer sound.
    """
    folder = cache_folder()
    if folder is None:
        return None
    place = folder / name
    with suppress(OSError):
        seen = place.lstat()
        if stat.S_ISREG(seen.st_mode) and seen.st_size <= LARGEST:
            written = place.read_bytes()
            data = written[_HEAD:]
            fresh = abs(time.time() - seen.st_mtime) < OLDEST
            if fresh and written[:_HEAD] == _checksum(name, origin, data):
                return data
            place.unlink()
    return None


def put(name: str, origin: str, data: bytes) -> None:
    """Keep something under a name, whole or not at all; where there is no room, nothing is kept."""
    folder = cache_folder()
    if folder is None or len(data) + _HEAD > LARGEST:
        return
    fresh = folder / f".{name}.{os.getpid()}"
    with suppress(OSError):
        try:
            fresh.write_bytes(_checksum(name, origin, data) + data)
            fresh.replace(folder / name)
        finally:
            fresh.unlink(missing_ok=True)
        _clear(folder)


@cache
def cache_folder() -> Path | None:
    """Return the folder; None where none is safe or wished for.

    It is made where it is missing, in the place that the system has for such things
    (`XDG_CACHE_HOME`, by default `~/.cache`), and is for the user's own eyes.
    """
    if os.environ.get(OFF):
        return None
    with suppress(OSError, RuntimeError):  # no home, no room, or a place that cannot be written
        folder = user_cache_path("linenleaf", appauthor=False)
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if _is_ours(folder):
            return folder
    return None


def _checksum(name: str, origin: str, data: bytes) -> bytes:
    head = "\0".join((__version__, name, origin, ""))
    return sha256(head.encode() + data).digest()


def _clear(folder: Path) -> None:
    """Take away what is old or too much, and what versions before this one left."""
    now = time.time()
    kept = []
    for place in folder.iterdir():
        seen = place.lstat()
        if stat.S_ISDIR(seen.st_mode):
            if "-cpython-" in place.name:
                shutil.rmtree(place, ignore_errors=True)
        elif now - seen.st_mtime > (3600 if place.name.startswith(".") else OLDEST):
            place.unlink(missing_ok=True)
        else:
            kept.append((seen.st_mtime, place))
    for _, place in sorted(kept, reverse=True)[MOST_FILES:]:
        place.unlink(missing_ok=True)


def _is_ours(folder: Path) -> bool:
    """Return whether nobody else may put anything into a folder."""
    if not hasattr(os, "geteuid"):
        return True  # elsewhere the system's place for caches lies within the user's profile
    seen = folder.lstat()
    return (
        stat.S_ISDIR(seen.st_mode)
        and seen.st_uid == os.geteuid()
        and not seen.st_mode & _OTHERS_MAY_WRITE
    )
