"""The templates: all markup of a booklet, and the other files that it is made with."""

from __future__ import annotations

from importlib.resources import files


def text(name: str) -> str:
    """Return the text of a file of this folder, by its path below it."""
    return files(__name__).joinpath(name).read_text("utf-8")
