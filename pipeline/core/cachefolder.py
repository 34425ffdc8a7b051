"""Where what is worked out once may be kept for the next run: the parser's tables, the templates.

Nothing in it is needed: whoever reads there looks whether what is kept still fits, and works it
out again where it does not. What is kept is loaded as code, as Python does with its own compiled
files, so the folder has to be the user's alone.
"""

from __future__ import annotations

import os
import stat
import sys
from contextlib import suppress
from functools import cache
from pathlib import Path

from platformdirs import user_cache_path

from .. import __version__

OFF = "LINENLEAF_NO_CACHE"  # set to anything: nothing is kept
_OTHERS_MAY_WRITE = stat.S_IWGRP | stat.S_IWOTH


@cache
def cache_folder() -> Path | None:
    """Return the folder of this version and this Python; None where none is safe or wished for.

    It is made where it is missing, below the place that the system has for such things
    (`XDG_CACHE_HOME`, by default `~/.cache`).
    """
    if os.environ.get(OFF):
        return None
    name = f"{__version__}-{sys.implementation.cache_tag}"
    with suppress(OSError, RuntimeError):  # no home, no room, or a place that cannot be written
        home = user_cache_path("linenleaf", appauthor=False)
        home.mkdir(mode=0o700, parents=True, exist_ok=True)
        folder = home / name
        folder.mkdir(mode=0o700, exist_ok=True)
        if _is_ours(home) and _is_ours(folder):
            return folder
    return None


def keep(place: Path, data: bytes) -> None:
    """Write a file of the folder whole or not at all, whoever else reads or writes it.

    Where it cannot be written nothing is kept.
    """
    fresh = place.with_name(f"{place.name}.{os.getpid()}")
    with suppress(OSError):
        try:
            fresh.write_bytes(data)
            fresh.replace(place)
        finally:
            fresh.unlink(missing_ok=True)


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
