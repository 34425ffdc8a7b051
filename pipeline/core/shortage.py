"""Whether a fault says that memory has run out, which is nobody's mistake."""

from __future__ import annotations

import errno
import mmap

NO_MEMORY = (
    "There is not enough memory for this. Close other programs, or divide the work into "
    "smaller charts."
)
LEAST = 256 * 1024 * 1024  # bytes without which no booklet can be set
# What the loader of shared libraries and the start of a thread say in words alone.
_WORDS = ("cannot allocate memory", "failed to map segment", "can't start new thread")


def is_shortage(fault: BaseException) -> bool:
    """Return whether memory has run out, whoever noticed."""
    if isinstance(fault, MemoryError):
        return True
    if isinstance(fault, OSError) and fault.errno == errno.ENOMEM:
        return True
    if isinstance(fault, ImportError | OSError | RuntimeError):
        said = str(fault).lower()
        return any(words in said for words in _WORDS)
    return False


def look_for_room() -> None:
    """Ask for the least memory that is needed, and give it back.

    The library of linear algebra, when it is loaded, ends the process where it gets none.

    Raises:
        MemoryError: when there is none.
    """
    try:
        mmap.mmap(-1, LEAST).close()
    except OSError as reason:
        raise MemoryError from reason
