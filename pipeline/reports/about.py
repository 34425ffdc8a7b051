"""What the reference says of one finding, as text for a terminal."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib.resources import files

_SECTION = re.compile(r"^## ([a-z-]+)\n(.*?)(?=^## |\Z)", re.MULTILINE | re.DOTALL)
_FENCE = re.compile(r"^```[^\n]*\n(.*?)^```\n", re.MULTILINE | re.DOTALL)
_LINK = re.compile(r"\[([^\]]*)\]\([^)]*\)")


def sections() -> dict[str, str]:
    """Return the sections of the pages on checks, in Markdown without heading, by the finding."""
    return {name: text.strip("\n") + "\n" for page in _pages() for name, text in _found(page)}


def _pages() -> Iterator[str]:
    folder = files("linenleaf.grammar") / "checks"
    for page in sorted(folder.iterdir(), key=lambda each: each.name):
        yield page.read_text("utf-8")


def _found(page: str) -> list[tuple[str, str]]:
    return _SECTION.findall(page)


def about(name: str) -> str | None:
    """Return what the reference says of a finding, None where it has no section of its own."""
    section = sections().get(name)
    if section is None:
        return None
    text = _FENCE.sub(lambda fence: _indented(fence[1]), section)
    text = _LINK.sub(r"\1", text).replace("**", "")
    return f"{name}\n\n{text}".rstrip("\n")


def _indented(text: str) -> str:
    return "".join(f"    {line}" for line in text.splitlines(keepends=True))
