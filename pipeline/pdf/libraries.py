"""What WeasyPrint loads: system libraries by their names; what it seldom needs, when it does."""

from __future__ import annotations

import ctypes.util
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from importlib.util import LazyLoader, find_spec, module_from_spec
from types import ModuleType
from typing import Any

_SUBSETTER, _INSTANCER = "fontTools.subset", "fontTools.varLib.instancer"


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


@contextmanager
def without_font_tools() -> Iterator[None]:
    """Let what is imported meanwhile load fontTools' subsetter and instancer at first use.

    They take a third of the time in which WeasyPrint is loaded, and it needs neither for the faces
    of a booklet where HarfBuzz's subsetter is installed.
    """
    _at_first_use(_SUBSETTER)
    if _INSTANCER in sys.modules:
        yield
        return
    stand_in: Any = ModuleType(_INSTANCER)
    stand_in.instantiateVariableFont = _instantiate
    sys.modules[_INSTANCER] = stand_in
    try:
        yield
    finally:
        del sys.modules[_INSTANCER]


def remember_pages(pdf: type[Any]) -> None:
    """Let pydyf's PDF work out the references of its pages once.

    WeasyPrint asks for all of them at every element that it tags: a twentieth of the time of a
    booklet of many pages.
    """

    def page_references(self: Any) -> tuple[bytes, ...]:
        numbers = self.pages["Kids"][::3]
        kept: tuple[bytes, ...] = vars(self).get("_page_references", ())
        if len(kept) != len(numbers):  # pages are added, and never taken out
            kept = self._page_references = tuple(b"%d 0 R" % each for each in numbers)
        return kept

    pdf.page_references = property(page_references)


def _at_first_use(name: str) -> None:
    spec = None if name in sys.modules else find_spec(name)
    if spec is None or spec.loader is None:
        return
    spec.loader = LazyLoader(spec.loader)
    module = module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    # Found there, it is not looked at, which would load it.
    parent, _, own = name.rpartition(".")
    setattr(import_module(parent), own, module)


def _instantiate(*given: Any, **named: Any) -> Any:
    return import_module(_INSTANCER).instantiateVariableFont(*given, **named)
