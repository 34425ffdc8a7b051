"""All findings of a run as text: file by file, with a closing count."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby

from .diagnostics import Diagnostic, Diagnostics, Level, Silenced, as_json, render, summary


def list_findings(
    shown: str,
    findings: Diagnostics,
    silenced: Sequence[Silenced] = (),
    colour: Callable[[str], str] = str,
) -> str:
    """Return findings as text that ends with their count.

    shown: the chart, whose own findings come first. The files have headings when several of them
    have findings. colour: what a finding as text goes through before it is put in.
    """
    groups = _by_file(shown, findings)
    blocks = []
    for path, group in groups:
        if len(groups) > 1:
            blocks.append(f"--- {path}: {summary(group)}")
        blocks.extend(colour(render(each)) for each in group)
    return "\n\n".join([*blocks, _closing(shown, findings, len(groups), len(silenced))])


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


def _by_file(shown: str, findings: Diagnostics) -> list[tuple[str, list[Diagnostic]]]:
    def path(finding: Diagnostic) -> str:
        return shown if finding.span is None else finding.span.path

    ordered = sorted(findings, key=lambda each: (path(each) != shown, path(each)))
    return [(name, list(group)) for name, group in groupby(ordered, path)]


def _closing(shown: str, findings: Diagnostics, files: int, silenced: int) -> str:
    told = f"{shown}: {summary(findings)}"
    if files > 1:
        told += f" in {files} files"
    return f"{told}; {silenced} silenced" if silenced else told
