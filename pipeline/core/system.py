"""What the system lacks: libraries that Python packages need, and memory."""

from __future__ import annotations

import ctypes
import errno
import mmap
from contextlib import suppress

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


def give_back() -> None:
    """Give the system the memory that this process has let go of.

    The C library keeps it at hand otherwise, which a process that stays for hours has no claim
    to. `malloc_trim(3)` is GNU's; elsewhere nothing is done.
    """
    with suppress(OSError, AttributeError, TypeError):  # TypeError: on Windows there is no None
        ctypes.CDLL(None).malloc_trim(0)


INSTALL = "On Debian or Ubuntu: sudo apt-get install"
PAGES = "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
SUBSETTER = "libharfbuzz-subset0"
PIXELS = "libcairo2"


class MissingLibrary(Exception):
    """A library of the system is not installed; str() says which and what to do.

    what: what cannot be done without it. packages: of Debian, that hold it.
    """

    def __init__(self, what: str, packages: str) -> None:
        super().__init__(f"{what} {INSTALL} {packages}")
        self.what, self.packages = what, packages

    def __reduce__(self) -> tuple[type[MissingLibrary], tuple[str, str]]:
        """Let it be sent from one process to another."""
        return type(self), (self.what, self.packages)
