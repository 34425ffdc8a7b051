"""Findings as text: all of a run, file by file, and what the reference says of one."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from importlib.resources import files
from itertools import groupby

from ..core.characters import escaped
from ..core.diagnostics import Diagnostic, Diagnostics, Silenced, as_json, render, summary
from ..core.findings import TOPICS, Level

_SECTION = re.compile(r"^## ([a-z0-9-]+)\n(.*?)(?=^## |\Z)", re.MULTILINE | re.DOTALL)
_FENCE = re.compile(r"^```[^\n]*\n(.*?)^```\n", re.MULTILINE | re.DOTALL)
_LINK = re.compile(r"\[([^\]]*)\]\([^)]*\)")


def list_findings(
    findings: Diagnostics,
    chart: str | None = None,
    silenced: Sequence[Silenced] = (),
) -> str:
    """Return findings as text that ends with their count.

    The files have headings when several of them have findings. chart: the one that was checked,
    whose own findings come first.
    """
    groups = _by_file(findings, chart or "")
    files = sum(1 for path, _ in groups if path)
    blocks = []
    for path, group in groups:
        if path and len(groups) > 1:
            blocks.append(f"--- {escaped(path)}: {summary(group)}")
        blocks.extend(render(each) for each in group)
    closing = summary(findings)
    if chart:
        closing = f"{escaped(chart)}: {closing}"
    if files > 1:
        closing += f" in {files} files"
    if silenced:
        closing += f"; {len(silenced)} silenced"
    return "\n\n".join([*blocks, closing])


def plain_findings(
    shown: str, findings: Diagnostics, silenced: Sequence[Silenced] = ()
) -> dict[str, object]:
    """Return findings, those kept quiet, and their counts as plain data for JSON."""
    counts = {level.word: sum(each.level is level for each in findings) for level in Level}
    quiet = as_json(each.finding for each in silenced)
    return {
        "chart": shown,
        "findings": as_json(findings),
        "silenced": [
            {**plain, "reason": each.reason} for plain, each in zip(quiet, silenced, strict=True)
        ],
        "counts": {**counts, "silenced": len(silenced)},
    }


def plain_of_several(charts: Sequence[dict[str, object]]) -> dict[str, object]:
    """Return what `plain_findings` gave of each chart as one, with the sums of their counts."""
    sums: Counter[str] = Counter()
    for each in charts:
        counts = each["counts"]
        assert isinstance(counts, dict)
        sums.update(counts)
    return {"charts": list(charts), "counts": dict(sums)}


def _by_file(findings: Diagnostics, first: str) -> list[tuple[str, list[Diagnostic]]]:
    def path(finding: Diagnostic) -> str:
        return first if finding.span is None else finding.span.path

    ordered = sorted(findings, key=lambda each: (path(each) != first, path(each)))
    return [(name, list(group)) for name, group in groupby(ordered, path)]


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
