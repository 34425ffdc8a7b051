"""Files written whole or not at all, never through a link; folders for the time of one task."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import secrets
import signal
import stat
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import current_thread, main_thread

from .characters import escaped

# A file being written is hidden beside its target under the target's name, eight characters at
# random and this ending.
UNFINISHED = ".unfinished"
STALE = 600.0  # seconds after which nobody is still writing a file that has not grown
LONGEST_STEM = 40  # characters of the target's name in that of the hidden file: 255 bytes at most


class CannotWrite(Exception):
    """The place for an output cannot be written; str() is a sentence for the user."""


def may_write(path: Path) -> None:
    """Check whether an output may go to a place: nothing is there yet, or a plain file.

    Links are refused, wherever they lead: in a stranger's folder they may lead anywhere. The
    folders on the way to the file are those that the user named, and may be links.

    Raises:
        CannotWrite: for a link, a folder, a pipe, a device, a socket, and where nothing can be.
    """
    try:
        kind = path.lstat().st_mode
    except FileNotFoundError:
        return
    except (OSError, ValueError) as reason:
        raise _refused(path, reason) from reason
    if stat.S_ISLNK(kind):
        raise CannotWrite(
            f"{escaped(str(path))} is a link, and nothing is written through a link; take it away, "
            "or name the file that it leads to."
        )
    if stat.S_ISDIR(kind):
        raise CannotWrite(f"{escaped(str(path))} is a folder; name a file in it.")
    if not stat.S_ISREG(kind):
        raise CannotWrite(f"{escaped(str(path))} is not a plain file; name another.")


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that at every moment either the old or the new content is there.

    The data goes to a hidden file in the same folder, is forced to the disk and then takes the
    name of the old one. So nothing is ever written into what the name stands for at that moment,
    even if someone puts a link there meanwhile. What a killed run left behind is taken away once
    it is stale: not at once, since another run may be writing the same output.

    Raises:
        CannotWrite: when it is not `may_write`, or the folder or disk refuses; the old file is
            untouched.
    """
    may_write(path)
    _clear_stale(path)
    # Named before it is made, so that an interruption finds it.
    hidden = path.with_name(f"{_prefix(path)}{secrets.token_hex(4)}{UNFINISHED}")
    try:
        try:
            kept = _permissions(path)
            handle = os.open(hidden, _FRESH, 0o666 if kept is None else 0o600)
            with os.fdopen(handle, "wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
            if kept is not None:
                hidden.chmod(kept)
            hidden.replace(path)
        except BaseException:
            with contextlib.suppress(OSError):
                hidden.unlink()
            raise
    except OSError as reason:
        raise _refused(path, reason) from reason


# Only where neither a file nor a link of that name is; Windows has other line ends.
_FRESH = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)


def _permissions(path: Path) -> int | None:
    """Return the permissions that a file has; None where there is none."""
    try:
        return path.lstat().st_mode & 0o777
    except FileNotFoundError:
        return None


def _refused(path: Path, reason: OSError | ValueError) -> CannotWrite:
    return CannotWrite(f"{escaped(str(path))} cannot be written: {why(reason)}")


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
    errno.ELOOP: "the way to it leads round in a ring of links; choose another place.",
    errno.ENOTDIR: "what stands before its name is no folder; choose another place.",
}


def why(reason: OSError | ValueError) -> str:
    """Return why a place refuses, as the end of a sentence and what to do."""
    number = getattr(reason, "errno", None) or 0
    return _REASONS.get(number, f"{(getattr(reason, 'strerror', None) or str(reason)).lower()}.")


def working_folder() -> tempfile.TemporaryDirectory[str]:
    """Make a folder that goes with the value returned, or with the process.

    An interruption waits until it is known that the folder is there to be taken away.

    Raises:
        OSError: when there is no room for it.
    """
    with unheard():
        return tempfile.TemporaryDirectory(prefix="linenleaf-", ignore_cleanup_errors=True)


@contextmanager
def unheard() -> Iterator[None]:
    """Let Ctrl-C, and being told to end, wait until the block is done.

    Libraries have threads that hear signals for this one, so it is not enough to block them here;
    a process that is started meanwhile does not hear them either.
    """
    if os.name != "posix" or current_thread() is not main_thread():
        yield
        return
    ends = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
    heard: list[int] = []
    handlers = {end: signal.signal(end, lambda number, _: heard.append(number)) for end in ends}
    before = signal.pthread_sigmask(signal.SIG_BLOCK, ends)
    try:
        yield
    finally:
        for end, handler in handlers.items():
            signal.signal(end, handler)
        for number in heard[:1]:
            signal.raise_signal(number)
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
