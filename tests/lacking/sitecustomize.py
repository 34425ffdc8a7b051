"""Put before all other places for modules: a computer without some libraries of the system.

LACKING names them, as parts of their file names, with commas between.
"""

import ctypes.util
import os

import cffi

_LACKING = [each for each in os.environ.get("LACKING", "").split(",") if each]
_open, _find = cffi.FFI.dlopen, ctypes.util.find_library


def _lacks(name: object) -> bool:
    return any(each in str(name) for each in _LACKING)


def _dlopen(self: cffi.FFI, name: object, flags: int = 0) -> object:
    if _lacks(name):
        raise OSError(f"cannot load library '{name}'")
    return _open(self, name, flags)


def _find_library(name: str) -> str | None:
    return None if _lacks(name) else _find(name)


cffi.FFI.dlopen = _dlopen
ctypes.util.find_library = _find_library
