"""What the reference says of one finding, as text for a terminal, and its list of all findings."""

from __future__ import annotations

import re
from importlib.resources import files

from ..core.findings import TOPICS

_SECTION = re.compile(r"^## ([a-z0-9-]+)\n(.*?)(?=^## |\Z)", re.MULTILINE | re.DOTALL)
_FENCE = re.compile(r"^```[^\n]*\n(.*?)^```\n", re.MULTILINE | re.DOTALL)
_LINK = re.compile(r"\[([^\]]*)\]\([^)]*\)")


def sections() -> dict[str, str]:
    """Return the sections of the pages on findings, in Markdown without heading, by name."""
    folder = files("linenleaf.grammar") / "checks"
    pages = [(folder / f"{topic.name}.md").read_text("utf-8") for topic in TOPICS]
    return {
        name: text.strip("\n") + "\n" for page in pages for name, text in _SECTION.findall(page)
    }


def about(name: str) -> str | None:
    """Return what the reference says of a finding, None where there is none of that name."""
    section = sections().get(name)
    if section is None:
        return None
    text = _FENCE.sub(lambda fence: _indented(fence[1]), section)
    text = _LINK.sub(r"\1", text).replace("**", "")
    return f"{name}\n\n{text}".rstrip("\n")


def _indented(text: str) -> str:
    return "".join(f"    {line}" for line in text.splitlines(keepends=True))


def overview() -> str:
    """Return all findings as the tables of `grammar/checks.md`, in Markdown, topic by topic."""
    return "\n".join(
        f"### [{topic.title[0].upper()}{topic.title[1:]}](checks/{topic.name}.md)\n\n"
        "| name | level | what |\n| --- | --- | --- |\n"
        + "".join(
            f"| `{finding.name}` | {finding.level.word} | {finding.what} |\n"
            for finding in topic.findings
        )
        for topic in TOPICS
    )
