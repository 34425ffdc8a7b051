"""System libraries loaded by their names, without a search for them."""

from __future__ import annotations

import ctypes.util
import sys
from collections.abc import Iterator
from contextlib import contextmanager


def _nothing(name: str) -> str | None:  # noqa: ARG001 - called as the one it stands for
    return None


@contextmanager
def by_exact_name() -> Iterator[None]:
    """Let cffi load only what it finds under the very name it was given.

    A library has other names on other systems, and whoever needs it tries them all. For each that
    is not there cffi asks `ctypes.util.find_library`, which on Linux starts ldconfig, a compiler
    and a linker: fifty processes before WeasyPrint is loaded. The exact name comes up in any case.
    """
    if not sys.platform.startswith("linux"):
        yield
        return
    search = ctypes.util.find_library
    ctypes.util.find_library = _nothing
    try:
        yield
    finally:
        ctypes.util.find_library = search
