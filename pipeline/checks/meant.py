"""Findings that the designer has looked at: `# meant NAME: the reason` keeps one quiet.

The comment stands at the end of the line of the finding, or alone on a line just above it. It
keeps warnings and hints of that name quiet on that one line, and only with a reason. Errors speak
all the same.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

from ..diagnostics import Diagnostic, Level, Silenced, hint
from ..source import Source, Span

_MEANT = re.compile(r"#[ \t]*meant[ \t]+([a-z][a-z-]*)[ \t]*:[ \t]*(\S[^\n]*)")
_ALONE = re.compile(r"[ \t]*#")


def without_the_meant(
    findings: Iterable[Diagnostic], source: Source, names: Collection[str]
) -> tuple[list[Diagnostic], list[Silenced]]:
    """Return the findings that speak, with a hint for each idle remark in source, and the others.

    names: the checks that ran; a remark that names another is left for whoever knows it.
    """
    kept: list[Diagnostic] = []
    quiet: list[Silenced] = []
    used: set[Span] = set()
    for each in findings:
        found = None if each.level is Level.ERROR else _remark(each)
        if found is None:
            kept.append(each)
        else:
            used.add(found.remark)
            quiet.append(found)
    for match in _MEANT.finditer(source.text):
        remark = source.span(*match.span())
        if match[1] in names and remark not in used:
            kept.append(
                hint(
                    "idle-remark",
                    f"There is no `{match[1]}` here to be kept quiet.",
                    remark,
                    "take the remark out",
                )
            )
    return kept, quiet


def _remark(finding: Diagnostic) -> Silenced | None:
    """Return the finding with the remark that keeps it quiet, None when there is none."""
    if finding.span is None or not finding.span.source.text:
        return None
    source, line = finding.span.source, finding.span.line
    start = finding.span.start - finding.span.column + 1
    here = source.line_text(line)
    match = _MEANT.search(here)
    if match and match[1] == finding.name:
        return _silenced(finding, match, source, start)
    if line > 1:
        above = source.line_text(line - 1)
        match = _MEANT.search(above)
        if match and match[1] == finding.name and _ALONE.match(above):
            return _silenced(finding, match, source, start - len(above) - 1)
    return None


def _silenced(finding: Diagnostic, match: re.Match[str], source: Source, start: int) -> Silenced:
    remark = source.span(start + match.start(), start + match.end())
    return Silenced(finding, match[2].rstrip(), remark)
