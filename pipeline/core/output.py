"""Files written whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import stat
import tempfile
import time
from pathlib import Path

# A file being written is hidden beside its target under the target's name, eight characters at
# random (so names `tempfile`) and this ending.
UNFINISHED = ".unfinished"
STALE = 600.0  # seconds after which nobody is still writing a file that has not grown
LONGEST_STEM = 40  # characters of the target's name in that of the hidden file: 255 bytes at most


class CannotWrite(Exception):
    """The place for an output cannot be written; str() is a sentence for the user."""


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that at every moment either the old or the new content is there.

    The data goes to a hidden file in the same folder, is forced to the disk and then takes the
    name of the old one. What a killed run left behind is taken away once it is stale: not at
    once, since another run may be writing the same output.

    Raises:
        CannotWrite: when the folder or disk refuses; the old file is untouched.
    """
    # A link is followed, so that the file it points to changes and the link stays.
    target = path.resolve()
    try:
        if target.is_dir():
            raise CannotWrite(f"{path} is a folder; name a file in it.")
        _clear_stale(target)
        handle, temporary = tempfile.mkstemp(
            dir=target.parent, prefix=_prefix(target), suffix=UNFINISHED
        )
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
            Path(temporary).chmod(_mode(target))
            Path(temporary).replace(target)
        except BaseException:
            with contextlib.suppress(OSError):
                Path(temporary).unlink()
            raise
    except OSError as reason:
        raise CannotWrite(f"{path} cannot be written: {why(reason)}") from reason


def _mode(target: Path) -> int:
    """Return the permissions the file has, or those a new file would get."""
    try:
        return stat.S_IMODE(target.stat().st_mode)
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _prefix(target: Path) -> str:
    return f".{target.name[:LONGEST_STEM]}."


def _clear_stale(target: Path) -> None:
    """Take away what runs that were killed long ago left of this very output."""
    ours = re.compile(rf"{re.escape(_prefix(target))}[a-z0-9_]{{8}}{re.escape(UNFINISHED)}")
    # A folder that cannot be listed may still be written to: what lies there is no obstacle.
    with contextlib.suppress(OSError), os.scandir(target.parent) as entries:
        for entry in entries:
            if ours.fullmatch(entry.name) and entry.is_file(follow_symlinks=False):
                age = time.time() - entry.stat(follow_symlinks=False).st_mtime
                if age > STALE:
                    Path(entry.path).unlink()


_REASONS = {
    errno.ENOENT: "its folder does not exist; make the folder first.",
    errno.EACCES: "writing there is not allowed; choose another place.",
    errno.EPERM: "writing there is not allowed; choose another place.",
    errno.EROFS: "that place can only be read; choose another place.",
    errno.ENOSPC: "the disk is full; make room or choose another place.",
    errno.EDQUOT: "your share of the disk is used up; make room or choose another place.",
    errno.EFBIG: "a file this large is not allowed there; choose another place.",
    errno.ENAMETOOLONG: "its name is too long.",
}


def why(reason: OSError) -> str:
    """Return why a place refuses, as the end of a sentence and what to do."""
    return _REASONS.get(reason.errno or 0, f"{(reason.strerror or str(reason)).lower()}.")
