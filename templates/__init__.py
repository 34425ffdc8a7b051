"""The templates: all markup of a booklet, and the Jinja environment that fills it in.

Whatever a template prints is escaped; a name it does not know is a fault and raises.
"""

from __future__ import annotations

from contextlib import suppress
from importlib.resources import files
from pathlib import Path
from typing import Any
from zlib import crc32

from jinja2 import (
    BytecodeCache,
    Environment,
    FileSystemBytecodeCache,
    FunctionLoader,
    StrictUndefined,
    compiler,
    nodes,
)
from jinja2.bccache import Bucket
from linenleaf.core.cachefolder import cache_folder
from markupsafe import Markup


def text(name: str) -> str:
    """Return the text of a file of this folder, by its path below it."""
    return files(__name__).joinpath(name).read_text("utf-8")


def number(value: float, places: int = 3) -> str:
    """Return a number as short as it can be written with so many decimal places."""
    short = f"{value:.{places}f}"
    short = short.rstrip("0").rstrip(".") if "." in short else short
    return "0" if short == "-0" else short


def css_text(text: str) -> str:
    """Return a text for the inside of a CSS string, with all but plain letters escaped.

    CSS Syntax Module Level 3, 4.3.7: a backslash, the code point in hexadecimal, a blank.
    """
    plain = text.unescape() if isinstance(text, Markup) else text
    return "".join(
        char if char.isascii() and char.isalnum() else f"\\{ord(char):x} " for char in plain
    )


class _Environment(Environment):
    """Reads the tags for fixed words only when a template is compiled, which is seldom.

    They take a hundredth of a second to load. What the words become is said by the environment
    of each language (`pipeline/i18n/filling.py`).
    """

    def _parse(self, source: str, name: str | None, filename: str | None) -> nodes.Template:
        if not self.extensions:
            self.add_extension("jinja2.ext.i18n")
            self.newstyle_gettext = True
        return super()._parse(source, name, filename)


class _Kept(FileSystemBytecodeCache):
    """Compiled templates kept from run to run, by their text; none is kept on a full disk."""

    def dump_bytecode(self, bucket: Bucket) -> None:
        with suppress(OSError):
            super().dump_bytecode(bucket)


def _kept() -> BytecodeCache | None:
    folder = cache_folder()
    if folder is None:
        return None
    # Another jinja2 may compile otherwise.
    made_by = crc32(Path(compiler.__file__).read_bytes())
    return _Kept(str(folder), f"template-{made_by:08x}-%s")


ENVIRONMENT = _Environment(
    loader=FunctionLoader(text),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
    keep_trailing_newline=False,
    bytecode_cache=_kept(),
)
ENVIRONMENT.filters["number"] = number
ENVIRONMENT.filters["css_text"] = css_text


def render(name: str, /, **values: Any) -> str:
    """Return a template of this folder that has no fixed words filled in with values."""
    return ENVIRONMENT.get_template(name).render(values)
