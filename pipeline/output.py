"""Files written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from pathlib import Path


class CannotWrite(Exception):
    """The place for an output cannot be written; str() is a sentence for the user."""


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that at every moment either the old or the new content is there.

    The data goes to a hidden file in the same folder, is forced to the disk and then takes the
    name of the old one.

    Raises:
        CannotWrite: when the folder or disk refuses; the old file is untouched.
    """
    # A link is followed, so that the file it points to changes and the link stays.
    target = path.resolve()
    try:
        if target.is_dir():
            raise CannotWrite(f"{path} is a folder; name a file in it.")
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:60]}.")
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
        raise CannotWrite(f"{path} cannot be written: {_plain(reason)}") from reason


def _mode(target: Path) -> int:
    """Return the permissions the file has, or those a new file would get."""
    try:
        return stat.S_IMODE(target.stat().st_mode)
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _plain(reason: OSError) -> str:
    if isinstance(reason, FileNotFoundError):
        return "its folder does not exist; make the folder first."
    if isinstance(reason, PermissionError):
        return "writing there is not allowed; choose another place with -o."
    return f"{(reason.strerror or str(reason)).lower()}."
