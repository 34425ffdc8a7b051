"""The methods that `dataclass` writes for a class, kept compiled from run to run.

Before Python 3.13 it compiles each method by itself, which takes the two hundred classes of a build
a tenth of a second, as long as everything that is imported from elsewhere. Nothing else is changed:
a text that is not among those kept is compiled, and any that is gives the same code.
"""

from __future__ import annotations

import builtins
import dataclasses
import marshal
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import CodeType
from typing import Any

from .cachefolder import cache_folder, keep

NAME = "classes"
MOST = 20_000  # texts; more is no longer this program alone


@contextmanager
def kept_classes() -> Iterator[None]:
    """Take the methods of dataclasses made meanwhile from those kept, and keep new ones."""
    folder = cache_folder() if sys.version_info < (3, 13) else None
    if folder is None:
        yield
        return
    kept: dict[str, CodeType] = {}
    with suppress(OSError, ValueError, EOFError, TypeError):
        kept = dict(marshal.loads((folder / NAME).read_bytes()))
    known = len(kept)

    def carry_out(text: str, *names: Any) -> None:
        code = kept.get(text)
        if code is None:
            code = kept[text] = compile(text, "<string>", "exec")
        builtins.exec(code, *names)

    # The module finds this before the function of that name that is built in.
    vars(dataclasses)["exec"] = carry_out
    try:
        yield
    finally:
        del vars(dataclasses)["exec"]
        if known < len(kept) <= MOST:
            keep(folder / NAME, marshal.dumps(kept))
