"""The frame around the small charts of the pages on checks, as `grammar/checks.md` tells it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from linenleaf.core.diagnostics import Diagnostic
from linenleaf.flow import Flow, follow

KEY = {
    "m": '  m     #a03a3a "madder"',
    "s": '  s     #5f7a4a "sedge"',
    "rope": '  rope  #20242c "ink" back',
    "eye": '  eye   #20242c "ink" knot',
}
RANGE = "code,name,colour\n417,madder,#a03a3a\n220,sedge,#5f7a4a\n"


def framed(example: str, version: int = 1) -> str:
    """A whole chart: what an example leaves out stands before it."""

    def lacks(word: str) -> bool:
        return not re.search(rf"^{word}\b", example, re.MULTILINE)

    head = [f"linen {version}"]
    head += ['booklet "Example"'] * lacks("booklet")
    head += ["fabric linen 32 over 2"] * lacks("fabric")
    if lacks("range") and "estuary" in example:
        head.append("range estuary from estuary.csv")
    if lacks("key"):
        rows = "".join(re.findall(r"\|(.*)\|", example))
        used = [
            line
            for word, line in KEY.items()
            if (word in rows if len(word) == 1 else re.search(rf"\b{word}\b", example))
        ]
        head += ["key", *(used or [KEY["m"]])]
    return "\n".join([*head, example])


def followed(
    example: str,
    folder: Path,
    *,
    whole: bool = False,
    beside: Mapping[str, str] | None = None,
    version: int = 1,
) -> Flow:
    """What becomes of an example, or of a whole file; beside: other files, by name."""
    (folder / "notes").mkdir(exist_ok=True)
    for name, text in {"estuary.csv": RANGE, **(beside or {})}.items():
        (folder / name).write_text(text, "utf-8")
    path = folder / "example.linen"
    path.write_text(example if whole else framed(example, version), "utf-8")
    return follow(path)


def said(finding: Diagnostic) -> str:
    """A finding as the pages show it: without places, since they are those of the whole chart."""
    lines = [f"{finding.level.word}: {finding.message} [{finding.name}]"]
    for each in finding.hints:
        where = "" if each.span is None else f": {each.span.source.line_text(each.span.line)}"
        lines.append(f"  = {each.message}{re.sub(r' +', ' ', where)}")
    return "\n".join(lines) + "\n"
